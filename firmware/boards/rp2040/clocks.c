/* Both loops multiply the 12 MHz of the crystal: to 1500 MHz, divided by 6 and 2, for the processor;
 * to 1200 MHz, divided by 5 and 5, for USB. The order of the steps is the datasheet's (from memory). */
#include "clocks.h"

#include "chip.h"

enum {
    CRYSTAL_MHZ = 12,
    STARTUP_DELAY = 47, /* x 256 cycles of the crystal: 1 ms */
};

/* Bits of RESETS: what the flash and the clocks at work need is left alone. */
enum {
    R_ADC = 1 << 0,
    R_IO = 1 << 5,
    R_PADS = 1 << 8,
    R_PLL_SYS = 1 << 12,
    R_PLL_USB = 1 << 13,
    R_TIMER = 1 << 21,
    R_UART0 = 1 << 22,
    R_USB = 1 << 24,
    R_USED = R_ADC | R_IO | R_PADS | R_PLL_SYS | R_PLL_USB | R_TIMER | R_UART0 | R_USB,
};

enum { SOURCE_CRYSTAL = 2, SOURCE_LOOP = 1, CLOCK_ENABLE = 1 << 11 };

/* Bits of a loop's PWR. */
enum { LOOP_OFF = 1 << 0, DIVIDER_OFF = 1 << 3, OSCILLATOR_OFF = 1 << 5 };

static void start_crystal(void)
{
    XOSC_STARTUP = STARTUP_DELAY;
    XOSC_CTRL = 0xFABU << 12 | 0xAA0U; /* on; 1 to 15 MHz */
    WAIT_FOR(XOSC_STATUS & BIT(31));
    CLK_REF_CTRL = SOURCE_CRYSTAL;
    WAIT_FOR(CLK_REF_SELECTED & BIT(SOURCE_CRYSTAL));
}

/* The processor runs from the crystal while its loop starts again. */
static void leave_loop(void)
{
    CLK_SYS_CTRL = 0;
    WAIT_FOR(CLK_SYS_SELECTED & BIT(0));
}

static void start_loop(uint32_t loop, uint32_t times, uint32_t divider_1, uint32_t divider_2)
{
    REGISTER(loop) = 1; /* the crystal, not divided */
    REGISTER(loop + 0x08) = times;
    CLEAR(loop + 0x04) = LOOP_OFF | OSCILLATOR_OFF;
    WAIT_FOR(REGISTER(loop) & BIT(31));
    REGISTER(loop + 0x0C) = divider_1 << 16 | divider_2 << 12;
    CLEAR(loop + 0x04) = DIVIDER_OFF;
}

static void reset_parts(void)
{
    SET(RESETS) = R_USED;
    CLEAR(RESETS) = R_USED;
    WAIT_FOR((RESET_DONE & R_USED) == R_USED);
}

void clocks_init(void)
{
    WATCHDOG_CTRL = 0;
    start_crystal();
    leave_loop();
    CLK_PERI_CTRL = CLK_USB_CTRL = CLK_ADC_CTRL = 0;
    reset_parts();
    start_loop(PLL_SYS, 125, 6, 2);
    start_loop(PLL_USB, 100, 5, 5);
    CLK_SYS_CTRL = SOURCE_LOOP;
    WAIT_FOR(CLK_SYS_SELECTED & BIT(SOURCE_LOOP));
    CLK_PERI_CTRL = CLK_USB_CTRL = CLK_ADC_CTRL = CLOCK_ENABLE;
    WATCHDOG_TICK = BIT(9) | CRYSTAL_MHZ; /* the timer's microsecond */
}
