/* The highest voltage seen shows whether this is a 5 V board or a 3.3 V one. */
#include "supply.h"

#include "cold.h"
#include "messages.h"

static uint16_t now_mv;
static bool five_volt;
static bool low;

void supply_init(void)
{
    now_mv = 0;
    five_volt = low = false;
}

COLD void supply_measured(uint16_t millivolts)
{
    now_mv = millivolts;
    five_volt |= millivolts > FIVE_VOLT_ABOVE_MV;
    uint16_t limit = five_volt ? LOW_5V_MV : LOW_3V3_MV;
    if (low)
        limit += RECOVERED_MV;
    low = millivolts && millivolts < limit;
}

uint16_t supply_mv(void)
{
    return now_mv;
}

bool supply_low(void)
{
    return low;
}
