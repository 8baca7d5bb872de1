/* How the chip reads its flash as memory: the plain read command (03h) of every serial flash, with a
 * quarter of the chip's clock. It is slow and safe; the cache in front of it holds the whole program. */
#ifndef BOARD_XIP_H
#define BOARD_XIP_H

#include "chip.h"

enum {
    XIP_CLOCK_DIVIDER = 4,
    XIP_32_BITS = 31 << 16,   /* CTRLR0: a word is 32 bits, */
    XIP_READ = 3 << 8,        /* a command goes out and data comes in */
    XIP_COMMAND_8 = 2 << 8,   /* SPI_CTRLR0: bits of the command, */
    XIP_ADDRESS_24 = 6 << 2,  /* of the address in fours; both over one wire */
    XIP_PLAIN_READ = 3 << 24, /* 03h */
};

static inline void xip_set_up(void)
{
    SSI_SSIENR = 0;
    SSI_BAUDR = XIP_CLOCK_DIVIDER;
    SSI_CTRLR0 = XIP_32_BITS | XIP_READ;
    SSI_CTRLR1 = 0;
    SSI_SER = 1;
    SSI_SPI_CTRLR0 = XIP_PLAIN_READ | XIP_COMMAND_8 | XIP_ADDRESS_24;
    SSI_SSIENR = 1;
}

#endif
