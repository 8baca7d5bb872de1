/* The bytes of the blocks stand one after the other in the ring, the lengths of whole blocks beside it.
 *
 * Each block has a CRC, which must hold after a reset. So memory that faded with the supply is not
 * taken for a log. */
#include "ring.h"

#include "cold.h"
#include "crc16.h"
#include "kept.h"
#include "messages.h"

#define NO_BLOCKS ((log_bytes)-1)

enum { PLACES = LOG_BLOCKS + 1 }; /* one more, so that no block and all of them differ */

struct block {
    uint16_t length;
    uint16_t edges;
    uint16_t crc; /* over its bytes and `edges` */
};

KEPT static uint8_t ring[LOG_BYTES];
KEPT static struct block blocks[PLACES]; /* whole ones */

static uint32_t end;
static log_bytes last_at; /* index of the last byte */

static log_bytes ring_index(log_bytes after_oldest)
{
    log_bytes at = (log_bytes)(head.oldest_at + after_oldest);
    return at < LOG_BYTES ? at : (log_bytes)(at - LOG_BYTES);
}

/* Where the log ends, by what is known of its blocks. */
static void find_end(log_bytes used)
{
    end = head.oldest + used;
    last_at = ring_index(used);
    last_at = (log_bytes)((last_at ? last_at : LOG_BYTES) - 1);
}

COLD void ring_init(void)
{
    ends_init();
    find_end(0);
}

uint32_t ring_end(void)
{
    return end;
}

log_bytes ring_used(void)
{
    return (log_bytes)((log_bytes)end - (log_bytes)head.oldest);
}

static log_blocks place(log_blocks block)
{
    log_blocks at = (log_blocks)(head.oldest_block + block);
    return at < PLACES ? at : (log_blocks)(at - PLACES);
}

static log_blocks whole_blocks(void)
{
    log_blocks count = (log_blocks)(head.block - head.oldest_block);
    return head.block >= head.oldest_block ? count : (log_blocks)(count + PLACES);
}

log_blocks ring_blocks(void)
{
    return (log_blocks)(whole_blocks() + (tail.length > 0));
}

uint16_t ring_length(log_blocks block)
{
    return block < whole_blocks() ? blocks[place(block)].length : tail.length;
}

uint8_t ring_byte(log_bytes after_oldest)
{
    return ring[ring_index(after_oldest)];
}

COLD uint32_t ring_number(log_bytes after_oldest)
{
    uint32_t number = 0;
    for (uint8_t i = 4; i-- > 0;)
        number = number << 8 | ring_byte((log_bytes)(after_oldest + i));
    return number;
}

static void begin_byte(uint8_t byte)
{
    if (++last_at == LOG_BYTES)
        last_at = 0;
    ring[last_at] = byte;
    end++;
    tail.length++;
}

static void end_byte(void)
{
    tail.crc = crc16_add(tail.crc, ring[last_at]);
    tail.unused_bits = 0;
}

void ring_put_byte(uint8_t byte)
{
    begin_byte(byte);
    end_byte();
}

static void put_up_to_8(uint8_t bits, uint8_t count)
{
    if (tail.unused_bits == 0) {
        begin_byte(0);
        tail.unused_bits = 8;
    }
    if (count < tail.unused_bits) {
        tail.unused_bits = (uint8_t)(tail.unused_bits - count);
        ring[last_at] |= (uint8_t)(bits << tail.unused_bits);
        return;
    }
    count = (uint8_t)(count - tail.unused_bits);
    ring[last_at] |= (uint8_t)(bits >> count);
    end_byte();
    if (count == 0)
        return;
    tail.unused_bits = (uint8_t)(8 - count);
    begin_byte((uint8_t)(bits << tail.unused_bits));
}

/* Byte by byte: shifting 32 bits by a varying count is slow on an 8-bit processor. */
void ring_put_bits(uint32_t bits, uint8_t count)
{
    uint8_t bytes[] = {(uint8_t)bits, (uint8_t)(bits >> 8), (uint8_t)(bits >> 16),
                       (uint8_t)(bits >> 24)};
    uint8_t whole = count / 8;
    if (count % 8)
        put_up_to_8(bytes[whole], count % 8);
    while (whole)
        put_up_to_8(bytes[--whole], 8);
    tail.last = ring[last_at];
}

COLD static uint16_t with_edges(uint16_t crc, uint16_t edges)
{
    return crc16_add(crc16_add(crc, (uint8_t)edges), (uint8_t)(edges >> 8));
}

COLD void ring_end_block(void)
{
    if (tail.unused_bits)
        end_byte();
    uint16_t crc = with_edges(tail.crc, tail.edges);
    blocks[head.block] = (struct block){tail.length, tail.edges, crc};
    if (++head.block == PLACES)
        head.block = 0;
    head.first_edge += tail.edges;
    tail = (struct tail){.crc = CRC16_START};
}

COLD uint16_t ring_forget_oldest(void)
{
    const struct block *oldest = &blocks[head.oldest_block];
    head.oldest_at = ring_index(oldest->length);
    head.oldest += oldest->length;
    if (++head.oldest_block == PLACES)
        head.oldest_block = 0;
    return oldest->edges;
}

COLD static uint16_t crc_at(log_bytes at, uint16_t length)
{
    uint16_t crc = CRC16_START;
    for (; length; at++, length--)
        crc = crc16_add(crc, ring_byte(at));
    return crc;
}

/* Whether this is a block and begins with edge `edge` or a later one. */
COLD static bool sound_block(log_bytes at, const struct block *block, uint32_t edge)
{
    return block->length >= BLOCK_HEADER && block->length <= LOG_BYTES - at &&
           with_edges(crc_at(at, block->length), block->edges) == block->crc &&
           ring_number(at) >= edge;
}

/* Returns the bytes of the whole blocks, or NO_BLOCKS if one is not sound. */
COLD static log_bytes sound_blocks(void)
{
    log_bytes used = 0;
    uint32_t edge = 0;
    for (log_blocks i = 0; i < whole_blocks(); i++) {
        const struct block *block = &blocks[place(i)];
        if (!sound_block(used, block, edge))
            return NO_BLOCKS;
        edge = ring_number(used) + block->edges;
        used = (log_bytes)(used + block->length);
    }
    return edge <= head.first_edge ? used : NO_BLOCKS;
}

/* The same of the block being written, whose last byte may be unfinished. */
COLD static bool sound_tail(log_bytes at)
{
    if (tail.length == 0)
        return true;
    uint16_t whole = (uint16_t)(tail.length - (tail.unused_bits > 0));
    return whole >= BLOCK_HEADER && tail.length <= LOG_BYTES - at &&
           crc_at(at, whole) == tail.crc && ring_number(at) == head.first_edge;
}

static bool sound_places(void)
{
    return head.block < PLACES && head.oldest_block < PLACES && head.oldest_at < LOG_BYTES &&
           tail.unused_bits < 8;
}

static bool sound_counts(void)
{
    uint32_t next_edge = head.first_edge + tail.edges;
    return head.acknowledged <= end && head.acknowledged_edge <= next_edge &&
           head.edges_lost <= next_edge;
}

COLD bool ring_resume(void)
{
    if (!ends_resume())
        return false;
    log_bytes used = sound_places() ? sound_blocks() : NO_BLOCKS;
    if (used == NO_BLOCKS || !sound_tail(used))
        return false;
    find_end((log_bytes)(used + tail.length));
    if (!sound_counts())
        return false;
    if (tail.unused_bits) /* without the bits of an edge that did not get to hold */
        ring[last_at] = tail.last;
    ends_keep(KEEP_TAIL | KEEP_HEAD);
    return true;
}
