/* The lamp's pin. See lamp.h. */
#include "lamp.h"

#include "chip.h"

#include <simavr/avr_ioport.h>

static void changed(avr_irq_t *irq, uint32_t level, void *param)
{
    static uint32_t shown;
    (void)irq;
    const avr_t *avr = param;
    if (level != shown)
        printf("lamp %.4f %u\n", (double)avr->cycle / CYCLES_PER_US, level);
    shown = level;
}

void lamp_watch(avr_t *avr)
{
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('B'), 5), changed, avr);
}
