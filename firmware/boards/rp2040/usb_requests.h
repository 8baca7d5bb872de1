/* What a computer asks of a USB device before it uses it, and the answers. */
#ifndef BOARD_USB_REQUESTS_H
#define BOARD_USB_REQUESTS_H

#include <stdbool.h>
#include <stdint.h>

struct usb_setup {
    uint8_t type;
    uint8_t request;
    uint16_t value;
    uint16_t index;
    uint16_t length;
};

enum { TO_HOST = 0x80, OF_CLASS = 0x20, OF_ENDPOINT = 2 };

enum {
    CLEAR_FEATURE = 1,
    SET_ADDRESS = 5,
    SET_CONFIGURATION = 9,
    SET_LINE_CODING = 0x20,
    SET_CONTROL_LINE_STATE = 0x22,
};

enum { LINE_CODING_BYTES = 7 };
extern uint8_t usb_line_coding[LINE_CODING_BYTES]; /* kept and shown, but of no use on a USB cable */

/* The answer to a request that asks for one; its length is 0 if there is none. */
const uint8_t *usb_answer(const struct usb_setup *setup, uint8_t *length);

#endif
