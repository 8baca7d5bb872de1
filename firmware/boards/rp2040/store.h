/* What the flash keeps for the board: sectors of small cells, each written once.
 *
 * A cell is a number beside its complement. A write that the supply cuts off leaves a pair that does
 * not match, which reads as no number. The places are fixed: a new firmware must find what an old one
 * left. */
#ifndef BOARD_STORE_H
#define BOARD_STORE_H

#include <stdbool.h>
#include <stdint.h>

#define STORE_BOOTS 0xFD000U /* from the flash's start; two sectors */
#define STORE_IDENTITY 0xFF000U
#define STORE_SETUP 0xFC000U
enum { SECTOR_BYTES = 4096 };

const uint8_t *store_at(uint32_t offset);
bool store_blank(uint32_t offset, uint32_t bytes);
/* Writing takes a millisecond, erasing up to half a second. Edges are stamped meanwhile. */
void store_write(uint32_t offset, const void *data, uint32_t bytes); /* within a page of 256 bytes */
void store_erase(uint32_t offset);                                   /* a sector */

#endif
