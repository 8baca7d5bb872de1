/* The board's own number, which a host gives it once and the EEPROM keeps. */
#ifndef BOARD_IDENTITY_H
#define BOARD_IDENTITY_H

#include <stdint.h>

uint32_t identity(void); /* as kept; 0 if the board has none */
void identity_keep(uint32_t number);

#endif
