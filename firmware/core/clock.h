/* The board's clock: 0.5 us stamps of 32 bits, widened to 4 us ticks of 40 bits that never wrap. */
#ifndef CLOCK_H
#define CLOCK_H

#include <stdbool.h>
#include <stdint.h>

#define STAMPS_PER_MS UINT32_C(2000)

struct ticks {
    uint32_t low;
    uint8_t high;
};

void clock_init(void);

/* Widens a stamp that is at most 17 minutes away from the newest one widened so far. */
struct ticks clock_widen(uint32_t stamp);

/* Whether `wait` stamps have passed; a wrap between does not matter. */
static inline bool clock_elapsed(uint32_t now, uint32_t since, uint32_t wait)
{
    return (int32_t)(now - since) >= (int32_t)wait;
}

#endif
