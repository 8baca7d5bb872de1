/* The log: coded edges in a ring of bytes, cut into blocks that stand alone.
 *
 * Log positions count bytes from boot. Memory is given back a whole block at a time, so that the
 * block being written can always be decoded from its start. When memory runs out the oldest block is
 * dropped, and its unacknowledged edges count as lost.
 *
 * What each function here has done when it returns outlives a reset (ends.h). */
#ifndef LOG_H
#define LOG_H

#include <stdbool.h>
#include <stdint.h>

/* A stretch of the log as one frame may carry it. */
struct log_piece {
    uint8_t length;
    uint8_t unused_bits; /* of its last byte */
    bool starts_block;
};

/* A kept block, or where the next one will begin. */
struct log_place {
    uint32_t position;
    uint32_t edge;
};

void log_init(void);
bool log_resume(void); /* after a reset: goes on with what is kept; false if that is no log */
void log_edge(uint32_t stamp, bool forward, uint16_t edges_per_turn);
void log_missed(uint16_t count);
void log_close_block(void);
void log_acknowledge(uint32_t position, uint32_t edge);

uint32_t log_end(void);          /* position after the last byte, which may be unfinished */
uint8_t log_end_unused(void);    /* unused bits of the last byte */
uint32_t log_whole_end(void);    /* position after the last full byte */
uint32_t log_acknowledged(void); /* all before this position is with the host */
void log_unacknowledge(uint32_t position);
uint32_t log_next_edge(void);
uint32_t log_acknowledged_edge(void);
uint32_t log_edges_lost(void);
uint8_t log_fill_percent(void);

uint32_t log_oldest_position(void);
struct log_place log_oldest(void);
struct log_place log_block_of_edge(uint32_t edge);
struct log_place log_block_at(uint32_t position);

/* What of the log from `position` on fits `room` bytes and stays in one block. */
struct log_piece log_piece_at(uint32_t position, uint8_t room);
uint8_t log_byte(uint32_t position);

#endif
