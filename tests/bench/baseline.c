/* What the firmware is measured against: a sketch that prints the time of each edge as a line of
 * text, as one writes it first. An interrupt at every change of the pin keeps the time in
 * microseconds; the loop prints it at 115,200 baud through a ring of 64 bytes, waiting for room. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <stdbool.h>
#include <stdlib.h>
#include <util/atomic.h>

enum { RING = 64 };

static volatile uint32_t edge_us;
static volatile bool edge_seen;
static volatile uint16_t turns;
static char ring[RING];
static volatile uint8_t head, tail;

ISR(TIMER1_OVF_vect)
{
    ++turns;
}

ISR(PCINT0_vect)
{
    uint16_t count = TCNT1;
    uint16_t high = turns + ((TIFR1 & _BV(TOV1)) && count < 0x8000);
    edge_us = ((uint32_t)high << 16 | count) / 2;
    edge_seen = true;
}

ISR(USART_UDRE_vect)
{
    if (head == tail) {
        UCSR0B &= (uint8_t)~_BV(UDRIE0);
        return;
    }
    UDR0 = ring[tail];
    tail = (tail + 1) % RING;
}

static void print(const char *text)
{
    for (; *text; ++text) {
        uint8_t next = (head + 1) % RING;
        while (next == tail)
            ;
        ring[head] = *text;
        head = next;
        UCSR0B |= _BV(UDRIE0);
    }
}

static bool taken(uint32_t *us)
{
    bool seen;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        seen = edge_seen;
        *us = edge_us;
        edge_seen = false;
    }
    return seen;
}

int main(void)
{
    char text[12];
    uint32_t us;
    TCCR1B = _BV(CS11);
    TIMSK1 = _BV(TOIE1);
    PCMSK0 = _BV(PCINT0);
    PCICR = _BV(PCIE0);
    UCSR0A = _BV(U2X0);
    UBRR0 = 16;
    UCSR0B = _BV(TXEN0);
    sei();
    for (;;)
        if (taken(&us)) {
            print(ultoa(us, text, 10));
            print("\r\n");
        }
}
