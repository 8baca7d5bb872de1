# ATmega328P at 16 MHz: what it has to give.
include boards/avr/avr.mk
CHIP = atmega328p
MCU = atmega328p
CLOCK_HZ = 16000000
LOG_BYTES = 1296
BOARD_CPPCHECK += -D__AVR_ATmega328P__

FLASH_BUDGET = 20480
# The chip has 30 KiB beside a boot loader of 2 KiB; the rest is for what is to come.
RAM = 2048
RAM_RESERVE = 32
# Kept free between the stack's bound and the data: another compiler may need some bytes more.
