/* Frames in both directions. The outgoing frame is encoded in the buffer that it is sent from. */
#include "frame.h"

#include "cobs.h"
#include "cold.h"
#include "crc16.h"
#include "messages.h"

#define CRC_BYTES 2
#define OUT_BYTES (1 + 1 + MAX_PAYLOAD + CRC_BYTES + 1)
#define IN_BYTES (1 + 1 + MAX_HOST_PAYLOAD + CRC_BYTES)

static uint8_t out[OUT_BYTES]; /* COBS byte, head, payload, CRC, closing zero */
static uint8_t out_length;
static uint8_t out_sent;

static uint8_t in[IN_BYTES]; /* COBS byte, head, payload, CRC; decoded: head, payload, CRC */
static uint8_t in_length;
static bool in_overlong;
static uint8_t payload;
static uint16_t named_start; /* of the CRC of a frame that names this board */

COLD void frame_name(uint32_t identity, uint16_t boot)
{
    named_start = CRC16_START;
    for (uint8_t i = 0; i < 4; i++, identity >>= 8)
        named_start = crc16_add(named_start, (uint8_t)identity);
    for (uint8_t i = 0; i < 2; i++, boot >>= 8)
        named_start = crc16_add(named_start, (uint8_t)boot);
}

COLD void frame_init(uint32_t identity, uint16_t boot)
{
    frame_name(identity, boot);
    out_length = out_sent = 0;
    in_length = payload = 0;
    in_overlong = false;
}

void frame_begin(uint8_t head)
{
    out[1] = head;
    out_length = 1;
    out_sent = UINT8_MAX; /* nothing is sent before its end */
}

void frame_put_byte(uint8_t byte)
{
    if (out_length < 1 + MAX_PAYLOAD)
        out[++out_length] = byte;
}

COLD void frame_put(uint32_t value, uint8_t bytes)
{
    for (; bytes; bytes--, value >>= 8)
        frame_put_byte((uint8_t)value);
}

uint8_t frame_end(void)
{
    uint16_t crc = crc16(CRC16_START, out + 1, out_length);
    out[++out_length] = (uint8_t)(crc >> 8);
    out[++out_length] = (uint8_t)crc;
    cobs_encode(out, out_length);
    out[++out_length] = 0;
    out_sent = 0;
    return ++out_length;
}

bool frame_sending(void)
{
    return out_sent < out_length;
}

bool frame_next_byte(uint8_t *byte)
{
    if (!frame_sending())
        return false;
    *byte = out[out_sent++];
    return true;
}

static bool decode(void)
{
    uint8_t length = in_overlong ? 0 : cobs_decode(in, in_length);
    in_length = 0;
    in_overlong = false;
    uint16_t start = NAMES_A_BOARD(in[0]) ? named_start : CRC16_START;
    if (length < 1 + CRC_BYTES || crc16(start, in, length) != 0)
        return false;
    payload = (uint8_t)(length - 1 - CRC_BYTES);
    return true;
}

bool frame_receive(uint8_t byte)
{
    if (byte == 0)
        return decode();
    if (in_length < IN_BYTES)
        in[in_length++] = byte;
    else
        in_overlong = true;
    return false;
}

uint8_t frame_head(void)
{
    return in[0];
}

uint8_t frame_payload(void)
{
    return payload;
}

uint32_t frame_field(uint8_t offset, uint8_t bytes)
{
    uint32_t value = 0;
    while (bytes--)
        value = value << 8 | in[1 + offset + bytes];
    return value;
}
