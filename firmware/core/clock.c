/* Widens stamps: the one place that counts their wraps (one in 35 minutes). */
#include "clock.h"

#include "messages.h"

static uint32_t newest;
static uint16_t wraps;

void clock_init(void)
{
    newest = 0;
    wraps = 0;
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
