/* The board's UART: on a pseudo-terminal, as a USB cable would show it, or as lines on standard
 * input and output. */
#ifndef SIM_SERIAL_H
#define SIM_SERIAL_H

#include <simavr/sim_avr.h>

/* Prints "pty PATH". With `wait` nothing that the board sends is lost: the board's time stands
 * still while nobody reads. Without, what nobody reads is gone, as on a cable. */
void serial_on_pty(avr_t *avr, int wait);
void serial_on_lines(avr_t *avr); /* prints "tx TIME HEX", TIME of the first byte */
void serial_schedule(avr_t *avr); /* after every start of the chip */
void serial_poll(avr_t *avr); /* pty: takes what the host has sent */
void serial_flush_lines(void);
void serial_receive_hex(avr_t *avr, const char *hex);
void serial_report(FILE *out);

#endif
