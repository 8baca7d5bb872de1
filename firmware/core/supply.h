/* The board's supply, and whether it is low by the rule that the host warns by. */
#ifndef SUPPLY_H
#define SUPPLY_H

#include <stdbool.h>
#include <stdint.h>

void supply_init(void);
void supply_measured(uint16_t millivolts); /* 0 if the board does not measure it */
uint16_t supply_mv(void);
bool supply_low(void);

#endif
