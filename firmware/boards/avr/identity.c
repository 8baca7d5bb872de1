/* Writing takes 27 ms, in which edges wait in the capture's queue. It happens once in the life of a
 * board, so nothing is done to spread it over several rounds of the loop. */
#include "identity.h"

#include "eeprom_map.h"

#include <avr/eeprom.h>

uint32_t identity(void)
{
    struct identity_cell cell;
    eeprom_read_block(&cell, &eeprom_map.identity, sizeof cell);
    return cell.number == ~cell.complement ? cell.number : 0;
}

void identity_keep(uint32_t number)
{
    struct identity_cell cell = {number, ~number};
    eeprom_update_block(&cell, &eeprom_map.identity, sizeof cell);
}
