/* What happens to the board, line by line from standard input:
 *
 *     TIME +              the next edge of sensor A, the wheel turning forward.
 *     TIME -              the same, turning backward.
 *     TIME pins AB        both sensors' levels, e.g. "pins 10".
 *     TIME rx HEX         bytes to the board's UART (with --lines).
 *     TIME battery MV     the supply.
 *     TIME reset CAUSE    external, power or brownout.
 *     TIME hang           the program runs into an endless loop with interrupts off.
 *     TIME .              nothing: time passes up to here.
 *
 * TIME is in microseconds since power-up, with up to four decimals (a cycle at 16 MHz is 0.0625), and never
 * before the line above. It may be "now", except for the sensors: such a line happens at once,
 * before all lines that still wait for their time. A line that begins with # is a comment.
 *
 * The direction says what sensor B must show: A's new level differs from B's at a forward edge. B is
 * moved half way between two edges, as a disc in quadrature does. */
#ifndef SIM_SCRIPT_H
#define SIM_SCRIPT_H

#include <simavr/sim_avr.h>

/* With `paced`, lines are taken as they come while time passes; without, time waits for them and
 * never passes the last line read. `mark` is called at each "." line. */
void script_start(int paced, void (*mark)(avr_t *));
void script_schedule(avr_t *avr); /* after every start of the chip */
void script_poll(avr_t *avr); /* paced only: takes lines that have come */
int script_ended(void); /* the input ended; unpaced, also all it said has happened */

#endif
