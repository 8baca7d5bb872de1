# ATmega328P at 8 MHz, as on boards of 3.3 V: the same program on half the clock.
include boards/avr/avr.mk
CHIP = atmega328p
MCU = atmega328p
CLOCK_HZ = 8000000
LOG_BYTES = 1292
BOARD_CPPCHECK += -D__AVR_ATmega328P__

FLASH_BUDGET = 20480
RAM = 2048
RAM_RESERVE = 32
