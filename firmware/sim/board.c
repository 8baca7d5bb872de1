/* Pins as in boards/<board>/chip.h, addresses and vectors as in the chips' datasheets. */
#include "board.h"

#include <string.h>

#define ATMEGA328P                                                                                 \
    .mcu = "atmega328p", .a = {'B', 0, 0x23}, .b = {'D', 7, 0x29}, .lamp = {'B', 5, 0x23},          \
    .timer = '1', .timer_flags = 0x36, .capture_vector = 10

static const struct board boards[] = {
    {.name = "atmega328p", .cycles_per_us = 16, ATMEGA328P},
    {.name = "atmega328p-8mhz", .cycles_per_us = 8, ATMEGA328P},
    {
        .name = "atmega2560",
        .mcu = "atmega2560",
        .cycles_per_us = 16,
        .a = {'L', 0, 0x109},
        .b = {'B', 3, 0x23},
        .lamp = {'B', 7, 0x23},
        .timer = '4',
        .timer_flags = 0x39,
        .capture_vector = 41,
    },
};

const struct board *board = boards;

int board_choose(const char *name)
{
    for (size_t i = 0; i < sizeof boards / sizeof *boards; ++i)
        if (strcmp(boards[i].name, name) == 0) {
            board = &boards[i];
            return 1;
        }
    return 0;
}
