#include "lamp_pin.h"

#include "chip.h"

static bool is_turned;

void lamp_init(void)
{
    GPIO_CTRL(PIN_LAMP) = FUNCTION_SIO;
    SIO_GPIO_OE_SET = BIT(PIN_LAMP);
}

void lamp_turn(bool turned)
{
    is_turned = turned;
}

void lamp_show(bool a)
{
    if (a != is_turned)
        SIO_GPIO_OUT_SET = BIT(PIN_LAMP);
    else
        SIO_GPIO_OUT_CLR = BIT(PIN_LAMP);
}
