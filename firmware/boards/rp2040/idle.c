/* The processor sleeps until an interrupt; all clocks run on. Each millisecond the loop goes round once
 * for what is due by time, and for the UART, whose 32 bytes each way last for 2.8 ms. */
#include "idle.h"

#include "chip.h"
#include "interrupts.h"

enum {
    WATCHDOG_MS = 250,
    COUNTS_PER_MS = 2000, /* it counts twice a microsecond (datasheet, erratum E1) */
    ALL_BUT_OSCILLATORS = 0x1FFFC,
    LOWEST_PRIORITY = 0xC0,
};

static volatile bool due;

IN_RAM(idle) void idle_interrupt(void)
{
    due = true;
}

static void feed_watchdog(void)
{
    WATCHDOG_LOAD = WATCHDOG_MS * COUNTS_PER_MS;
}

void idle_init(void)
{
    SHPR3 = (uint32_t)LOWEST_PRIORITY << 24; /* edges go first */
    NVIC_IPR(IRQ_USB) = (uint32_t)LOWEST_PRIORITY << 8 * (IRQ_USB % 4);
    SYSTICK_RVR = CLOCK_KHZ - 1;
    SYSTICK_CVR = 0;
    SYSTICK_CSR = 7; /* on, with its interrupt, by the processor's clock */
    PSM_WDSEL = ALL_BUT_OSCILLATORS;
    feed_watchdog();
    WATCHDOG_CTRL = BIT(30);
    interrupts_on();
}

bool idle_due(void)
{
    bool was_due = due;
    due = false;
    return was_due;
}

/* busy() is asked with interrupts off; one that comes after its answer ends the sleep all the same. */
void idle_until_interrupt(bool (*busy)(void))
{
    feed_watchdog();
    interrupts_off();
    if (!due && !busy())
        __asm__ volatile("wfi");
    interrupts_on();
}
