#include "lamp_pin.h"

#include "chip.h"

#include <avr/io.h>

static bool is_turned;

void lamp_init(void)
{
    LAMP_DDR |= _BV(LAMP_BIT);
}

void lamp_turn(bool turned)
{
    is_turned = turned;
}

void lamp_show(bool a)
{
    if (a != is_turned)
        LAMP_PORT |= _BV(LAMP_BIT);
    else
        LAMP_PORT &= (uint8_t)~_BV(LAMP_BIT);
}
