/* COBS in place: each zero turns into the distance to the next, so nothing moves. */
#include "cobs.h"

void cobs_encode(uint8_t *frame, uint8_t length)
{
    uint8_t code_at = 0;
    for (uint8_t i = 1; i <= length; i++) {
        if (frame[i] != 0)
            continue;
        frame[code_at] = (uint8_t)(i - code_at);
        code_at = i;
    }
    frame[code_at] = (uint8_t)(length + 1 - code_at);
}

uint8_t cobs_decode(uint8_t *frame, uint8_t length)
{
    uint8_t next_code = 0;
    for (uint8_t i = 0; i < length; i++) {
        uint8_t byte = frame[i];
        if (byte == 0)
            return 0;
        if (i == next_code) {
            if (byte > length - i)
                return 0;
            next_code = (uint8_t)(i + byte);
            byte = 0;
        }
        if (i > 0)
            frame[i - 1] = byte;
    }
    return length ? (uint8_t)(length - 1) : 0;
}
