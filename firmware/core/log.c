/* The log's ring: bytes between `oldest` and `oldest + used`, block lengths beside it. */
#include "log.h"

#include "clock.h"
#include "coder.h"
#include "messages.h"

#define ROOM (2 * BLOCK_HEADER) /* a header, or the longest code and a closing code, fit in this */

_Static_assert(LOG_BYTES >= 2 * (BLOCK_BYTES + ROOM), "the log holds two blocks");
_Static_assert((CODE_LONGEST + 14 + 7) / 8 + 1 < ROOM, "room for a code and a closing code");

static uint8_t ring[LOG_BYTES];
static uint16_t oldest_at; /* index in ring of the oldest byte kept */
static uint16_t used;
static uint32_t oldest; /* its log position */
static uint16_t lengths[LOG_BLOCKS];
static uint16_t edges[LOG_BLOCKS]; /* in each block */
static uint8_t blocks;
static bool open; /* the last block is being written */
static uint8_t unused_bits;

static uint32_t acknowledged;
static uint32_t next_edge;
static uint32_t acknowledged_edge;
static uint32_t edges_lost;
static struct ticks newest; /* of the last edge */

void log_init(void)
{
    oldest_at = used = 0;
    oldest = acknowledged = 0;
    next_edge = acknowledged_edge = edges_lost = 0;
    blocks = unused_bits = 0;
    open = false;
}

static uint16_t ring_index(uint16_t after_oldest)
{
    uint16_t at = (uint16_t)(oldest_at + after_oldest);
    return at < LOG_BYTES ? at : (uint16_t)(at - LOG_BYTES);
}

uint8_t log_byte(uint32_t position)
{
    return ring[ring_index((uint16_t)(position - oldest))];
}

static uint32_t first_edge_of(uint32_t position)
{
    uint32_t edge = 0;
    for (uint8_t i = 4; i-- > 0;)
        edge = edge << 8 | log_byte(position + i);
    return edge;
}

static void put_byte(uint8_t byte)
{
    ring[ring_index(used++)] = byte;
    lengths[blocks - 1]++;
}

static void put_up_to_8(uint8_t bits, uint8_t count)
{
    if (unused_bits == 0) {
        put_byte(0);
        unused_bits = 8;
    }
    uint8_t *last = &ring[ring_index((uint16_t)(used - 1))];
    if (count <= unused_bits) {
        unused_bits = (uint8_t)(unused_bits - count);
        *last |= (uint8_t)(bits << unused_bits);
        return;
    }
    count = (uint8_t)(count - unused_bits);
    *last |= (uint8_t)(bits >> count);
    unused_bits = (uint8_t)(8 - count);
    put_byte((uint8_t)(bits << unused_bits));
}

/* Byte by byte: shifting 32 bits by a varying count is slow on an 8-bit processor. */
static void put_bits(uint32_t bits, uint8_t count)
{
    uint8_t bytes[] = {(uint8_t)bits, (uint8_t)(bits >> 8), (uint8_t)(bits >> 16),
                       (uint8_t)(bits >> 24)};
    uint8_t whole = count / 8;
    if (count % 8)
        put_up_to_8(bytes[whole], count % 8);
    while (whole)
        put_up_to_8(bytes[--whole], 8);
}

static void put_code(const struct code *code)
{
    put_bits(code->prefix, code->prefix_bits);
    put_bits(code->rest, code->rest_bits);
}

static void forget_oldest(void)
{
    oldest_at = ring_index(lengths[0]);
    oldest += lengths[0];
    used = (uint16_t)(used - lengths[0]);
    blocks--;
    for (uint8_t i = 0; i < blocks; i++) {
        lengths[i] = lengths[i + 1];
        edges[i] = edges[i + 1];
    }
}

static void drop_oldest(void)
{
    uint32_t first = first_edge_of(oldest);
    uint32_t after = first + edges[0]; /* missed ones after it are counted already */
    forget_oldest();
    if (first < acknowledged_edge)
        first = acknowledged_edge;
    if (after > first)
        edges_lost += after - first;
}

static void put_number(uint32_t value, uint8_t bytes)
{
    for (; bytes; bytes--, value >>= 8)
        put_byte((uint8_t)value);
}

static void open_block(struct ticks ticks, bool forward, uint16_t edges_per_turn)
{
    if (blocks == LOG_BLOCKS)
        drop_oldest();
    uint8_t slots = edges_per_turn <= MAX_SLOTS ? (uint8_t)edges_per_turn : 0;
    lengths[blocks] = edges[blocks] = 0;
    blocks++;
    put_number(next_edge, 4);
    put_number(ticks.low, 4);
    put_byte(ticks.high);
    put_byte((uint8_t)(slots << 1 | forward));
    coder_begin(slots, forward);
    open = true;
}

void log_close_block(void)
{
    if (!open)
        return;
    struct code code;
    coder_end(&code);
    put_code(&code);
    unused_bits = 0;
    open = false;
}

/* Whether an interval of 32 bits still reaches from the last edge to here. */
static bool reachable(struct ticks ticks)
{
    uint8_t high = (uint8_t)(ticks.high - newest.high);
    return high == 0 || (high == 1 && ticks.low < newest.low);
}

void log_edge(uint32_t stamp, bool forward, uint16_t edges_per_turn)
{
    struct ticks ticks = clock_widen(stamp);
    while (LOG_BYTES - used < ROOM)
        drop_oldest();
    if (open && !reachable(ticks))
        log_close_block();
    if (open) {
        struct code code;
        coder_interval(ticks.low - newest.low, forward, &code);
        put_code(&code);
    } else {
        open_block(ticks, forward, edges_per_turn);
    }
    newest = ticks;
    next_edge++;
    edges[blocks - 1]++;
    if (lengths[blocks - 1] >= BLOCK_BYTES)
        log_close_block();
}

void log_missed(uint16_t count)
{
    log_close_block();
    next_edge += count;
    edges_lost += count;
}

void log_acknowledge(uint32_t position, uint32_t edge)
{
    if (position > log_whole_end())
        position = log_whole_end();
    if (position > acknowledged)
        acknowledged = position;
    if (edge > next_edge)
        edge = next_edge;
    if (edge > acknowledged_edge)
        acknowledged_edge = edge;
    while (blocks > open && oldest + lengths[0] <= acknowledged)
        forget_oldest();
}

void log_unacknowledge(uint32_t position)
{
    if (position < acknowledged)
        acknowledged = position;
}

uint32_t log_end(void)
{
    return oldest + used;
}

uint8_t log_end_unused(void)
{
    return unused_bits;
}

uint32_t log_whole_end(void)
{
    return unused_bits ? log_end() - 1 : log_end();
}

uint32_t log_acknowledged(void)
{
    return acknowledged;
}

uint32_t log_next_edge(void)
{
    return next_edge;
}

uint32_t log_acknowledged_edge(void)
{
    return acknowledged_edge;
}

uint32_t log_edges_lost(void)
{
    return edges_lost;
}

uint8_t log_fill_percent(void)
{
    return (uint8_t)((uint32_t)used * 100 / LOG_BYTES);
}

static struct log_place place(uint32_t position, uint8_t block)
{
    struct log_place found = {position, block < blocks ? first_edge_of(position) : next_edge};
    return found;
}

uint32_t log_oldest_position(void)
{
    return oldest;
}

struct log_place log_oldest(void)
{
    return place(oldest, 0);
}

struct log_place log_block_of_edge(uint32_t edge)
{
    struct log_place found = log_oldest();
    uint32_t position = oldest;
    for (uint8_t i = 0; i < blocks; position += lengths[i], i++) {
        struct log_place candidate = place(position, i);
        if (candidate.edge <= edge)
            found = candidate;
    }
    return found;
}

/* The index of the block that holds this position or will hold it; `start` is where it begins. */
static uint8_t block_at(uint32_t position, uint32_t *start)
{
    *start = oldest;
    uint8_t i = 0;
    for (; i < blocks; *start += lengths[i], i++) {
        bool growing = open && i == blocks - 1;
        if (position < *start + lengths[i] + growing)
            break;
    }
    return i;
}

struct log_place log_block_at(uint32_t position)
{
    uint32_t start;
    uint8_t block = block_at(position, &start);
    return place(start, block);
}

struct log_piece log_piece_at(uint32_t position, uint8_t room)
{
    uint32_t start;
    uint8_t block = block_at(position, &start);
    uint16_t left = block < blocks ? (uint16_t)(start + lengths[block] - position) : 0;
    bool whole = left <= room;
    struct log_piece piece = {
        .length = whole ? (uint8_t)left : room,
        .unused_bits = whole && block == blocks - 1 ? unused_bits : 0,
        .starts_block = position == start,
    };
    return piece;
}
