/* CRC-16/IBM-3740 without a table: folding a whole byte at once saves both flash and time. */
#include "crc16.h"

/* The polynomial's terms x^12 and x^5 make a byte's whole effect three shifts of its upper half. */
uint16_t crc16_add(uint16_t crc, uint8_t byte)
{
    uint8_t top = (uint8_t)(crc >> 8) ^ byte;
    top ^= (uint8_t)(top >> 4);
    return (uint16_t)((uint16_t)(crc << 8) ^ (uint16_t)((uint16_t)top << 12) ^
                      (uint16_t)((uint16_t)top << 5) ^ top);
}

uint16_t crc16(uint16_t crc, const uint8_t *data, uint8_t length)
{
    for (uint8_t i = 0; i < length; i++)
        crc = crc16_add(crc, data[i]);
    return crc;
}
