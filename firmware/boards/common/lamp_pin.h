/* The lamp on pin 13, which most boards carry. */
#ifndef BOARD_LAMP_PIN_H
#define BOARD_LAMP_PIN_H

#include <stdbool.h>

void lamp_init(void);
void lamp_turn(bool turned); /* from now on it shows the opposite of sensor A, or not */
void lamp_show(bool a);      /* sensor A's level */

#endif
