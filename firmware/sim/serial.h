/* The board's UART: on a pseudo-terminal, as a USB cable would show it, or as lines on standard
 * input and output. */
#ifndef SIM_SERIAL_H
#define SIM_SERIAL_H

#include <simavr/sim_avr.h>

/* Prints "pty PATH". With `wait` nothing that the board sends is lost: the board's time stands
 * still while nobody reads. Without, what nobody reads is gone, as on a cable. */
void serial_open_pty(int wait);
void serial_dtr_resets(void); /* from now on a host that opens the port resets the board */
void serial_minds_rate(void); /* a host whose port has another rate than the board hears garbage */
void serial_do_not_wait(void); /* from now on; may be called in a signal */
void serial_listen(avr_t *avr); /* without a pty prints "tx TIME HEX", TIME of the first byte */
void serial_schedule(avr_t *avr); /* after every start of the chip */
void serial_poll(avr_t *avr); /* pty: takes what the host has sent */
void serial_flush_lines(void);
void serial_receive_hex(avr_t *avr, const char *hex);
void serial_report(FILE *out);

#endif
