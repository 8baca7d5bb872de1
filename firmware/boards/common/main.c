/* The main loop: edges and the host's bytes to the core, the core's bytes to the line. */
#include "battery.h"
#include "capture.h"
#include "cold.h"
#include "core.h"
#include "identity.h"
#include "idle.h"
#include "lamp_pin.h"
#include "line.h"
#include "reset.h"
#include "setup.h"

/* Each part of the loop stays a function, whose stack is free again at its end. As one function they
 * would take the sum of their stacks, and 1 KB more of flash. */
#define TASK static __attribute__((noinline)) void
#define SELDOM COLD static void /* not for each edge */

SELDOM time_task(uint32_t now)
{
    core_now(now);
    battery_task();
    core_set_battery(battery_mv());
    if (identity() != core_identity())
        identity_keep(core_identity());
    setup_keep((struct setup){core_edges_per_turn(), core_one_sensor()});
    lamp_turn(core_lamp_turned());
}

/* Forward is an edge after which A differs from B. */
static bool forward(uint8_t levels)
{
    return !(levels & SAMPLE_A) != !(levels & SAMPLE_B);
}

TASK edges_task(void)
{
    struct edge edge;
    while (core_takes() && capture_take(&edge)) {
        if (core_checks())
            core_sample(edge.stamp, edge.levels & (SAMPLE_A | SAMPLE_B));
        else if (edge.levels & OF_A)
            core_edge(edge.stamp, forward(edge.levels));
    }
    uint16_t missed = capture_missed();
    if (missed)
        core_missed(missed);
}

SELDOM check_task(void)
{
    struct edge now;
    capture_watch_both(core_checks());
    if (core_wants_sample() && capture_still(&now))
        core_sample(now.stamp, now.levels);
}

SELDOM receive_task(void)
{
    uint8_t byte;
    while (line_take(&byte))
        core_receive(byte);
}

TASK send_task(void)
{
    uint8_t byte;
    while (line_room() && core_next_byte(&byte))
        line_put(byte);
}

static bool busy(void)
{
    return capture_waits() || line_waits();
}

SELDOM begin(void)
{
    line_init();
    battery_init();
    uint16_t boot = core_resume(reset_cause());
    if (!boot)
        boot = reset_count(); /* from here on the cause of a start without a log is known */
    struct setup last = setup();
    core_init(&(struct core_setup){
        .firmware = BOARD_NAME " " FIRMWARE_VERSION,
        .boot = boot,
        .reset_cause = reset_cause(),
        .edges_per_turn = last.edges_per_turn,
        .identity = identity(),
        .one_sensor = last.one_sensor,
    });
    core_set_battery(battery_mv());
    capture_init(); /* late: counting the reset takes up to 14 ms, in which edges would wait */
    lamp_init();
    idle_init();
}

int main(void)
{
    begin();
    for (;;) {
        bool due = idle_due();
        uint32_t now = capture_now(); /* before the edges, so that none is older that comes later */
        edges_task();
        if (due)
            time_task(now);
        lamp_show(capture_a());
        check_task();
        receive_task();
        send_task();
        idle_until_interrupt(busy);
    }
}
