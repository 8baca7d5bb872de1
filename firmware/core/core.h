/* The board-independent instrument: edges and the host's bytes in, the board's bytes out.
 *
 * A board calls core_resume and core_init once. All else it calls from its main loop, never from an
 * interrupt. It hands over each captured edge in order (core_edge) and each byte from the host
 * (core_receive). It asks for each byte that its UART can take (core_next_byte). Every few
 * milliseconds it says what time it is (core_now). It takes that stamp before it hands over the
 * captured edges, so that no edge comes later that is older.
 *
 * While core_checks holds, a host wants to see both sensors. The board then calls core_sample in
 * place of core_edge, at each change of either sensor, and only while core_takes holds. It calls it
 * once more, changed or not, whenever core_wants_sample holds. */
#ifndef CORE_H
#define CORE_H

#include <stdbool.h>
#include <stdint.h>

#include "messages.h"

struct core_setup {
    const char *firmware; /* name and version, at most 24 bytes; stays in RAM */
    uint16_t boot;        /* of core_resume, else one more than ever before; never 0 */
    uint8_t reset_cause;  /* enum reset_cause */
    uint16_t edges_per_turn; /* as core_edges_per_turn was last */
    uint32_t identity;    /* the board's own number, 0 none yet */
    bool one_sensor;      /* as core_one_sensor was last; with it all edges are forward */
};

/* After a reset, looks for the log in memory. Returns its boot number and goes on with it, or 0. */
uint16_t core_resume(enum reset_cause cause);
void core_init(const struct core_setup *setup);
void core_edge(uint32_t stamp, bool forward); /* 0.5 us stamps, wrapping */
void core_missed(uint16_t count);             /* edges or samples that could not be stamped */
bool core_checks(void);
bool core_takes(void);
bool core_wants_sample(void);
void core_sample(uint32_t stamp, uint8_t levels); /* SAMPLE_A, SAMPLE_B */
void core_receive(uint8_t byte);
void core_now(uint32_t now);
bool core_next_byte(uint8_t *byte); /* false: nothing to send now */
void core_set_battery(uint16_t millivolts);
bool core_lamp_turned(void); /* the lamp shows the opposite of sensor A now (lamp.h) */
uint32_t core_identity(void); /* a board that had none keeps this from now on, unless it is 0 */
uint16_t core_edges_per_turn(void); /* these two are kept over power cycles if they can be */
bool core_one_sensor(void);

#endif
