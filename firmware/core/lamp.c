/* Powers of two in place of milliseconds: no division, and a whole number of them in a stamp's wrap. */
#include "lamp.h"

#include "cold.h"

enum {
    UNIT_BITS = 11, /* 1.02 ms */
    A_BLINK = 64,   /* units */
    SLOW = 1024,
    QUICK = 256,
};

COLD bool lamp_turned(uint32_t stamp, bool waiting, bool low)
{
    uint16_t unit = (uint16_t)(stamp >> UNIT_BITS);
    if (low)
        return unit % QUICK < A_BLINK;
    return waiting && unit % SLOW < A_BLINK;
}
