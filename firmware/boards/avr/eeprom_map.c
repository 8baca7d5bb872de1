#include "eeprom_map.h"

#include <avr/eeprom.h>

struct eeprom_map eeprom_map EEMEM;
