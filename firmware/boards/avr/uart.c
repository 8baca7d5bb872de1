/* UART 0 at the clock / 8 / 17. With 16 MHz that is 117,647 baud, 2.1 % faster than 115,200; the next
 * divider is 3.5 % slow. With 8 MHz it is as much faster than 57,600. With U2X eight data bits allow
 * 3.8 % (ATmega328P datasheet, "Asynchronous Operational Range"). */
#include "line.h"

#include "chip.h"
#include "order.h"

#include <avr/interrupt.h>
#include <avr/io.h>

enum {
    TX_SIZE = 8, /* a power of two; 0.6 ms of sending at 115,200 baud */
    RX_SIZE = 32, /* a power of two; the longest frame that a host sends, twice */
    DIVIDER = 16,
};

static uint8_t tx[TX_SIZE], rx[RX_SIZE];
static volatile uint8_t tx_head, tx_tail, rx_head, rx_tail;

void line_init(void)
{
    UCSR0A = _BV(U2X0);
    UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
    UBRR0 = DIVIDER;
    UCSR0B = _BV(RXEN0) | _BV(TXEN0) | _BV(RXCIE0);
}

bool line_waits(void)
{
    return rx_head != rx_tail;
}

bool line_take(uint8_t *byte)
{
    if (!line_waits())
        return false;
    keep_order();
    *byte = rx[rx_tail];
    keep_order();
    rx_tail = (rx_tail + 1) % RX_SIZE;
    return true;
}

uint8_t line_room(void)
{
    return (uint8_t)(tx_tail - tx_head - 1) % TX_SIZE;
}

void line_put(uint8_t byte)
{
    tx[tx_head] = byte;
    keep_order();
    tx_head = (tx_head + 1) % TX_SIZE;
    UCSR0B |= _BV(UDRIE0);
}

/* Finds the ring empty once after each burst: line_put may enable it just as the last byte goes. */
ISR(UART_EMPTY_vect)
{
    if (tx_tail == tx_head) {
        UCSR0B &= (uint8_t)~_BV(UDRIE0);
        return;
    }
    UDR0 = tx[tx_tail];
    tx_tail = (tx_tail + 1) % TX_SIZE;
}

/* With the ring full the byte is dropped; its frame then fails its CRC and the host asks again. */
ISR(UART_RECEIVED_vect)
{
    uint8_t byte = UDR0;
    uint8_t next = (rx_head + 1) % RX_SIZE;
    if (next == rx_tail)
        return;
    rx[rx_head] = byte;
    rx_head = next;
}
