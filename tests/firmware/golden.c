/* One fixed conversation of the core, for this computer and for the simulated chip alike: it prints
 * every byte that the core sends. test_golden.py holds the bytes that must come. */
#include "core.h"

#ifdef __AVR__
#include <avr/io.h>

static void print(uint8_t byte)
{
    while (!(UCSR0A & _BV(UDRE0)))
        ;
    UDR0 = byte;
}

static void begin(void)
{
    UCSR0A = _BV(U2X0);
    UBRR0 = 16;
    UCSR0B = _BV(TXEN0);
}

static void finish(void)
{
    for (;;)
        ;
}
#else
#include <stdio.h>

static void print(uint8_t byte)
{
    putchar(byte);
}

static void begin(void)
{
}

static void finish(void)
{
}
#endif

#define MS 2000UL
#define START (50 * MS)

static void send_at(uint32_t stamp)
{
    uint8_t byte;
    core_now(stamp);
    while (core_next_byte(&byte))
        print(byte);
}

static void hear(const uint8_t *bytes, uint8_t count)
{
    for (uint8_t i = 0; i < count; i++)
        core_receive(bytes[i]);
}

/* A wheel of four slots, one of them wide: it speeds up, turns about, rests and goes on. */
static uint32_t turn_wheel(uint32_t stamp)
{
    static const uint16_t slots[] = {900, 1000, 1300, 950};
    for (uint8_t i = 0; i < 40; i++) {
        stamp += slots[i % 4] * (uint32_t)(60 - i);
        core_edge(stamp, i < 30);
    }
    stamp += 500 * MS;
    core_edge(stamp, false);
    core_missed(3);
    core_edge(stamp + 1, true);
    return stamp + 1;
}

/* In a check: both sensors over one slot, of which two changes were missed. */
static void turn_both(uint32_t stamp)
{
    for (uint8_t i = 0; i < 4; i++)
        core_sample(stamp + i * MS, (uint8_t)(i ^ (i >> 1)));
    core_missed(2);
}

int main(void)
{
    /* As frames: hello_request {boot 0, edge 0}; configure {4 edges a turn, 5 ms, no limit, 2
     * sensors} and check {on 1}, which name a board without a number in its boot 7. */
    static const uint8_t request[] = {REQUEST};
    static const uint8_t configure[] = {CONFIGURE};
    static const uint8_t check[] = {CHECK};
    begin();
    core_init(&(struct core_setup){"golden 1", 7, RESET_WATCHDOG, 20, 0, false});
    core_set_battery(4987);
    send_at(START - 20 * MS);
    hear(request, sizeof request);
    hear(configure, sizeof configure);
    send_at(START - 10 * MS);
    uint32_t stamp = turn_wheel(START) + 100 * MS;
    send_at(stamp);
    hear(check, sizeof check);
    turn_both(stamp);
    send_at(stamp + 60 * MS);
    finish();
    return 0;
}
