/* The two ends of the log's ring, and how a change of them outlives a reset.
 *
 * A reset may come between any two instructions, so nothing that counts is changed in place. `tail`
 * and `head` are working copies, which only ring.c and log.c change. ends_keep then makes the change
 * hold, all of it or none. */
#ifndef ENDS_H
#define ENDS_H

#include "log_size.h"

#include <stdbool.h>
#include <stdint.h>

/* The block being written; changes with every edge. */
struct tail {
    uint16_t length; /* 0 if no block is being written */
    uint16_t edges;
    uint16_t crc;    /* over its bytes, except an unfinished last one */
    uint8_t unused_bits; /* of the last byte; 0 if it is whole */
    uint8_t last;    /* that byte, which no CRC covers as long as it is unfinished */
};

/* All else; changes with every block and acknowledgement. */
struct head {
    uint32_t oldest; /* log position of the oldest byte kept */
    uint32_t acknowledged;
    uint32_t acknowledged_edge;
    uint32_t edges_lost;
    uint32_t first_edge; /* of the block being written or, if none is, of the next one */
    log_bytes oldest_at; /* index of the oldest byte in the ring */
    log_blocks oldest_block;
    log_blocks block; /* the place of the block being written or, if none is, of the next one */
};

enum { KEEP_TAIL = 1, KEEP_HEAD = 2 };

extern struct tail tail;
extern struct head head;

void ends_init(void);
void ends_keep(uint8_t parts);
bool ends_resume(void); /* after a reset: takes up what was kept; false if it faded */

#endif
