/* What to send next, and what the host's frames change.
 *
 * Each byte of the log is sent once; what stays unacknowledged for GO_BACK_MS is sent again. Without
 * a host's frame for HOST_LOST_MS only hello and status are sent, once a second, and the log is kept.
 * During a sensor check the log is not sent and does not grow. */
#include "core.h"

#include "cold.h"
#include "check.h"
#include "clock.h"
#include "frame.h"
#include "kept.h"
#include "lamp.h"
#include "log.h"
#include "messages.h"
#include "order.h"
#include "supply.h"

#define TICK_HZ (UINT32_C(2000000) >> EDGE_TICKS_SHIFT)
#define MS STAMPS_PER_MS
#define US UINT32_C(2)
#define FIRMWARE_MAX 24
#define KEPT_BY ((uint16_t)TABLE_HASH)

static struct core_setup own;
KEPT static uint16_t kept_by; /* the program that wrote what is kept, by its message table */
KEPT static uint16_t kept_boot;
static bool resumed;
static uint8_t flush_ms;
static uint32_t flush_stamps; /* the same; multiplied once, not each time it is compared */
static uint16_t byte_us;

static uint32_t now;
static uint32_t sent;     /* log position up to which whole bytes are sent */
static uint8_t sent_bits; /* of the byte there */
static bool unsent;       /* bits of the log wait, the oldest of them since: */
static uint32_t unsent_since;
static bool host_heard;
static uint32_t heard_at;
static uint32_t progress_at;
static uint32_t second_at;
static uint32_t line_free_at;
static bool hello_due;
static bool status_due;

static void set_flush(uint8_t milliseconds)
{
    flush_ms = milliseconds;
    flush_stamps = milliseconds * MS;
}

static bool log_beyond_sent(void)
{
    uint32_t end = log_end();
    if (log_end_unused() == 0)
        return sent < end;
    return sent + 1 < end || (sent < end && sent_bits < 8 - log_end_unused());
}

/* After power-on the memory holds garbage, which could look like a log once in a long while. */
COLD uint16_t core_resume(enum reset_cause cause)
{
    resumed = false;
    if (cause == RESET_POWER_ON || kept_by != (KEPT_BY ^ kept_boot))
        return 0;
    resumed = clock_resume() && log_resume();
    return resumed ? kept_boot : 0;
}

COLD static void begin_log(void)
{
    kept_by = 0;
    keep_order();
    clock_init();
    log_init();
    kept_boot = own.boot;
    keep_order();
    kept_by = KEPT_BY ^ kept_boot;
}

COLD void core_init(const struct core_setup *setup)
{
    own = *setup;
    if (!resumed)
        begin_log();
    frame_init();
    check_init();
    supply_init();
    byte_us = 0;
    set_flush(FLUSH_MS);
    now = unsent_since = heard_at = progress_at = second_at = line_free_at = 0;
    sent = log_oldest_position();
    sent_bits = 0;
    unsent = log_beyond_sent();
    host_heard = false;
    hello_due = status_due = true;
}

void core_set_battery(uint16_t millivolts)
{
    supply_measured(millivolts);
}

COLD bool core_lamp_turned(void)
{
    bool waiting = !host_heard && log_acknowledged_edge() < log_next_edge();
    return lamp_turned(now, waiting, supply_low());
}

uint32_t core_identity(void)
{
    return own.identity;
}

static bool elapsed(uint32_t since, uint32_t wait)
{
    return clock_elapsed(now, since, wait);
}

static void note_unsent(uint32_t since)
{
    unsent = log_beyond_sent();
    unsent_since = since;
}

/* Send the log again from here, or from the oldest byte kept, which the hello then announces. */
COLD static void restart(uint32_t position)
{
    uint32_t oldest = log_oldest_position();
    if (position < oldest) {
        position = oldest;
        hello_due = true;
    }
    sent = position < log_whole_end() ? position : log_whole_end();
    sent_bits = 0;
    note_unsent(now);
}

static void after_log_grew(uint32_t since)
{
    if (sent < log_oldest_position())
        restart(sent);
    if (!unsent)
        note_unsent(since);
}

void core_edge(uint32_t stamp, bool forward)
{
    log_edge(stamp, forward, own.edges_per_turn);
    after_log_grew(stamp);
}

void core_missed(uint16_t count)
{
    if (check_on()) {
        check_missed(count);
        return;
    }
    log_missed(count);
    after_log_grew(now);
}

bool core_checks(void)
{
    return check_on();
}

bool core_takes(void)
{
    return !check_on() || check_takes();
}

bool core_wants_sample(void)
{
    return check_quiet(now);
}

void core_sample(uint32_t stamp, uint8_t levels)
{
    check_sample(stamp, levels, (uint8_t)own.boot);
}

/* Sends again what the host has not acknowledged for too long. */
static void go_back(void)
{
    bool overdue = sent > log_acknowledged() && elapsed(progress_at, GO_BACK_MS * MS);
    if (overdue)
        restart(log_acknowledged());
    if (overdue || sent <= log_acknowledged())
        progress_at = now;
}

void core_now(uint32_t stamp)
{
    now = stamp;
    clock_keep(stamp);
    check_now(now);
    if (check_on())
        note_unsent(now); /* what waits for the end of the check waits from there on */
    if (elapsed(second_at, SECOND_MS * MS)) {
        second_at = now;
        status_due = true;
        hello_due |= !host_heard;
    }
    if (host_heard && elapsed(heard_at, HOST_LOST_MS * MS))
        host_heard = false;
    go_back();
}

COLD static void answer_request(void)
{
    uint32_t edge = frame_field(HELLO_REQUEST_EDGE, 4);
    if (frame_field(HELLO_REQUEST_BOOT, 2) != own.boot)
        edge = 0;
    uint32_t start = log_block_of_edge(edge).position;
    log_unacknowledge(start);
    restart(start);
    hello_due = status_due = true;
}

COLD static void acknowledge(void)
{
    uint32_t position = frame_field(ACKNOWLEDGE_POSITION, 4);
    if (position > log_acknowledged())
        progress_at = now;
    log_acknowledge(position, frame_field(ACKNOWLEDGE_EDGE, 4));
    uint32_t oldest = log_oldest().position;
    if (sent < oldest) /* it was about to send again what the host has */
        restart(oldest);
    if (frame_field(ACKNOWLEDGE_RESEND, 1))
        restart(position);
}

COLD static void configure(void)
{
    uint16_t edges_per_turn = (uint16_t)frame_field(CONFIGURE_EDGES_PER_TURN, 2);
    if (edges_per_turn != own.edges_per_turn) {
        log_close_block();
        after_log_grew(now);
    }
    own.edges_per_turn = edges_per_turn;
    set_flush((uint8_t)frame_field(CONFIGURE_FLUSH_MS, 1));
    byte_us = (uint16_t)frame_field(CONFIGURE_BYTE_US, 2);
    hello_due = true;
}

static void identify(void)
{
    if (own.identity == 0)
        own.identity = frame_field(IDENTIFY_IDENTITY, 4);
    hello_due = true;
}

COLD static bool answer(void)
{
    uint8_t head = frame_head();
    uint8_t size = frame_payload();
    if (head == HEAD_HELLO_REQUEST && size == HELLO_REQUEST_BYTES)
        answer_request();
    else if (head == HEAD_ACKNOWLEDGE && size == ACKNOWLEDGE_BYTES &&
             frame_field(ACKNOWLEDGE_BOOT, 1) == (uint8_t)own.boot)
        acknowledge();
    else if (head == HEAD_CONFIGURE && size == CONFIGURE_BYTES)
        configure();
    else if (head == HEAD_IDENTIFY && size == IDENTIFY_BYTES)
        identify();
    else if (head == HEAD_CHECK && size == CHECK_BYTES &&
             frame_field(CHECK_BOOT, 1) == (uint8_t)own.boot)
        check_ask(frame_field(CHECK_ON, 1) == 1, now);
    else
        return false;
    return true;
}

void core_receive(uint8_t byte)
{
    if (!frame_receive(byte) || !answer())
        return;
    if (!host_heard)
        note_unsent(now);
    host_heard = true;
    heard_at = now;
}

COLD static void say_hello(void)
{
    struct log_place oldest = log_oldest();
    struct log_place from = log_block_at(sent);
    frame_begin(HEAD_HELLO);
    frame_put(TABLE_HASH, 4);
    frame_put(TICK_HZ, 4);
    frame_put(own.boot, 2);
    frame_put(own.identity, 4);
    frame_put(own.edges_per_turn, 2);
    frame_put(flush_ms, 1);
    frame_put(byte_us, 2);
    frame_put(oldest.position, 4);
    frame_put(oldest.edge, 4);
    frame_put(from.position, 4);
    frame_put(from.edge, 4);
    frame_put(log_next_edge(), 4);
    frame_put(log_acknowledged_edge(), 4);
    for (uint8_t i = 0; i < FIRMWARE_MAX && own.firmware[i]; i++)
        frame_put_byte((uint8_t)own.firmware[i]);
}

COLD static void say_status(void)
{
    struct ticks ticks = clock_of_boot(clock_widen(now));
    frame_begin(HEAD_STATUS);
    frame_put((uint8_t)own.boot, 1);
    frame_put(supply_mv(), 2);
    frame_put(log_fill_percent(), 1);
    frame_put(own.reset_cause, 1);
    frame_put(log_edges_lost(), 4);
    frame_put(ticks.low, 4);
    frame_put(ticks.high, 1);
    frame_put(log_next_edge(), 4);
    struct ticks start = clock_start();
    frame_put(start.low, 4);
    frame_put(start.high, 1);
}

static void say_edges(void)
{
    struct log_piece piece = log_piece_at(sent, FRAME_DATA);
    frame_begin(HEAD_EDGES);
    frame_put((uint8_t)own.boot, 1);
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
    note_unsent(now);
}

static bool edges_due(void)
{
    if (!host_heard || !unsent || check_on())
        return false;
    return log_end() - sent >= FRAME_DATA || elapsed(unsent_since, flush_stamps);
}

/* The frame of a check is begun already, and goes before any other. */
static bool say_sensors(void)
{
    if (!hello_due && !status_due && !check_frame_due(now))
        return false;
    check_close(now);
    return true;
}

/* Writes the next frame if one is due. */
static bool say_next(void)
{
    if (check_collects())
        return say_sensors();
    if (hello_due) {
        hello_due = false;
        say_hello();
    } else if (status_due) {
        status_due = false;
        say_status();
    } else if (edges_due()) {
        say_edges();
    } else {
        return false;
    }
    return true;
}

bool core_next_byte(uint8_t *byte)
{
    if (!frame_sending()) {
        if (!elapsed(line_free_at, 0) || !say_next())
            return false;
        line_free_at = now + frame_end() * (byte_us * US);
    }
    return frame_next_byte(byte);
}
