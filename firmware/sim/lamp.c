/* The lamp's pin. See lamp.h. */
#include "lamp.h"

#include "board.h"

#include <simavr/avr_ioport.h>
#include <stdio.h>

static void changed(avr_irq_t *irq, uint32_t level, void *param)
{
    static uint32_t shown;
    (void)irq;
    const avr_t *avr = param;
    if (level != shown)
        printf("lamp %.4f %u\n", (double)avr->cycle / board->cycles_per_us, level);
    shown = level;
}

void lamp_watch(avr_t *avr)
{
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(board->lamp.port), board->lamp.bit), changed, avr);
}
