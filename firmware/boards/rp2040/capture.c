/* Edges of sensor A, and the level of sensor B at each, stamped by an interrupt.
 *
 * The chip has no capture unit. But this interrupt goes before all others, runs from RAM and waits for
 * nothing, so it stamps an edge within a microsecond, which is what the timer counts. A tick of the
 * line is four. */
#include "capture.h"

#include "chip.h"
#include "interrupts.h"
#include "messages.h"
#include "order.h"

enum {
    QUEUE_SIZE = 256, /* a power of two; 10 ms at 25,000 edges a second */
    BOTH_EDGES = 0xC,
    A_EDGES = BOTH_EDGES << 4 * PIN_A,
    B_EDGES = BOTH_EDGES << 4 * PIN_B,
};

static uint32_t stamps[QUEUE_SIZE];
static uint8_t levels[QUEUE_SIZE];
static volatile uint16_t head, tail, missed;
static volatile bool watching;
static uint8_t last_a;

static inline uint32_t stamp_now(void)
{
    return TIMERAWL << 1; /* a stamp is 0.5 us */
}

static inline uint8_t levels_now(void)
{
    uint32_t pins = SIO_GPIO_IN;
    uint8_t a = (pins & BIT(PIN_A)) ? SAMPLE_A : 0;
    return (pins & BIT(PIN_B)) ? a | SAMPLE_B : a;
}

static void sensor_pin(uint32_t pin)
{
    PAD(pin) = PAD_INPUT | PAD_PULL_UP | PAD_SCHMITT; /* an unplugged sensor reads a steady level */
    GPIO_CTRL(pin) = FUNCTION_SIO;
}

void capture_init(void)
{
    sensor_pin(PIN_A);
    sensor_pin(PIN_B);
    INTR0 = A_EDGES | B_EDGES;
    last_a = levels_now() & SAMPLE_A;
    REGISTER(PROC0_INTE0) = A_EDGES;
    NVIC_ISER = BIT(IRQ_PINS);
}

void capture_watch_both(bool on)
{
    if (on == watching)
        return;
    watching = on;
    INTR0 = B_EDGES;
    if (on)
        SET(PROC0_INTE0) = B_EDGES;
    else
        CLEAR(PROC0_INTE0) = B_EDGES;
}

bool capture_waits(void)
{
    return head != tail || missed;
}

bool capture_take(struct edge *edge)
{
    if (head == tail)
        return false;
    keep_order();
    *edge = (struct edge){stamps[tail], levels[tail]};
    keep_order();
    tail = (tail + 1) % QUEUE_SIZE;
    return true;
}

uint16_t capture_missed(void)
{
    uint16_t count = 0;
    interrupts_off();
    if (head == tail) {
        count = missed;
        missed = 0;
    }
    interrupts_on();
    return count;
}

uint32_t capture_now(void)
{
    return stamp_now();
}

bool capture_a(void)
{
    return levels_now() & SAMPLE_A;
}

bool capture_still(struct edge *now)
{
    interrupts_off();
    bool still = head == tail;
    *now = (struct edge){stamp_now(), levels_now()};
    interrupts_on();
    return still;
}

/* After one missed edge all are missed, until the main loop has taken the queue and the count. So
 * the missing ones stand at one known place in the edges' numbers. */
static inline void put(uint32_t stamp, uint8_t level_bits)
{
    uint16_t next = (head + 1) % QUEUE_SIZE;
    if (next == tail || missed) {
        ++missed;
        return;
    }
    stamps[head] = stamp;
    levels[head] = level_bits;
    head = next;
}

/* What is cleared here and comes again before the levels are read calls this once more, and finds
 * nothing new. A pulse that is over before this runs is no slot: it went there and back, and
 * dropping both of its edges keeps the position right. */
IN_RAM(capture) void capture_interrupt(void)
{
    uint32_t stamp = stamp_now();
    INTR0 = PROC0_INTS0;
    uint8_t now = levels_now();
    bool of_a = (now & SAMPLE_A) != last_a;
    last_a = now & SAMPLE_A;
    if (of_a)
        put(stamp, now | OF_A);
    else if (watching)
        put(stamp, now);
}
