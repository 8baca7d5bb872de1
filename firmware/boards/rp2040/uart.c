/* UART 0 at 125 MHz / 16 / 67.8125: 115,207 baud. The chip's own buffers hold 32 bytes each way, so
 * nothing here needs an interrupt. */
#include "uart.h"

#include "chip.h"

enum { DIVIDER = 67, DIVIDER_64THS = 52 };

/* Bits of UART_FR, UART_LCR_H and UART_CR. */
enum { RX_EMPTY = 1 << 4, TX_FULL = 1 << 5, BUFFERS = 1 << 4, BITS_8 = 3 << 5, ON = 1 << 9 | 1 << 8 | 1 };

void uart_init(void)
{
    UART_IBRD = DIVIDER;
    UART_FBRD = DIVIDER_64THS;
    UART_LCR_H = BITS_8 | BUFFERS;
    UART_CR = ON;
    GPIO_CTRL(PIN_TX) = FUNCTION_UART;
    PAD(PIN_RX) = PAD_INPUT | PAD_PULL_UP | PAD_SCHMITT; /* quiet if nothing is plugged in */
    GPIO_CTRL(PIN_RX) = FUNCTION_UART;
}

bool uart_waits(void)
{
    return !(UART_FR & RX_EMPTY);
}

bool uart_take(uint8_t *byte)
{
    if (!uart_waits())
        return false;
    *byte = (uint8_t)UART_DR;
    return true;
}

bool uart_room(void)
{
    return !(UART_FR & TX_FULL);
}

void uart_put(uint8_t byte)
{
    UART_DR = byte;
}
