/* The count of starts takes cell after cell of two sectors of flash. When one sector is full the other
 * is erased, so the newest count is never in the sector that is erased. A sector has 1,024 cells and
 * bears 100,000 erasures (from memory). */
#include "reset.h"

#include "chip.h"
#include "store.h"

#include <stdbool.h>

struct cell {
    uint16_t count;
    uint16_t complement;
};

enum {
    CELLS_A_SECTOR = SECTOR_BYTES / sizeof(struct cell),
    CELLS = 2 * CELLS_A_SECTOR,
};

/* Bits of CHIP_RESET. */
enum { BY_POWER = 1 << 8, BY_PIN = 1 << 16 };

static bool no_log; /* the start after this reset found none */

/* For the chip a supply that sagged and one that came on are one cause. What the memory holds differs. */
enum reset_cause reset_cause(void)
{
    if (WATCHDOG_REASON)
        return RESET_WATCHDOG;
    if (CHIP_RESET & BY_POWER)
        return no_log ? RESET_POWER_ON : RESET_BROWN_OUT;
    return CHIP_RESET & BY_PIN ? RESET_EXTERNAL : RESET_UNKNOWN;
}

static uint32_t offset_of(uint32_t cell)
{
    return STORE_BOOTS + cell * sizeof(struct cell);
}

/* 0 if the cell holds no count: it is blank, or was spoilt while it was written. */
static uint16_t read(uint32_t cell)
{
    const struct cell *at = (const struct cell *)store_at(offset_of(cell));
    return (at->count ^ at->complement) == UINT16_MAX ? at->count : 0;
}

/* Counts wrap, so the newer of two is the one that is less than half a round ahead. */
static bool newer(uint16_t count, uint16_t than)
{
    return than == 0 || (int16_t)(count - than) > 0;
}

/* The newest count, 0 if there is none, and its cell. */
static uint16_t newest(uint32_t *cell)
{
    uint16_t best = 0;
    *cell = CELLS - 1;
    for (uint32_t i = 0; i < CELLS; i++) {
        uint16_t count = read(i);
        if (count && newer(count, best)) {
            best = count;
            *cell = i;
        }
    }
    return best;
}

static bool begins_sector(uint32_t cell)
{
    return cell % CELLS_A_SECTOR == 0;
}

/* A blank cell after this one; erases the other sector if this one is full. */
static uint32_t next_blank(uint32_t cell)
{
    do
        cell++;
    while (!begins_sector(cell) && !store_blank(offset_of(cell), sizeof(struct cell)));
    cell %= CELLS;
    if (begins_sector(cell) && !store_blank(offset_of(cell), SECTOR_BYTES))
        store_erase(offset_of(cell));
    return cell;
}

uint16_t reset_count(void)
{
    uint32_t last;
    uint16_t before = newest(&last);
    uint16_t count = before == UINT16_MAX ? 1 : before + 1; /* 0 says "none" to the host */
    struct cell cell = {count, (uint16_t)~count};
    store_write(offset_of(next_blank(last)), &cell, sizeof cell);
    no_log = true;
    return count;
}
