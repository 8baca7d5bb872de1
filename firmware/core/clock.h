/* The board's clock, in two units.
 *
 * A stamp is 0.5 us. The board's hardware takes it at an edge; it has 32 bits, wraps after 35
 * minutes and stays on the board. A tick is 4 us. It is a stamp divided by 8 and widened to 40 bits,
 * which do not wrap for 50 days; the log and the line carry ticks. */
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

/* Whether `wait` stamps have passed. A wrap between does not matter, but 17 minutes would. */
static inline bool clock_elapsed(uint32_t now, uint32_t since, uint32_t wait)
{
    return (int32_t)(now - since) >= (int32_t)wait;
}

#endif
