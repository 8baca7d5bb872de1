/* The log's memory: coded bytes in a ring, cut into blocks, and how they outlive a reset.
 *
 * The functions here write bytes outside of what is kept, and change the working copies of the ends
 * (ends.h). What they did holds from the next ends_keep on. */
#ifndef RING_H
#define RING_H

#include "ends.h"
#include "log_size.h"

#include <stdbool.h>
#include <stdint.h>

void ring_init(void);
bool ring_resume(void); /* after a reset: takes up what was kept; false if that is no log */

uint32_t ring_end(void); /* log position after the last byte, which may be unfinished */
log_bytes ring_used(void);
log_blocks ring_blocks(void);           /* the one being written too */
uint16_t ring_length(log_blocks block); /* 0 is the oldest */
uint8_t ring_byte(log_bytes after_oldest);
uint32_t ring_number(log_bytes after_oldest); /* of four bytes */

/* These change the working copies. */
void ring_put_byte(uint8_t byte); /* only after a whole byte */
void ring_put_bits(uint32_t bits, uint8_t count);
void ring_end_block(void);         /* fills the last byte with zeros */
uint16_t ring_forget_oldest(void); /* a whole block; returns how many edges were in it */

#endif
