/* Edges to blocks, and what a host may ask of them. See log.h. */
#include "log.h"

#include "clock.h"
#include "cold.h"
#include "coder.h"
#include "messages.h"
#include "ring.h"

#define ROOM (2 * BLOCK_HEADER) /* a header, or the longest code and a closing code, fit in this */

_Static_assert(LOG_BYTES >= 2 * (BLOCK_BYTES + ROOM), "the log holds two blocks");
_Static_assert((CODE_LONGEST + 14 + 7) / 8 + 1 < ROOM, "room for a code and a closing code");
_Static_assert(BLOCK_HEADER + RESTART_BYTES + 2 < ROOM, "room for a header and a closing code");
_Static_assert(MAX_SLOTS < BLOCK_RESTARTED >> 1, "slots fit between direction and mark");

static struct ticks newest; /* of the last edge, since the last reset */
static bool restarted; /* no edge came since */

COLD void log_init(void)
{
    ring_init();
    restarted = false;
}

COLD bool log_resume(void)
{
    if (!ring_resume())
        return false;
    log_close_block();
    restarted = true;
    return true;
}

static bool writing(void)
{
    return tail.length > 0;
}

uint8_t log_byte(uint32_t position)
{
    return ring_byte((log_bytes)(position - head.oldest));
}

static void put_code(const struct code *code)
{
    ring_put_bits(code->prefix, code->prefix_bits);
    ring_put_bits(code->rest, code->rest_bits);
}

COLD static void drop_oldest(void)
{
    uint32_t first = ring_number(0);
    uint32_t after = first + ring_forget_oldest(); /* missed ones after it are counted already */
    if (first < head.acknowledged_edge)
        first = head.acknowledged_edge;
    if (after > first)
        head.edges_lost += after - first;
    ends_keep(KEEP_HEAD);
}

static void put_number(uint32_t value)
{
    for (uint8_t i = 0; i < 4; i++, value >>= 8)
        ring_put_byte((uint8_t)value);
}

static void put_ticks(struct ticks ticks)
{
    put_number(ticks.low);
    ring_put_byte(ticks.high);
}

COLD static void open_block(struct ticks ticks, bool forward, uint16_t edges_per_turn)
{
    uint8_t slots = edges_per_turn <= MAX_SLOTS ? (uint8_t)edges_per_turn : 0;
    put_number(head.first_edge);
    put_ticks(clock_of_boot(ticks));
    ring_put_byte((uint8_t)((restarted ? BLOCK_RESTARTED : 0U) | slots << 1 | forward));
    if (restarted)
        put_ticks(clock_start());
    restarted = false;
    coder_begin(slots, forward);
}

COLD void log_close_block(void)
{
    if (!writing())
        return;
    struct code code;
    coder_end(&code);
    put_code(&code);
    ring_end_block();
    ends_keep(KEEP_TAIL | KEEP_HEAD);
}

/* Whether an interval of 32 bits still reaches from the last edge to here. */
static bool reachable(struct ticks ticks)
{
    uint8_t high = (uint8_t)(ticks.high - newest.high);
    return high == 0 || (high == 1 && ticks.low < newest.low);
}

static void code_edge(struct ticks ticks, bool forward)
{
    struct code code;
    coder_interval(ticks.low - newest.low, forward, &code);
    put_code(&code);
}

void log_edge(uint32_t stamp, bool forward, uint16_t edges_per_turn)
{
    struct ticks ticks = clock_widen(stamp);
    while (LOG_BYTES - ring_used() < ROOM)
        drop_oldest();
    if (!reachable(ticks))
        log_close_block();
    if (!writing() && ring_blocks() == LOG_BLOCKS)
        drop_oldest();
    if (writing())
        code_edge(ticks, forward);
    else
        open_block(ticks, forward, edges_per_turn);
    newest = ticks;
    tail.edges++;
    if (tail.length >= BLOCK_BYTES)
        log_close_block();
    else
        ends_keep(KEEP_TAIL);
}

COLD void log_missed(uint16_t count)
{
    log_close_block();
    head.first_edge += count;
    head.edges_lost += count;
    ends_keep(KEEP_HEAD);
}

static uint32_t lesser(uint32_t a, uint32_t b)
{
    return a < b ? a : b;
}

COLD void log_acknowledge(uint32_t position, uint32_t edge)
{
    position = lesser(position, log_whole_end());
    if (position > head.acknowledged)
        head.acknowledged = position;
    edge = lesser(edge, log_next_edge());
    if (edge > head.acknowledged_edge)
        head.acknowledged_edge = edge;
    while (ring_blocks() > writing() && head.oldest + ring_length(0) <= head.acknowledged)
        (void)ring_forget_oldest();
    ends_keep(KEEP_HEAD);
}

COLD void log_unacknowledge(uint32_t position)
{
    head.acknowledged = lesser(head.acknowledged, position);
    ends_keep(KEEP_HEAD);
}

uint32_t log_end(void)
{
    return ring_end();
}

uint8_t log_end_unused(void)
{
    return tail.unused_bits;
}

uint32_t log_whole_end(void)
{
    return tail.unused_bits ? ring_end() - 1 : ring_end();
}

uint32_t log_acknowledged(void)
{
    return head.acknowledged;
}

uint32_t log_next_edge(void)
{
    return head.first_edge + tail.edges;
}

uint32_t log_acknowledged_edge(void)
{
    return head.acknowledged_edge;
}

uint32_t log_edges_lost(void)
{
    return head.edges_lost;
}

uint8_t log_fill_percent(void)
{
    return (uint8_t)((uint32_t)ring_used() * 100 / LOG_BYTES);
}

COLD static struct log_place place(uint32_t position, log_blocks block)
{
    bool kept = block < ring_blocks();
    log_bytes at = (log_bytes)(position - head.oldest);
    struct log_place found = {position, kept ? ring_number(at) : log_next_edge()};
    return found;
}

uint32_t log_oldest_position(void)
{
    return head.oldest;
}

struct log_place log_oldest(void)
{
    return place(head.oldest, 0);
}

COLD struct log_place log_block_of_edge(uint32_t edge)
{
    struct log_place found = log_oldest();
    uint32_t position = head.oldest;
    for (log_blocks i = 0; i < ring_blocks(); position += ring_length(i), i++) {
        struct log_place candidate = place(position, i);
        if (candidate.edge <= edge)
            found = candidate;
    }
    return found;
}

/* The index of the block that holds this position or will hold it; `start` is where it begins. */
COLD static log_blocks block_at(uint32_t position, uint32_t *start)
{
    *start = head.oldest;
    log_blocks i = 0;
    for (; i < ring_blocks(); *start += ring_length(i), i++) {
        bool growing = writing() && i == ring_blocks() - 1;
        if (position < *start + ring_length(i) + growing)
            break;
    }
    return i;
}

struct log_place log_block_at(uint32_t position)
{
    uint32_t start;
    log_blocks block = block_at(position, &start);
    return place(start, block);
}

COLD struct log_piece log_piece_at(uint32_t position, uint8_t room)
{
    uint32_t start;
    log_blocks block = block_at(position, &start);
    bool kept = block < ring_blocks();
    uint16_t left = kept ? (uint16_t)(start + ring_length(block) - position) : 0;
    bool whole = left <= room;
    struct log_piece piece = {
        .length = whole ? (uint8_t)left : room,
        .unused_bits = whole && block == ring_blocks() - 1 ? tail.unused_bits : 0,
        .starts_block = position == start,
    };
    return piece;
}
