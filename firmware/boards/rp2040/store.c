/* The boot ROM has the functions that write the flash, and a table of them (RP2040 datasheet, "Bootrom
 * Contents"; from memory). While they work nothing can be read from the flash, so what calls them
 * stands in RAM, as do the interrupts. */
#include "store.h"

#include "chip.h"
#include "memory.h"
#include "xip.h"

enum { PAGE_BYTES = 256, BLOCK_BYTES_ERASED = 1 << 16, BLOCK_ERASE = 0xD8 };

typedef void (*step)(void);
typedef void (*erase)(uint32_t offset, uint32_t count, uint32_t block, uint8_t command);
typedef void (*program)(uint32_t offset, const uint8_t *data, uint32_t count);

static struct {
    step connect, leave_xip, flush, enter_xip;
    erase erase;
    program program;
} rom;

/* Where the ROM says where its table is, and the function that searches it (link.ld). */
extern const volatile uint16_t rom_table, rom_search;

static uintptr_t rom_function(char first, char second)
{
    typedef uintptr_t (*search)(uintptr_t table, uint32_t code);
    search look_up = (search)(uintptr_t)rom_search;
    return look_up(rom_table, (uint32_t)second << 8 | (uint8_t)first);
}

static void find_rom(void)
{
    rom.connect = (step)rom_function('I', 'F');
    rom.leave_xip = (step)rom_function('E', 'X');
    rom.flush = (step)rom_function('F', 'C');
    rom.enter_xip = (step)rom_function('C', 'X');
    rom.erase = (erase)rom_function('R', 'E');
    rom.program = (program)rom_function('R', 'P');
}

const uint8_t *store_at(uint32_t offset)
{
    return (const uint8_t *)(uintptr_t)(FLASH_BASE + offset);
}

bool store_blank(uint32_t offset, uint32_t bytes)
{
    const uint8_t *at = store_at(offset);
    for (uint32_t i = 0; i < bytes; i++)
        if (at[i] != 0xFF)
            return false;
    return true;
}

IN_RAM(leave_flash) static void leave_flash(void)
{
    rom.connect();
    rom.leave_xip();
}

IN_RAM(return_to_flash) static void return_to_flash(void)
{
    rom.flush();
    rom.enter_xip();
    xip_set_up();
}

IN_RAM(write) static void write_page(uint32_t offset, const uint8_t *page)
{
    leave_flash();
    rom.program(offset, page, PAGE_BYTES);
    return_to_flash();
}

/* The bits of a page that are written as 1 stay as they are. */
void store_write(uint32_t offset, const void *data, uint32_t bytes)
{
    uint8_t page[PAGE_BYTES];
    memset(page, 0xFF, sizeof page);
    memcpy(page + offset % PAGE_BYTES, data, bytes);
    find_rom();
    write_page(offset - offset % PAGE_BYTES, page);
}

IN_RAM(erase) static void erase_sector(uint32_t offset)
{
    leave_flash();
    rom.erase(offset, SECTOR_BYTES, BLOCK_BYTES_ERASED, BLOCK_ERASE);
    return_to_flash();
}

void store_erase(uint32_t offset)
{
    find_rom();
    erase_sector(offset);
}
