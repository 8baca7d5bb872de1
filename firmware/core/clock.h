/* The board's clock: 0.5 us stamps of 32 bits, widened to 4 us ticks of 40 bits that never wrap. */
#ifndef CLOCK_H
#define CLOCK_H

#include <stdint.h>

struct ticks {
    uint32_t low;
    uint8_t high;
};

void clock_init(void);

/* Widens a stamp that is at most 17 minutes away from the newest one widened so far. */
struct ticks clock_widen(uint32_t stamp);

#endif
