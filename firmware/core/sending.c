/* The last byte of the log may be unfinished; it is sent as far as it goes, and again when it is whole. */
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
static uint32_t progress_at;

static bool log_beyond_sent(void)
{
    uint32_t end = log_end();
    if (log_end_unused() == 0)
        return sent < end;
    return sent + 1 < end || (sent < end && sent_bits < 8 - log_end_unused());
}

void sending_init(void)
{
    sent = log_oldest_position();
    sent_bits = 0;
    progress_at = 0;
    sending_wait(0);
}

uint32_t sending_position(void)
{
    return sent;
}

void sending_wait(uint32_t since)
{
    unsent = log_beyond_sent();
    unsent_since = since;
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

bool sending_log_grew(uint32_t since, uint32_t now)
{
    bool gone = sent < log_oldest_position() && sending_restart(sent, now);
    if (!unsent)
        sending_wait(since);
    return gone;
}

bool sending_go_back(uint32_t now)
{
    bool overdue = sent > log_acknowledged() &&
                   clock_elapsed(now, progress_at, GO_BACK_MS * STAMPS_PER_MS);
    bool gone = overdue && sending_restart(log_acknowledged(), now);
    if (overdue || sent <= log_acknowledged())
        progress_at = now;
    return gone;
}

COLD void sending_acknowledged(uint32_t position, uint32_t edge, uint32_t now)
{
    if (position > log_acknowledged())
        progress_at = now;
    log_acknowledge(position, edge);
    uint32_t oldest = log_oldest().position;
    if (sent < oldest) /* it was about to send again what the host has */
        (void)sending_restart(oldest, now);
}

bool sending_due(uint32_t now, uint32_t flush_stamps)
{
    return unsent && (log_end() - sent >= FRAME_DATA ||
                      clock_elapsed(now, unsent_since, flush_stamps));
}

void sending_say(uint8_t boot, uint32_t now)
{
    struct log_piece piece = log_piece_at(sent, FRAME_DATA);
    frame_begin(HEAD_EDGES);
    frame_put(boot, 1);
    frame_put(sent, 4);
    frame_put(piece.unused_bits | (piece.starts_block ? BLOCK_STARTS : 0U), 1);
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
