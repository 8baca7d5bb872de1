/* The disc's edges, stamped as they come, and the clock that stamps them. While both sensors are
 * watched the changes of B come among A's edges. */
#ifndef BOARD_CAPTURE_H
#define BOARD_CAPTURE_H

#include <stdbool.h>
#include <stdint.h>

enum { OF_A = 4 };

struct edge {
    uint32_t stamp; /* 0.5 us each since reset; wraps after 35.8 minutes, the core widens it */
    uint8_t levels; /* after it: SAMPLE_A, SAMPLE_B, and OF_A if it is an edge of A */
};

void capture_init(void);
void capture_watch_both(bool on);
bool capture_a(void); /* sensor A's present level */
uint32_t capture_now(void); /* the present stamp */
bool capture_waits(void); /* there is something to take */
bool capture_take(struct edge *edge); /* the oldest edge; false when none waits */
bool capture_still(struct edge *now); /* the present levels; false when changes wait */
uint16_t capture_missed(void); /* edges lost after those taken, once all are taken */

#endif
