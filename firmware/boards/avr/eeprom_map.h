/* What the EEPROM keeps, at fixed places: a new firmware must find what an old one left. */
#ifndef BOARD_EEPROM_MAP_H
#define BOARD_EEPROM_MAP_H

#include <stdint.h>

enum { BOOT_SLOTS = 8 };

/* Each number stands beside its complement. A write that the supply cuts off leaves a pair that does
 * not match, which reads as no number. */
struct boot_slot {
    uint16_t count;
    uint16_t complement;
};

struct identity_cell {
    uint32_t number;
    uint32_t complement;
};

struct setup_cell {
    uint16_t edges_per_turn;
    uint8_t sensors;
    uint8_t check;
};

struct eeprom_map {
    struct boot_slot boots[BOOT_SLOTS];
    struct identity_cell identity;
    struct setup_cell setup;
};

extern struct eeprom_map eeprom_map; /* in EEPROM: read and write it by avr/eeprom.h */

#endif
