/* The cable, if a program listens at its other end; else the UART, on which a radio may be. A frame that
 * the change cuts in two fails its CRC, and the host asks again. */
#include "line.h"

#include "uart.h"
#include "usb.h"

void line_init(void)
{
    uart_init();
    usb_init();
}

bool line_waits(void)
{
    return usb_due() || (usb_listens() ? usb_waits() : uart_waits());
}

static bool drop_uart(void)
{
    uint8_t byte;
    return uart_take(&byte);
}

bool line_take(uint8_t *byte)
{
    usb_task();
    if (!usb_listens())
        return uart_take(byte);
    while (drop_uart()) {
    }
    return usb_take(byte);
}

uint8_t line_room(void)
{
    return usb_listens() ? usb_room() : uart_room();
}

void line_put(uint8_t byte)
{
    if (usb_listens())
        usb_put(byte);
    else
        uart_put(byte);
}
