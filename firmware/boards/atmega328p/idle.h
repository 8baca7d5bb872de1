/* The main loop's sleep and tick, and the watchdog that ends a turn which does not end. */
#ifndef BOARD_IDLE_H
#define BOARD_IDLE_H

#include <stdbool.h>

void idle_init(void);
bool idle_tick(void); /* true once in 4.1 ms: do now what is due by time */
void idle_until_interrupt(bool (*busy)(void)); /* returns at once where busy() holds */

#endif
