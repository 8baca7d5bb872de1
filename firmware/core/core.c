/* What to send next, and what the host's frames change.
 *
 * Without a host's frame for HOST_LOST_MS only hello and status are sent, once a second, and the log
 * is kept. During a sensor check the log is not sent and does not grow. */
#include "core.h"

#include "boot.h"
#include "cold.h"
#include "check.h"
#include "clock.h"
#include "frame.h"
#include "lamp.h"
#include "log.h"
#include "messages.h"
#include "sending.h"
#include "supply.h"

#define TICK_HZ (UINT32_C(2000000) >> EDGE_TICKS_SHIFT)
#define MS STAMPS_PER_MS
#define US UINT32_C(2)
#define FIRMWARE_MAX 24

static struct core_setup own;
static bool resumed;
static uint8_t flush_ms;
static uint16_t byte_us;

static uint32_t now;
static bool host_heard;
static uint32_t heard_at;
static uint32_t second_at;
static uint32_t line_free_at;
static bool hello_due;
static bool status_due;

static void set_flush(uint8_t milliseconds)
{
    flush_ms = milliseconds;
    sending_set_flush(milliseconds * MS);
}

COLD uint16_t core_resume(enum reset_cause cause)
{
    uint16_t boot = boot_resume(cause);
    resumed = boot != 0;
    return boot;
}

COLD void core_init(const struct core_setup *setup)
{
    own = *setup;
    if (!resumed)
        boot_begin(own.boot);
    frame_init(own.identity, own.boot);
    check_init();
    supply_init();
    byte_us = 0;
    now = heard_at = second_at = line_free_at = 0;
    set_flush(FLUSH_MS);
    sending_init();
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

uint16_t core_edges_per_turn(void)
{
    return own.edges_per_turn;
}

bool core_one_sensor(void)
{
    return own.one_sensor;
}

static bool elapsed(uint32_t since, uint32_t wait)
{
    return clock_elapsed(now, since, wait);
}

void core_edge(uint32_t stamp, bool forward)
{
    log_edge(stamp, forward || own.one_sensor, own.edges_per_turn);
    hello_due |= sending_log_grew(stamp, now);
}

void core_missed(uint16_t count)
{
    if (check_on()) {
        check_missed(count);
        return;
    }
    log_missed(count);
    hello_due |= sending_log_grew(now, now);
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

void core_now(uint32_t stamp)
{
    now = stamp;
    clock_keep(stamp);
    check_now(now);
    if (check_on())
        sending_wait(now); /* what waits for the end of the check waits from there on */
    if (elapsed(second_at, SECOND_MS * MS)) {
        second_at = now;
        status_due = true;
        hello_due |= !host_heard;
    }
    if (host_heard && elapsed(heard_at, HOST_LOST_MS * MS))
        host_heard = false;
    hello_due |= sending_go_back(now);
}

COLD static void answer_request(void)
{
    uint32_t edge = frame_field(HELLO_REQUEST_EDGE, 4);
    if (frame_field(HELLO_REQUEST_BOOT, 2) != own.boot)
        edge = 0;
    uint32_t start = log_block_of_edge(edge).position;
    log_unacknowledge(start);
    (void)sending_restart(start, now);
    hello_due = status_due = true;
}

COLD static void acknowledge(void)
{
    uint32_t position = frame_field(ACKNOWLEDGE_POSITION, 4);
    sending_acknowledged(position, frame_field(ACKNOWLEDGE_EDGE, 4), now);
    if (frame_field(ACKNOWLEDGE_RESEND, 1))
        hello_due |= sending_again(position, now);
}

COLD static void configure(void)
{
    uint16_t edges_per_turn = (uint16_t)frame_field(CONFIGURE_EDGES_PER_TURN, 2);
    bool one_sensor = frame_field(CONFIGURE_SENSORS, 1) == 1;
    if (edges_per_turn != own.edges_per_turn || one_sensor != own.one_sensor) {
        log_close_block();
        hello_due |= sending_log_grew(now, now);
    }
    own.edges_per_turn = edges_per_turn;
    own.one_sensor = one_sensor;
    set_flush((uint8_t)frame_field(CONFIGURE_FLUSH_MS, 1));
    byte_us = (uint16_t)frame_field(CONFIGURE_BYTE_US, 2);
    hello_due = true;
}

static void identify(void)
{
    if (own.identity == 0)
        own.identity = frame_field(IDENTIFY_IDENTITY, 4);
    frame_name(own.identity, own.boot);
    hello_due = true;
}

/* What anybody may ask. */
COLD static void answer(uint8_t head, uint8_t size)
{
    if (head == HEAD_HELLO_REQUEST && size == HELLO_REQUEST_BYTES)
        answer_request();
    else if (head == HEAD_IDENTIFY && size == IDENTIFY_BYTES)
        identify();
}

/* What names this board and boot; false if it is no such message. Only a host that sent one gets
 * edges. So it never takes those of another board for this one's. */
COLD static bool obey(uint8_t head, uint8_t size)
{
    if (head == HEAD_ACKNOWLEDGE && size == ACKNOWLEDGE_BYTES)
        acknowledge();
    else if (head == HEAD_CONFIGURE && size == CONFIGURE_BYTES)
        configure();
    else if (head == HEAD_CHECK && size == CHECK_BYTES)
        check_ask(frame_field(CHECK_ON, 1) == 1, now);
    else
        return false;
    return true;
}

void core_receive(uint8_t byte)
{
    if (!frame_receive(byte))
        return;
    uint8_t head = frame_head();
    uint8_t size = frame_payload();
    answer(head, size);
    if (!obey(head, size))
        return;
    if (!host_heard)
        sending_wait(now);
    host_heard = true;
    heard_at = now;
}

COLD static void say_hello(void)
{
    struct log_place oldest = log_oldest();
    struct log_place from = log_block_at(sending_position());
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
    frame_put(own.one_sensor ? 1 : 2, 1);
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

static bool edges_due(void)
{
    return host_heard && !check_on() && sending_due(now);
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
        sending_say(now);
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
