/* The chip's clocks: 125 MHz for the processor, 48 MHz for USB and the converter, 1 MHz for the timer. */
#ifndef BOARD_CLOCKS_H
#define BOARD_CLOCKS_H

void clocks_init(void); /* before all else; sets all parts of the chip back */

#endif
