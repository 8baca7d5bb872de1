/* Widens stamps: the one place that counts their wraps (one in 35 minutes). */
#include "clock.h"

#include "cold.h"
#include "kept.h"
#include "messages.h"
#include "order.h"

static uint32_t newest;
static uint16_t wraps;
static struct ticks start;
struct kept {
    struct ticks ticks;
    uint8_t check;
};

KEPT static struct kept kept[2]; /* one is written while the other holds */
KEPT static uint8_t holding;

static struct ticks sum(struct ticks a, struct ticks b)
{
    uint32_t low = a.low + b.low;
    struct ticks ticks = {low, (uint8_t)(a.high + b.high + (low < a.low))};
    return ticks;
}

static void init(struct ticks from)
{
    newest = 0;
    wraps = 0;
    start = from;
}

static uint8_t check(struct ticks ticks)
{
    uint8_t bytes = (uint8_t)(ticks.high ^ 0x5A); /* memory that is all 0 does not fit */
    for (uint8_t i = 0; i < 4; i++, ticks.low >>= 8)
        bytes = (uint8_t)(bytes + ticks.low);
    return bytes;
}

COLD void clock_init(void)
{
    init((struct ticks){0, 0});
    clock_keep(0);
}

/* An edge may have come after the clock was kept last, but by less than RESUME_MS. */
COLD bool clock_resume(void)
{
    struct ticks later = {(RESUME_MS * STAMPS_PER_MS) >> EDGE_TICKS_SHIFT, 0};
    struct kept last = kept[holding & 1];
    init(sum(last.ticks, later));
    clock_keep(0);
    return last.check == check(last.ticks);
}

struct ticks clock_start(void)
{
    return start;
}

struct ticks clock_of_boot(struct ticks since_reset)
{
    return sum(start, since_reset);
}

struct ticks clock_widen(uint32_t stamp)
{
    uint16_t of_stamp = wraps;
    if ((int32_t)(stamp - newest) >= 0) {
        if (stamp < newest)
            wraps++;
        newest = stamp;
        of_stamp = wraps;
    } else if (stamp > newest) {
        of_stamp--; /* older than the wrap that was just counted */
    }
    uint8_t carried = (uint8_t)(of_stamp << (8 - EDGE_TICKS_SHIFT)); /* 8-bit shifts are cheap */
    struct ticks ticks = {
        .low = (uint32_t)carried << 24 | stamp >> EDGE_TICKS_SHIFT,
        .high = (uint8_t)(of_stamp >> EDGE_TICKS_SHIFT),
    };
    return ticks;
}

COLD void clock_keep(uint32_t stamp)
{
    uint8_t other = holding ? 0 : 1;
    struct ticks ticks = clock_of_boot(clock_widen(stamp));
    kept[other] = (struct kept){ticks, check(ticks)};
    keep_order();
    holding = other;
    keep_order();
}
