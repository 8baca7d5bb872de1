/* The boards that can be simulated: which chip, how fast, and what is on its pins. */
#ifndef SIM_BOARD_H
#define SIM_BOARD_H

#include <stdint.h>

struct pin {
    char port;
    int bit;
    uint16_t input; /* data address of its PIN register */
};

struct board {
    const char *name;
    const char *mcu;
    unsigned cycles_per_us;
    struct pin a, b, lamp;
    char timer;           /* that stamps A */
    uint16_t timer_flags; /* data address of its TIFR register */
    int capture_vector;
};

extern const struct board *board;

int board_choose(const char *name); /* false if there is none of this name */

#endif
