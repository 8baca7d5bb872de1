/* The simulated chip: its program, pins, supply and resets, and what it cost to run. */
#ifndef SIM_CHIP_H
#define SIM_CHIP_H

#include <stdio.h>
#include <simavr/sim_avr.h>

enum chip_reset { RESET_EXTERNAL, RESET_POWER, RESET_BROWNOUT };

/* `started` is called after every start of the chip, the first one and each reset. A reset forgets
 * all cycle timers, so they are registered there. */
avr_t *chip_load(const char *elf, const char *eeprom, unsigned battery_mv,
                 void (*started)(avr_t *));
int chip_run(avr_t *avr); /* a few instructions; the state of the processor */
void chip_save(avr_t *avr, const char *eeprom);

/* Only noted here and done between instructions: in the middle of one, or of a timer's call,
 * neither the program counter nor the timers may be touched. */
void chip_ask_reset(enum chip_reset cause);
void chip_ask_hang(void); /* an endless loop with interrupts off, which only the watchdog ends */

void chip_battery(avr_t *avr, unsigned battery_mv);
void chip_set_a(avr_t *avr, int level);
void chip_set_b(avr_t *avr, int level);
int chip_a(void);
int chip_b(void);
void chip_report(const avr_t *avr, FILE *out);

#endif
