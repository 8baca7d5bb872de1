/* The board's clock, in two units.
 *
 * A stamp is 0.5 us. The board's hardware takes it at an edge; it has 32 bits, wraps after 35
 * minutes and starts from 0 at each reset. A tick is 4 us. It is a stamp divided by 8 and widened to
 * 40 bits, which do not wrap for 50 days; the log and the line carry ticks.
 *
 * A reset that leaves the memory alone does not set the ticks back. They go on from when they were
 * kept last, and the time of the reset is missing in them. */
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
bool clock_resume(void); /* false if what was kept faded */

/* Widens a stamp that is at most 17 minutes away from the newest one. The ticks count from the last
 * reset; clock_of_boot adds where they went on then. */
struct ticks clock_widen(uint32_t stamp);
struct ticks clock_of_boot(struct ticks since_reset);
struct ticks clock_start(void); /* where they went on; 0 if there was no reset */

void clock_keep(uint32_t stamp); /* the present one; at least every RESUME_MS */

/* Whether `wait` stamps have passed. A wrap between does not matter, but 17 minutes would. */
static inline bool clock_elapsed(uint32_t now, uint32_t since, uint32_t wait)
{
    return (int32_t)(now - since) >= (int32_t)wait;
}

#endif
