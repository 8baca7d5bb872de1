/* The main loop: edges and the host's bytes to the core, the core's bytes to the UART. */
#include "battery.h"
#include "capture.h"
#include "core.h"
#include "idle.h"
#include "reset.h"
#include "uart.h"

#include <avr/interrupt.h>

enum { EDGES_PER_TURN = 20 }; /* of the first disc, until the host says otherwise */

static void time_task(void)
{
    core_tick(clock_ticks());
    battery_task();
    core_set_battery(battery_mv());
}

static void edges_task(void)
{
    struct edge edge;
    while (capture_take(&edge))
        core_edge(edge.ticks, edge.direction > 0);
    uint16_t missed = capture_missed();
    if (missed)
        core_missed(missed);
}

static void receive_task(void)
{
    uint8_t byte;
    while (uart_take(&byte))
        core_receive(byte);
}

static void send_task(void)
{
    uint8_t byte;
    while (uart_room() && core_next_byte(&byte))
        uart_put(byte);
}

static bool busy(void)
{
    return capture_waits() || uart_waits();
}

int main(void)
{
    uart_init();
    battery_init();
    core_init(&(struct core_setup){
        .firmware = "atmega328p " FIRMWARE_VERSION,
        .boot = reset_count(),
        .reset_cause = reset_cause(),
        .edges_per_turn = EDGES_PER_TURN,
    });
    core_set_battery(battery_mv());
    capture_init(); /* late: counting the reset takes 14 ms, in which edges would wait */
    idle_init();
    sei();
    for (;;) {
        if (idle_tick())
            time_task();
        edges_task();
        receive_task();
        send_task();
        idle_until_interrupt(busy);
    }
}
