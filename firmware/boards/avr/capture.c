/* Edges of sensor A on the timer's capture pin, and the level of sensor B at that edge.
 *
 * The timer's hardware copies its counter at the edge (ATmega328P datasheet, "Input Capture Unit"),
 * so the stamp is exact however late the interrupt runs. Only B must still be read before it
 * changes, a quarter of a slot later. The input is set for one sense of edge at a time. It is turned
 * over after each, and its flag is cleared afterwards as that chapter asks.
 *
 * B has no capture. For a sensor check a pin-change interrupt stamps it, late by as long as another
 * interrupt may take. That is some ten microseconds, little beside a slot of a wheel turned by hand. */
#include "capture.h"

#include "chip.h"
#include "clocks.h"
#include "messages.h"
#include "order.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

enum {
    QUEUE_SIZE = 16, /* a power of two; 2 ms at 7,500 edges a second */
    HALF_TURN = 0x8000,
};

/* What the interrupt writes: no more bytes than the main loop needs to know the stamp again. */
struct captured {
    uint16_t count;
    uint8_t turns; /* of the counter, the low byte; all of them go round in 8 s and more */
    uint8_t levels;
};

static struct captured queue[QUEUE_SIZE];
static volatile uint8_t head, tail;
static volatile uint16_t overflows, missed;
static uint16_t seen_turns; /* at the last capture_now, which each round of the main loop calls */

void capture_init(void)
{
    A_DDR &= (uint8_t)~_BV(A_BIT);
    B_DDR &= (uint8_t)~_BV(B_BIT);
    A_PORT |= _BV(A_BIT); /* pull-ups: an unplugged sensor reads a steady level, not noise */
    B_PORT |= _BV(B_BIT);
    TIMER_A = 0;
    TIMER_B = _BV(ICNC1) | _BV(CS11); /* noise canceller, clock / 8 */
    if (!(A_PIN & _BV(A_BIT)))
        TIMER_B |= _BV(ICES1);
    TIMER_FLAGS = _BV(ICF1) | _BV(TOV1);
    TIMER_MASK = _BV(ICIE1) | _BV(TOIE1);
    B_CHANGE_MASK = _BV(B_CHANGE_BIT);
}

static inline bool watching_both(void)
{
    return PCICR & _BV(B_CHANGE_ENABLE);
}

void capture_watch_both(bool on)
{
    if (on == watching_both())
        return;
    PCIFR = _BV(B_CHANGE_FLAG);
    PCICR = on ? _BV(B_CHANGE_ENABLE) : 0;
}

bool capture_waits(void)
{
    return head != tail || missed;
}

static inline uint32_t stamp_at(uint16_t turns, uint16_t count)
{
    return ((uint32_t)turns << 16 | count) << STAMP_SHIFT;
}

/* All turns at an edge that waits, from their low byte: it came a few of them from seen_turns. */
static uint16_t turns_at(uint8_t low)
{
    return (uint16_t)(seen_turns + (int8_t)(low - (uint8_t)seen_turns));
}

bool capture_take(struct edge *edge)
{
    if (head == tail)
        return false;
    keep_order();
    struct captured oldest = queue[tail];
    keep_order();
    edge->stamp = stamp_at(turns_at(oldest.turns), oldest.count);
    edge->levels = oldest.levels;
    tail = (tail + 1) % QUEUE_SIZE;
    return true;
}

uint16_t capture_missed(void)
{
    uint16_t count = 0;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
        if (head == tail) {
            count = missed;
            missed = 0;
        }
    return count;
}

/* The counter may have wrapped while its overflow interrupt still waits: a small count with the
 * overflow flag up belongs to the next turn (datasheet, "TIFR1"). */
static inline uint8_t turn_begun(uint16_t count)
{
    return (TIMER_FLAGS & _BV(TOV1)) && count < HALF_TURN;
}

uint32_t capture_now(void)
{
    uint16_t count;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
        count = TIMER_COUNT;
        seen_turns = overflows + turn_begun(count);
    }
    return stamp_at(seen_turns, count);
}

/* After one missed edge all are missed, until the main loop has taken the queue and the count. So
 * the missing ones stand at one known place in the edges' numbers. */
static inline void put(uint16_t count, uint8_t level_bits)
{
    uint8_t next = (head + 1) % QUEUE_SIZE;
    if (next == tail || missed) {
        ++missed;
        return;
    }
    queue[head] = (struct captured){count, (uint8_t)overflows + turn_begun(count), level_bits};
    head = next;
}

ISR(TIMER_OVERFLOW_vect)
{
    ++overflows;
}

static inline uint8_t level_of_b(void)
{
    return (B_PIN & _BV(B_BIT)) ? SAMPLE_B : 0;
}

static inline uint8_t level_of_a(void)
{
    return (A_PIN & _BV(A_BIT)) ? SAMPLE_A : 0;
}

bool capture_a(void)
{
    return level_of_a();
}

bool capture_still(struct edge *now)
{
    bool still;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
        still = head == tail;
        *now = (struct edge){capture_now(), level_of_a() | level_of_b()};
    }
    return still;
}

ISR(B_CHANGE_vect)
{
    put(TIMER_COUNT, level_of_a() | level_of_b());
}

/* A pulse that is over before this runs is no slot: it went there and back. Dropping both of its
 * edges keeps the position right, and the input goes on waiting for the same sense of edge. Only a
 * sensor check wants to know, and is shown that nothing changed. */
ISR(TIMER_CAPTURE_vect)
{
    uint16_t count = TIMER_CAPTURE;
    uint8_t now = level_of_b() | level_of_a() | OF_A;
    if (!(TIMER_B & _BV(ICES1)) == !(now & SAMPLE_A)) {
        TIMER_B ^= _BV(ICES1);
        TIMER_FLAGS = _BV(ICF1);
    } else if (!watching_both()) {
        return;
    }
    put(count, now);
}
