/* From the second-stage boot loader to main: the variables, and the vectors in RAM.
 *
 * The vectors and the interrupts stand in RAM, so that edges are stamped while the flash is written. */
#include "chip.h"
#include "clocks.h"
#include "interrupts.h"
#include "memory.h"

int main(void);
void start(void) __attribute__((noreturn));

/* From link.ld; the address of a size is the size. */
extern uint32_t data_start[], data_load[], data_size[], bss_start[], bss_size[], stack_top[];

typedef void (*vector)(void);

/* A fault ends here, and the watchdog ends that. */
IN_RAM(stop) static void stop(void)
{
    for (;;) {
    }
}

__attribute__((section(".first_vectors"), used)) static const vector first_vectors[] = {
    (vector)(uintptr_t)stack_top, start, stop, stop};

enum { OF_PROCESSOR = 16, SYSTICK = 15, VECTORS = OF_PROCESSOR + 32, TABLE_ALIGNMENT = 256 };

__attribute__((section(".vectors"), aligned(TABLE_ALIGNMENT), used)) static const vector vectors[VECTORS] = {
    [2] = stop,
    [3] = stop,
    [SYSTICK] = idle_interrupt,
    [OF_PROCESSOR + IRQ_USB] = usb_interrupt,
    [OF_PROCESSOR + IRQ_PINS] = capture_interrupt,
};

void start(void)
{
    memcpy(data_start, data_load, (size_t)data_size);
    memset(bss_start, 0, (size_t)bss_size);
    VTOR = (uint32_t)(uintptr_t)vectors;
    clocks_init();
    main();
    stop();
    __builtin_unreachable();
}
