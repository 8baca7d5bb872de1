/* The lamp: what somebody beside the track sees of the board without a host.
 *
 * It mirrors sensor A. While edges wait and no host listens it blinks once a second, and while the
 * battery is low four times. To blink is to turn over for a moment, so that A still shows. */
#ifndef LAMP_H
#define LAMP_H

#include <stdbool.h>
#include <stdint.h>

bool lamp_turned(uint32_t stamp, bool waiting, bool low);

#endif
