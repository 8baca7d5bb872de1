/* The board's own number, which a host gives it once and the EEPROM keeps. */
#ifndef BOARD_IDENTITY_H
#define BOARD_IDENTITY_H

#include <stdint.h>

void identity_init(void); /* reads it */
uint32_t identity(void);  /* 0 if the board has none */
void identity_keep(uint32_t number);

#endif
