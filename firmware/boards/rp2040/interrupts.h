/* The interrupts, as the vectors in start.c name them. */
#ifndef BOARD_INTERRUPTS_H
#define BOARD_INTERRUPTS_H

void capture_interrupt(void); /* a change of a sensor; goes before all others */
void idle_interrupt(void);    /* each millisecond */
void usb_interrupt(void);     /* the computer asked something */

#endif
