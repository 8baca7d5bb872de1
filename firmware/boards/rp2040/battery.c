/* The Pico has a third of its supply (VSYS) on pin 29, and measures it against its 3.3 V. */
#include "battery.h"

#include "chip.h"

enum {
    CHANNEL = 3,
    REFERENCE_MV = 3300,
    DIVIDER = 3,
    FULL_SCALE = 4096,
};

/* Bits of ADC_CS. */
enum { ON = 1 << 0, START = 1 << 2, READY = 1 << 8, SELECT = CHANNEL << 12 };

static uint16_t millivolts;

static void start(void)
{
    ADC_CS = ON | START | SELECT;
}

void battery_init(void)
{
    PAD(PIN_SUPPLY) = PAD_NO_OUTPUT;
    ADC_CS = ON | SELECT;
    WAIT_FOR(ADC_CS & READY);
    start();
    WAIT_FOR(ADC_CS & READY);
    battery_task();
}

void battery_task(void)
{
    if (!(ADC_CS & READY))
        return;
    millivolts = (uint16_t)(ADC_RESULT * (REFERENCE_MV * DIVIDER) / FULL_SCALE);
    start();
}

uint16_t battery_mv(void)
{
    return millivolts;
}
