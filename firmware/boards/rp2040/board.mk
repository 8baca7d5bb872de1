# RP2040, as on the Pico: a log that holds a whole afternoon, and USB in the chip.
FAMILY = rp2040
CHIP = rp2040
LOG_BYTES = 247500
IMAGE = uf2
BOARD_CC = arm-none-eabi-gcc
BOARD_OBJCOPY = arm-none-eabi-objcopy
BOARD_SIZE = arm-none-eabi-size
BOARD_OBJDUMP = arm-none-eabi-objdump
# No C library: the chip's own memory.c is all that the compiler asks for.
BOARD_FLAGS = -mcpu=cortex-m0plus -mthumb -O2 -g -ffreestanding -nostdlib \
  -ffunction-sections -fdata-sections -Wl,--gc-sections -T boards/rp2040/link.ld
BOARD_LIBRARIES = -lgcc
BOARD_CPPCHECK = --platform=unix32

SIM = sim/pico/virtual-board.js
PROGRAM = $(PRODUCT)

FLASH_BUDGET = 20480
# The log has 256 KiB for itself. The variables have 4 KiB, and so has the stack, which the compiler
# cannot bound, since the boot ROM is called. So hard use must leave half of it.
RAM = 4096
STACK_RAM = 4096
STACK_RESERVE = 2048
BUDGET = awk -v flash_budget=$(FLASH_BUDGET) -v ram=$(RAM) -v stack_ram=$(STACK_RAM) \
  -v reserve=$(STACK_RESERVE) -f boards/rp2040/budget.awk \
  $(BUILD)/sections-$(BOARD) $(BUILD)/hard-use-$(BOARD)
