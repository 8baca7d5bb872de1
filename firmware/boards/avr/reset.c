/* The cause is saved and the watchdog stopped before the C start-up. After a watchdog reset it runs
 * on at 16 ms, and would reset the chip again during a long start (avr-libc's wdt.h).
 *
 * The count lives in EEPROM slots taken in turn. A supply that fails in the middle of a write spoils
 * only the slot being written, so the count never goes back. The wear is shared: 8 slots x 100,000
 * writes outlast any board. */
#include "reset.h"

#include "eeprom_map.h"

#include <avr/eeprom.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <stdbool.h>

static uint8_t flags __attribute__((section(".noinit")));

void reset_save(void) __attribute__((naked, used, section(".init3")));
void reset_save(void)
{
    flags = MCUSR;
    MCUSR = 0;
    wdt_disable();
}

/* Several flags may be up: power that comes on slowly is a brown-out too. None is up if a boot loader
 * has cleared them. */
enum reset_cause reset_cause(void)
{
    if (flags & _BV(PORF))
        return RESET_POWER_ON;
    if (flags & _BV(BORF))
        return RESET_BROWN_OUT;
    if (flags & _BV(WDRF))
        return RESET_WATCHDOG;
    return (flags & _BV(EXTRF)) ? RESET_EXTERNAL : RESET_UNKNOWN;
}

/* 0 if the slot holds no count: it is blank, or was spoilt while it was written. */
static uint16_t read(uint8_t index)
{
    struct boot_slot slot;
    eeprom_read_block(&slot, &eeprom_map.boots[index], sizeof slot);
    return slot.count == (uint16_t)~slot.complement ? slot.count : 0;
}

/* Counts wrap, so the newer of two is the one that is less than half a round ahead. */
static bool newer(uint16_t count, uint16_t than)
{
    return than == 0 || (int16_t)(count - than) > 0;
}

/* The newest count, 0 if there is none, and its slot. */
static uint16_t newest(uint8_t *slot)
{
    uint16_t best = 0;
    *slot = 0;
    for (uint8_t i = 0; i < BOOT_SLOTS; ++i) {
        uint16_t count = read(i);
        if (count && newer(count, best)) {
            best = count;
            *slot = i;
        }
    }
    return best;
}

uint16_t reset_count(void)
{
    uint8_t last;
    uint16_t before = newest(&last);
    uint16_t count = before == UINT16_MAX ? 1 : before + 1; /* 0 says "none" to the host */
    struct boot_slot slot = {count, (uint16_t)~count};
    eeprom_update_block(&slot, &eeprom_map.boots[(last + 1) % BOOT_SLOTS], sizeof slot);
    return count;
}
