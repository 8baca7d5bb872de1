/* The board's own supply in millivolts, without a part on a pin. */
#ifndef BOARD_BATTERY_H
#define BOARD_BATTERY_H

#include <stdint.h>

void battery_init(void); /* waits 0.2 ms, so that the first status has a value */
void battery_task(void); /* takes a conversion that is done and starts the next; never waits */
uint16_t battery_mv(void);

#endif
