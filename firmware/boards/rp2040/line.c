#include "line.h"

#include "uart.h"

void line_init(void)
{
    uart_init();
}

bool line_waits(void)
{
    return uart_waits();
}

bool line_take(uint8_t *byte)
{
    return uart_take(byte);
}

uint8_t line_room(void)
{
    return uart_room();
}

void line_put(uint8_t byte)
{
    uart_put(byte);
}
