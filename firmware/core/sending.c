/* The last byte of the log may be unfinished; it is sent as far as it goes, and again when it is whole.
 *
 * An unfilled frame waits for more edges, but not for one that would come after the end of its wait.
 * The next edge is expected to take as long as the last one did. So an edge after a rest goes at once,
 * and each frame goes with its last edge.
 *
 * On a line that spoils many bytes only short frames arrive. So what is sent again goes in short ones,
 * until the host acknowledges more. */
#include "sending.h"

#include "clock.h"
#include "cold.h"
#include "frame.h"
#include "log.h"
#include "messages.h"

static uint32_t sent;
static uint8_t sent_bits; /* of the byte there */
static bool unsent;       /* bits of the log wait, the oldest of them since: */
static uint32_t unsent_since;
static bool hasty; /* they wait no longer */
static uint16_t deadline; /* in beats, like the next one */
static uint16_t grew_at;
static uint32_t flush_stamps;
static uint32_t progress_at;
static uint8_t room; /* for bytes of the log in the next frame */

static bool log_beyond_sent(void)
{
    uint32_t end = log_end();
    if (log_end_unused() == 0)
        return sent < end;
    return sent + 1 < end || (sent < end && sent_bits < 8 - log_end_unused());
}

/* Units of 128 us, which 16 bits hold for 8 s. What is longer may look short, and then waits. */
static uint16_t beats(uint32_t stamps)
{
    return (uint16_t)(stamps >> 8);
}

void sending_init(void)
{
    sent = log_oldest_position();
    sent_bits = 0;
    progress_at = 0;
    grew_at = 0;
    room = FRAME_DATA;
    sending_wait(0);
}

void sending_set_flush(uint32_t stamps)
{
    flush_stamps = stamps;
}

uint32_t sending_position(void)
{
    return sent;
}

void sending_wait(uint32_t since)
{
    unsent = log_beyond_sent();
    unsent_since = since;
    deadline = beats(since + flush_stamps);
    hasty = false;
}

COLD bool sending_restart(uint32_t position, uint32_t now)
{
    uint32_t oldest = log_oldest_position();
    bool gone = position < oldest;
    if (gone)
        position = oldest;
    sent = position < log_whole_end() ? position : log_whole_end();
    sent_bits = 0;
    sending_wait(now);
    return gone;
}

static __attribute__((noinline)) void expect_next(uint16_t grown)
{
    int16_t left = (int16_t)(deadline - grown);
    if (left < 0 || (uint16_t)left < (uint16_t)(grown - grew_at))
        hasty = true;
    grew_at = grown;
}

bool sending_log_grew(uint32_t since, uint32_t now)
{
    if (!unsent)
        sending_wait(since);
    expect_next(beats(since));
    return sent < log_oldest_position() && sending_restart(sent, now);
}

COLD bool sending_again(uint32_t position, uint32_t now)
{
    room = FRAME_DATA_AGAIN;
    return sending_restart(position, now);
}

bool sending_go_back(uint32_t now)
{
    bool overdue = sent > log_acknowledged() &&
                   clock_elapsed(now, progress_at, GO_BACK_MS * STAMPS_PER_MS);
    bool gone = overdue && sending_again(log_acknowledged(), now);
    if (overdue || sent <= log_acknowledged())
        progress_at = now;
    return gone;
}

COLD void sending_acknowledged(uint32_t position, uint32_t edge, uint32_t now)
{
    if (position > log_acknowledged()) {
        progress_at = now;
        room = FRAME_DATA;
    }
    log_acknowledge(position, edge);
    uint32_t oldest = log_oldest().position;
    if (sent < oldest) /* it was about to send again what the host has */
        (void)sending_restart(oldest, now);
}

bool sending_due(uint32_t now)
{
    return unsent && (hasty || log_end() - sent >= room ||
                      clock_elapsed(now, unsent_since, flush_stamps));
}

void sending_say(uint32_t now)
{
    struct log_piece piece = log_piece_at(sent, room);
    uint8_t high = (uint8_t)(sent >> 16);
    frame_begin(HEAD_EDGES);
    frame_put(sent, 2);
    frame_put_byte((uint8_t)(high << 4 | (piece.starts_block ? BLOCK_STARTS : 0U) |
                             piece.unused_bits));
    for (uint8_t i = 0; i < piece.length; i++)
        frame_put_byte(log_byte(sent + i));
    sent += piece.length;
    sent_bits = 0;
    if (piece.unused_bits) {
        sent--;
        sent_bits = (uint8_t)(8 - piece.unused_bits);
    }
    sending_wait(now);
}
