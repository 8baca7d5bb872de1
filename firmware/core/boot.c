/* After power-on the memory holds garbage, which could look like a log once in a long while. */
#include "boot.h"

#include "clock.h"
#include "cold.h"
#include "kept.h"
#include "log.h"
#include "order.h"

#define KEPT_BY ((uint16_t)TABLE_HASH)

KEPT static uint16_t kept_by; /* the program that wrote what is kept, by its message table */
KEPT static uint16_t kept_boot;

COLD uint16_t boot_resume(enum reset_cause cause)
{
    if (cause == RESET_POWER_ON || kept_by != (KEPT_BY ^ kept_boot))
        return 0;
    return clock_resume() && log_resume() ? kept_boot : 0;
}

COLD void boot_begin(uint16_t boot)
{
    kept_by = 0;
    keep_order();
    clock_init();
    log_init();
    kept_boot = boot;
    keep_order();
    kept_by = KEPT_BY ^ kept_boot;
}
