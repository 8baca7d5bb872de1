# What the AVRs have in common. A board says CHIP (the folder with its chip.h), MCU (its compiler's
# name), CLOCK_HZ and LOG_BYTES.
FAMILY = avr
IMAGE = hex
BOARD_CC = avr-gcc
BOARD_OBJCOPY = avr-objcopy
BOARD_SIZE = avr-size
BOARD_OBJDUMP = avr-objdump
# -O3 gives 3 % more edges a second than -O2, for 700 bytes. -flto and -finline-functions give 24 %
# more than without them, and less stack.
BOARD_FLAGS = -mmcu=$(MCU) -DF_CPU=$(CLOCK_HZ)UL -O3 -finline-functions -flto -g \
  -ffunction-sections -Wl,--gc-sections
BOARD_CPPCHECK = --platform=avr8 --library=avr -DF_CPU=$(CLOCK_HZ)

SIM = $(BUILD)/virtual-board
PROGRAM = $(ELF)

# The stack's bound comes from the code (see stack.py). One second of hard use on the virtual board
# must stay below it.
BUDGET_NEEDS = $(STACK)
BUDGET = awk -v flash_budget=$(FLASH_BUDGET) -v ram=$(RAM) -v reserve=$(RAM_RESERVE) \
  -f sim/budget.awk $(BUILD)/sections-$(BOARD) $(STACK) $(BUILD)/hard-use-$(BOARD)
