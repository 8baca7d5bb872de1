/* Why the board started, and how often it has started with an empty log. */
#ifndef BOARD_RESET_H
#define BOARD_RESET_H

#include "messages.h"

#include <stdint.h>

enum reset_cause reset_cause(void);
/* One more at each call, over power cycles, and never 0. Called at most once a start. */
uint16_t reset_count(void);

#endif
