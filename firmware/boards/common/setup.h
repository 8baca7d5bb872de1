/* What a host last set the board up with, for the edges that come before the next host does. */
#ifndef BOARD_SETUP_H
#define BOARD_SETUP_H

#include <stdbool.h>
#include <stdint.h>

struct setup {
    uint16_t edges_per_turn;
    bool one_sensor;
};

struct setup setup(void); /* as kept; that of the first disc if nothing is */
void setup_keep(struct setup now); /* cheap if it is kept already */

#endif
