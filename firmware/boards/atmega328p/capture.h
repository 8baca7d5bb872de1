/* The disc's edges, stamped by timer 1's input capture, and the clock that stamps them. */
#ifndef BOARD_CAPTURE_H
#define BOARD_CAPTURE_H

#include <stdbool.h>
#include <stdint.h>

struct edge {
    uint32_t ticks; /* 0.5 us each since reset; wraps after 35.8 minutes, the core widens it */
    int8_t direction; /* 1 forward, -1 backward */
};

void capture_init(void);
bool capture_waits(void); /* there is something to take */
bool capture_take(struct edge *edge); /* the oldest edge; false when none waits */
uint16_t capture_missed(void); /* edges lost behind those taken, once all are taken */
uint32_t clock_ticks(void);

#endif
