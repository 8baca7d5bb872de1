/* The board's lamp as somebody beside it sees it. */
#ifndef SIM_LAMP_H
#define SIM_LAMP_H

#include <simavr/sim_avr.h>

void lamp_watch(avr_t *avr); /* prints "lamp TIME LEVEL" at each change */

#endif
