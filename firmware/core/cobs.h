/* Consistent overhead byte stuffing (Cheshire and Baker, 1999) in place, for frames below 254 bytes. */
#ifndef COBS_H
#define COBS_H

#include <stdint.h>

/* frame[0] is free, the data stands in frame[1 .. length]. Writes length + 1 bytes, none of them 0. */
void cobs_encode(uint8_t *frame, uint8_t length);

/* Decodes `length` bytes to the front of the same buffer; returns the decoded length, 0 if these are no frame. */
uint8_t cobs_decode(uint8_t *frame, uint8_t length);

#endif
