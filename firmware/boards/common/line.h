/* The bytes to and from a host, with room for some each way between two rounds of the main loop. */
#ifndef BOARD_LINE_H
#define BOARD_LINE_H

#include <stdbool.h>
#include <stdint.h>

void line_init(void);
bool line_waits(void); /* a received byte is there to take */
bool line_take(uint8_t *byte); /* the oldest byte received; false when none waits */
uint8_t line_room(void); /* bytes that line_put takes now */
void line_put(uint8_t byte); /* only with room */

#endif
