/* Idle sleep only: the deeper modes stop timer 1, and with it the clock of every edge.
 * Timer 0 wakes the loop each 4.1 ms for what is due by time; all else wakes it itself. */
#include "idle.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

static volatile bool ticked;

ISR(TIMER0_OVF_vect)
{
    ticked = true;
}

void idle_init(void)
{
    TCCR0B = _BV(CS02); /* 16 MHz / 256 / 256 */
    TIMSK0 = _BV(TOIE0);
    set_sleep_mode(SLEEP_MODE_IDLE);
    wdt_enable(WDTO_250MS);
}

bool idle_tick(void)
{
    bool due = ticked;
    ticked = false;
    return due;
}

/* busy() is asked with interrupts off: what comes after it answers wakes the sleep, since the
 * instruction after sei always runs first (datasheet, "Reset and Interrupt Handling"). */
void idle_until_interrupt(bool (*busy)(void))
{
    wdt_reset();
    cli();
    if (!ticked && !busy()) {
        sleep_enable();
        sei();
        sleep_cpu();
        sleep_disable();
    }
    sei();
}
