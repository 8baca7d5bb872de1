/* A host gives the number once in the life of a board, so the cells of one sector are never used up. */
#include "identity.h"

#include "store.h"

#include <stdbool.h>

struct cell {
    uint32_t number;
    uint32_t complement;
};

enum { CELLS = SECTOR_BYTES / sizeof(struct cell) };

static uint32_t offset_of(uint32_t cell)
{
    return STORE_IDENTITY + cell * sizeof(struct cell);
}

static bool blank(uint32_t cell)
{
    return store_blank(offset_of(cell), sizeof(struct cell));
}

static uint32_t read(uint32_t cell)
{
    const struct cell *at = (const struct cell *)store_at(offset_of(cell));
    return at->number == ~at->complement ? at->number : 0;
}

/* The last one that holds, since a write may have been cut off. */
uint32_t identity(void)
{
    uint32_t found = 0;
    for (uint32_t cell = 0; cell < CELLS && !blank(cell); cell++)
        found = read(cell) ? read(cell) : found;
    return found;
}

void identity_keep(uint32_t number)
{
    struct cell cell = {number, ~number};
    for (uint32_t i = 0; i < CELLS; i++)
        if (blank(i)) {
            store_write(offset_of(i), &cell, sizeof cell);
            return;
        }
}
