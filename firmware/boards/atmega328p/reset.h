/* Why the board started, and how often it has: this tells a host that a reset lies between. */
#ifndef BOARD_RESET_H
#define BOARD_RESET_H

#include "messages.h"

#include <stdint.h>

enum reset_cause reset_cause(void);
uint16_t reset_count(void); /* one more at each start, over power cycles, never 0; call once */

#endif
