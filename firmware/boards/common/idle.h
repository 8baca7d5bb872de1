/* The main loop's sleep and its beat, and the watchdog that ends a round which does not end. */
#ifndef BOARD_IDLE_H
#define BOARD_IDLE_H

#include <stdbool.h>

void idle_init(void); /* interrupts come from here on */
bool idle_due(void); /* true once in some milliseconds: do now what is due by time */
void idle_until_interrupt(bool (*busy)(void)); /* returns at once if busy() holds */

#endif
