/* The board as a serial port on a USB cable. */
#ifndef BOARD_USB_H
#define BOARD_USB_H

#include <stdbool.h>
#include <stdint.h>

void usb_init(void);
void usb_task(void); /* answers what the computer asked, sends what was put; never waits */
bool usb_due(void);  /* the computer asked something */

/* Whether a computer has the port and a program there reads it. A packet that nobody takes says that
 * none does, until it is taken. */
bool usb_listens(void);
bool usb_waits(void);
bool usb_take(uint8_t *byte); /* false when none waits */
bool usb_room(void);
void usb_put(uint8_t byte); /* only with room */

#endif
