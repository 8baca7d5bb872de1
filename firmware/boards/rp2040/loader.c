/* The second-stage boot loader. The boot ROM copies the first 256 bytes of the flash to RAM, checks
 * their CRC and jumps to the first (RP2040 datasheet, "Bootrom"; from memory). The last four are the
 * CRC, which image.py makes. What follows is the program: its vectors, the stack first. */
#include "xip.h"

#define PROGRAM (FLASH_BASE + 0x100U)

void second_stage(void) __attribute__((section(".loader"), used, noreturn));
void second_stage(void)
{
    xip_set_up();
    VTOR = PROGRAM;
    uint32_t stack = REGISTER(PROGRAM);
    uint32_t program = REGISTER(PROGRAM + 4);
    __asm__ volatile("msr msp, %0\n\tbx %1" : : "r"(stack), "r"(program));
    __builtin_unreachable();
}
