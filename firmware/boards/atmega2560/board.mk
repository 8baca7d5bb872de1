# ATmega2560 at 16 MHz: four times the RAM, and a log that holds a day's runs.
include boards/avr/avr.mk
CHIP = atmega2560
MCU = atmega2560
CLOCK_HZ = 16000000
LOG_BYTES = 7132
BOARD_CPPCHECK += -D__AVR_ATmega2560__

FLASH_BUDGET = 20480
RAM = 8192
RAM_RESERVE = 64
