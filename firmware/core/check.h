/* The sensor check: while a host asks for it, the board sends what both sensors show, and logs nothing.
 *
 * A sample is the two levels and when: a stamp with its two lowest bits given to the levels. Samples
 * are collected in the frame that will carry them, so they must wait while another one is sent. */
#ifndef CHECK_H
#define CHECK_H

#include <stdbool.h>
#include <stdint.h>

void check_init(void);
void check_ask(bool wanted, uint32_t now); /* a host asks for it, or for its end */
void check_now(uint32_t now);             /* ends it when no host asks any more */
bool check_on(void);

bool check_takes(void); /* a sample can be taken now */
void check_sample(uint32_t stamp, uint8_t levels, uint8_t boot);
void check_missed(uint16_t count); /* samples that could not be taken */

bool check_quiet(uint32_t now);     /* nothing was sent for long: a sample is wanted though all rests */
bool check_collects(void);          /* a frame is begun; it must be sent before any other */
bool check_frame_due(uint32_t now); /* it must be sent now */
void check_close(uint32_t now);     /* it is whole; the caller ends it */

#endif
