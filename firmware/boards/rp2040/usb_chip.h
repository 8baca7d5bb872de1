/* The USB controller: its registers and its memory, from memory of the RP2040 datasheet, "USB".
 *
 * Each end of an endpoint has a word that hands its buffer to the controller and back. */
#ifndef BOARD_USB_CHIP_H
#define BOARD_USB_CHIP_H

#include "chip.h"

enum { PACKET = 64 };

#define USB_MEMORY 0x50100000U
#define USB_SETUP ((const volatile uint8_t *)USB_MEMORY)
enum { USB_MEMORY_CONTROL = 0x180 }; /* bytes before the buffers that are free to use */

#define USB 0x50110000U
#define USB_ADDRESS REGISTER(USB)
#define USB_MAIN_CTRL REGISTER(USB + 0x40)
#define USB_SIE_CTRL REGISTER(USB + 0x4C)
#define USB_SIE_STATUS REGISTER(USB + 0x50)
#define USB_BUFF_STATUS REGISTER(USB + 0x58)
#define USB_EP_STALL_ARM REGISTER(USB + 0x68)
#define USB_MUXING REGISTER(USB + 0x74)
#define USB_PWR REGISTER(USB + 0x78)
#define USB_INTE REGISTER(USB + 0x90)
#define USB_INTS REGISTER(USB + 0x98)

enum {
    SIE_PULL_UP = 1 << 16,
    SIE_EACH_EP0_BUFFER = 1 << 29,
    SIE_SETUP = 1 << 17, /* of SIE_STATUS */
    SIE_RESET = 1 << 19,
    INT_BUFFER = 1 << 4,
    INT_RESET = 1 << 12,
    INT_SETUP = 1 << 16,
};

/* Ends by their number in BUFF_STATUS. */
enum usb_end {
    CONTROL_IN = 0,
    CONTROL_OUT = 1,
    NOTICE_IN = 2, /* endpoint 1: never has anything to say */
    DATA_IN = 4,   /* endpoint 2 */
    DATA_OUT = 5,
};

/* Bits of an end's word. */
enum {
    END_LENGTH = 0x3FF,
    END_AVAILABLE = 1 << 10,
    END_STALL = 1 << 11,
    END_DATA_1 = 1 << 13,
    END_FULL = 1 << 15,
};

/* Bits of an end's set-up. */
#define END_ON (BIT(31) | BIT(29)) /* and an interrupt at each packet */
enum { END_BULK = 2 << 26, END_INTERRUPT = 3 << 26 };

#define END_WORD(end) REGISTER(USB_MEMORY + 0x80 + 4U * (end))
#define END_SET_UP(end) REGISTER(USB_MEMORY + 4U * (end))

#endif
