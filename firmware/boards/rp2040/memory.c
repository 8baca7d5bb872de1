/* What the compiler calls by itself to copy and fill memory. */
#include "memory.h"

#include <stdint.h>

void *memcpy(void *to, const void *from, size_t count)
{
    uint8_t *out = to;
    for (const uint8_t *in = from; count; count--)
        *out++ = *in++;
    return to;
}

void *memset(void *to, int value, size_t count)
{
    for (uint8_t *out = to; count; count--)
        *out++ = (uint8_t)value;
    return to;
}
