/* CRC-16/IBM-3740: polynomial 0x1021, start 0xFFFF, not reflected, no final XOR. */
#ifndef CRC16_H
#define CRC16_H

#include <stdint.h>

#define CRC16_START 0xFFFFU

uint16_t crc16_add(uint16_t crc, uint8_t byte);
uint16_t crc16(uint16_t crc, const uint8_t *data, uint8_t length);

#endif
