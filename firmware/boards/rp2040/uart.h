/* UART 0, 8N1: a Bluetooth module's, or an adapter's. */
#ifndef BOARD_UART_H
#define BOARD_UART_H

#include <stdbool.h>
#include <stdint.h>

void uart_init(void);
bool uart_waits(void);
bool uart_take(uint8_t *byte); /* false when none waits */
bool uart_room(void);
void uart_put(uint8_t byte); /* only with room */

#endif
