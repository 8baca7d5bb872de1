/* UART 0, 8N1, with a small ring each way between its interrupts and the main loop. */
#ifndef BOARD_UART_H
#define BOARD_UART_H

#include <stdbool.h>
#include <stdint.h>

void uart_init(void);
bool uart_waits(void); /* a received byte is there to take */
bool uart_take(uint8_t *byte); /* the oldest byte received; false when none waits */
uint8_t uart_room(void); /* bytes that uart_put takes now */
void uart_put(uint8_t byte); /* only with room */

#endif
