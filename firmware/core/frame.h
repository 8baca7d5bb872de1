/* Frames: COBS, a closing zero, a CRC. One outgoing frame and one incoming one at a time. */
#ifndef FRAME_H
#define FRAME_H

#include <stdbool.h>
#include <stdint.h>

void frame_init(uint32_t identity, uint16_t boot);
void frame_name(uint32_t identity, uint16_t boot); /* frames that name this board are heard */

/* Outgoing: begin, put the fields in the table's order, end, which returns its size on the line. */
void frame_begin(uint8_t head);
void frame_put(uint32_t value, uint8_t bytes);
void frame_put_byte(uint8_t byte);
uint8_t frame_end(void);
bool frame_sending(void);
bool frame_next_byte(uint8_t *byte);

/* Incoming: true when this byte ends a frame whose CRC holds. */
bool frame_receive(uint8_t byte);
uint8_t frame_head(void);
uint8_t frame_payload(void); /* its payload's length */
uint32_t frame_field(uint8_t offset, uint8_t bytes);

#endif
