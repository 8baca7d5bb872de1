/* How large the log is, and the types that count its bytes and its blocks: no wider than they must
 * be, because an 8-bit processor pays for each byte. */
#ifndef LOG_SIZE_H
#define LOG_SIZE_H

#include "messages.h"

#include <stdint.h>

#ifndef LOG_BYTES /* a board says how many */
#define LOG_BYTES 1296
#endif
#define LOG_BLOCKS (LOG_BYTES / BYTES_A_BLOCK)

#if LOG_BYTES < UINT16_MAX
typedef uint16_t log_bytes;
#else
typedef uint32_t log_bytes;
#endif

#if LOG_BLOCKS < UINT8_MAX
typedef uint8_t log_blocks;
#else
typedef uint16_t log_blocks;
#endif

_Static_assert(LOG_BLOCKS < UINT16_MAX, "a place and a count of blocks fit log_blocks");

#endif
