/* Measures the internal 1.1 V reference against AVcc and turns that round: AVcc = 1.1 V x 1023 /
 * reading (datasheet, "ADC Conversion Result"). The reference is anywhere from 1.0 to 1.2 V from
 * chip to chip, and steady within one. */
#include "battery.h"

#include "chip.h"
#include "clocks.h"

#include <avr/io.h>

enum {
    REFERENCE_MV = 1100,
    FULL_SCALE = 1023,
};

static uint16_t millivolts;

static void start(void)
{
    ADCSRA |= _BV(ADSC);
}

void battery_init(void)
{
    ADMUX = _BV(REFS0) | REFERENCE_INPUT;
    ADCSRA = _BV(ADEN) | ADC_PRESCALER; /* 125 kHz */
    start();
    while (!millivolts)
        battery_task();
}

void battery_task(void)
{
    if (ADCSRA & _BV(ADSC))
        return;
    uint16_t reading = ADC;
    if (reading)
        millivolts = (uint32_t)REFERENCE_MV * FULL_SCALE / reading;
    start();
}

uint16_t battery_mv(void)
{
    return millivolts;
}
