#include "lamp_pin.h"

#include <avr/io.h>

static bool is_turned;

void lamp_init(void)
{
    DDRB |= _BV(DDB5);
}

void lamp_turn(bool turned)
{
    is_turned = turned;
}

void lamp_show(bool a)
{
    if (a != is_turned)
        PORTB |= _BV(PORTB5);
    else
        PORTB &= (uint8_t)~_BV(PORTB5);
}
