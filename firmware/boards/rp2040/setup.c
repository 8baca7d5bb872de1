/* Each change takes a cell of one sector, which is erased when it is full. If the power fails just
 * then, nothing is kept until the next host sets the board up. */
#include "setup.h"

#include "store.h"

enum { FIRST_DISC = 20 };

struct cell {
    uint32_t number; /* edges a turn, and above them whether there is one sensor */
    uint32_t complement;
};

enum { CELLS = SECTOR_BYTES / sizeof(struct cell), ONE_SENSOR = 1 << 16 };

static struct setup kept;
static uint32_t next; /* the first blank cell; CELLS if there is none */

static uint32_t offset_of(uint32_t cell)
{
    return STORE_SETUP + cell * sizeof(struct cell);
}

static struct setup setup_in(uint32_t cell, struct setup otherwise)
{
    const struct cell *at = (const struct cell *)store_at(offset_of(cell));
    if (at->number != ~at->complement)
        return otherwise;
    return (struct setup){(uint16_t)at->number, (at->number & ONE_SENSOR) != 0};
}

struct setup setup(void)
{
    kept = (struct setup){FIRST_DISC, false};
    for (next = 0; next < CELLS && !store_blank(offset_of(next), sizeof(struct cell)); next++)
        kept = setup_in(next, kept);
    return kept;
}

void setup_keep(struct setup now)
{
    if (now.edges_per_turn == kept.edges_per_turn && now.one_sensor == kept.one_sensor)
        return;
    kept = now;
    if (next == CELLS) {
        store_erase(STORE_SETUP);
        next = 0;
    }
    uint32_t number = now.edges_per_turn | (now.one_sensor ? ONE_SENSOR : 0U);
    struct cell cell = {number, ~number};
    store_write(offset_of(next), &cell, sizeof cell);
    next++;
}
