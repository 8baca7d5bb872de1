/* Idle sleep only: the deeper modes stop the capture's timer, and with it the clock of every edge.
 * Timer 0 wakes the loop each few milliseconds for what is due by time; all else wakes it itself. */
#include "idle.h"

#include "clocks.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

static volatile bool due;

ISR(TIMER0_OVF_vect)
{
    due = true;
}

void idle_init(void)
{
    TCCR0B = BEAT_PRESCALER;
    TIMSK0 = _BV(TOIE0);
    set_sleep_mode(SLEEP_MODE_IDLE);
    wdt_enable(WDTO_250MS);
    sei();
}

bool idle_due(void)
{
    bool was_due = due;
    due = false;
    return was_due;
}

/* busy() is asked with interrupts off. What comes after its answer ends the sleep, since the
 * instruction after sei always runs first (datasheet, "Reset and Interrupt Handling"). */
void idle_until_interrupt(bool (*busy)(void))
{
    wdt_reset();
    cli();
    if (!due && !busy()) {
        sleep_enable();
        sei();
        sleep_cpu();
        sleep_disable();
    }
    sei();
}
