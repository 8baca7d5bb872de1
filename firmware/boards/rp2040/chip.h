/* RP2040: its registers, by the names of its datasheet; addresses and bits from memory.
 *
 * A register is written at three more addresses, which set, clear or turn over the bits given. */
#ifndef CHIP_H
#define CHIP_H

#include <stdint.h>

#define REGISTER(address) (*(volatile uint32_t *)(address))
#define SET(address) REGISTER((address) + 0x2000)
#define CLEAR(address) REGISTER((address) + 0x3000)
#define BIT(number) (UINT32_C(1) << (number))

/* Code that runs from RAM: it must not wait for the flash, or runs while the flash cannot be read. */
#define IN_RAM(name) __attribute__((section(".in_ram." #name), noinline))

enum { CLOCK_KHZ = 125000 };

/* Pins. */
enum {
    PIN_TX = 0,
    PIN_RX = 1,
    PIN_A = 2,
    PIN_B = 3,
    PIN_LAMP = 25,
    PIN_SUPPLY = 29,
};

/* Interrupts. */
enum {
    IRQ_USB = 5,
    IRQ_PINS = 13,
};

#define FLASH_BASE 0x10000000U
#define SSI 0x18000000U
#define SSI_CTRLR0 REGISTER(SSI)
#define SSI_CTRLR1 REGISTER(SSI + 0x04)
#define SSI_SSIENR REGISTER(SSI + 0x08)
#define SSI_SER REGISTER(SSI + 0x10)
#define SSI_BAUDR REGISTER(SSI + 0x14)
#define SSI_SPI_CTRLR0 REGISTER(SSI + 0xF4)

#define CLOCKS 0x40008000U
#define CLK_REF_CTRL REGISTER(CLOCKS + 0x30)
#define CLK_REF_SELECTED REGISTER(CLOCKS + 0x38)
#define CLK_SYS_CTRL REGISTER(CLOCKS + 0x3C)
#define CLK_SYS_SELECTED REGISTER(CLOCKS + 0x44)
#define CLK_PERI_CTRL REGISTER(CLOCKS + 0x48)
#define CLK_USB_CTRL REGISTER(CLOCKS + 0x54)
#define CLK_ADC_CTRL REGISTER(CLOCKS + 0x60)

#define RESETS 0x4000C000U
#define RESET_DONE REGISTER(RESETS + 0x08)

#define PSM_WDSEL REGISTER(0x40010008U)

#define IO_BANK0 0x40014000U
#define GPIO_CTRL(pin) REGISTER(IO_BANK0 + 8U * (pin) + 4U)
#define INTR0 REGISTER(IO_BANK0 + 0xF0)
#define PROC0_INTE0 (IO_BANK0 + 0x100)
#define PROC0_INTS0 REGISTER(IO_BANK0 + 0x120)
enum { FUNCTION_UART = 2, FUNCTION_SIO = 5 };

#define PAD(pin) REGISTER(0x4001C004U + 4U * (pin))
enum { PAD_SCHMITT = 1 << 1, PAD_PULL_UP = 1 << 3, PAD_INPUT = 1 << 6, PAD_NO_OUTPUT = 1 << 7 };

#define XOSC_CTRL REGISTER(0x40024000U)
#define XOSC_STATUS REGISTER(0x40024004U)
#define XOSC_STARTUP REGISTER(0x4002400CU)
#define PLL_SYS 0x40028000U
#define PLL_USB 0x4002C000U

#define UART0 0x40034000U
#define UART_DR REGISTER(UART0)
#define UART_FR REGISTER(UART0 + 0x18)
#define UART_IBRD REGISTER(UART0 + 0x24)
#define UART_FBRD REGISTER(UART0 + 0x28)
#define UART_LCR_H REGISTER(UART0 + 0x2C)
#define UART_CR REGISTER(UART0 + 0x30)

#define ADC_CS REGISTER(0x4004C000U)
#define ADC_RESULT REGISTER(0x4004C004U)

#define TIMERAWL REGISTER(0x40054028U)

#define WATCHDOG 0x40058000U
#define WATCHDOG_CTRL REGISTER(WATCHDOG)
#define WATCHDOG_LOAD REGISTER(WATCHDOG + 0x04)
#define WATCHDOG_REASON REGISTER(WATCHDOG + 0x08)
#define WATCHDOG_TICK REGISTER(WATCHDOG + 0x2C)

#define CHIP_RESET REGISTER(0x40064008U)

#define SIO_GPIO_IN REGISTER(0xD0000004U)
#define SIO_GPIO_OUT_SET REGISTER(0xD0000014U)
#define SIO_GPIO_OUT_CLR REGISTER(0xD0000018U)
#define SIO_GPIO_OE_SET REGISTER(0xD0000024U)

/* The processor's own. */
#define SYSTICK_CSR REGISTER(0xE000E010U)
#define SYSTICK_RVR REGISTER(0xE000E014U)
#define SYSTICK_CVR REGISTER(0xE000E018U)
#define NVIC_ISER REGISTER(0xE000E100U)
#define NVIC_ICER REGISTER(0xE000E180U)
#define NVIC_IPR(irq) REGISTER(0xE000E400U + ((irq) & ~3U))
#define VTOR REGISTER(0xE000ED08U)
#define SHPR3 REGISTER(0xE000ED20U)

#define WAIT_FOR(condition)                                                                        \
    do {                                                                                           \
    } while (!(condition))

static inline void interrupts_off(void)
{
    __asm__ volatile("cpsid i" ::: "memory");
}

static inline void interrupts_on(void)
{
    __asm__ volatile("cpsie i" ::: "memory");
}

#endif
