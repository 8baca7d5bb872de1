/* Edge coding: an interval to a Rice code of what its prediction missed. docs/protocol.md, "Edges". */
#ifndef CODER_H
#define CODER_H

#include <stdbool.h>
#include <stdint.h>

#define CODE_LONGEST 51 /* bits of the longest code */

/* A code's bits, the prefix first, each part with its most significant bit first. */
struct code {
    uint32_t prefix;
    uint32_t rest;
    uint8_t prefix_bits;
    uint8_t rest_bits;
};

void coder_begin(uint8_t slots, bool forward);
void coder_interval(uint32_t interval, bool forward, struct code *code);
void coder_end(struct code *code);

#endif
