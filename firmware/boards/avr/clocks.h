/* What follows from the clock: 16 MHz, or 8 MHz as on boards of 3.3 V. */
#ifndef BOARD_CLOCKS_H
#define BOARD_CLOCKS_H

#if F_CPU == 16000000
#define STAMP_SHIFT 0 /* the timer counts 0.5 us */
#define BEAT_PRESCALER _BV(CS02) /* of timer 0: /256, so 4.1 ms */
#define ADC_PRESCALER (_BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0))
#elif F_CPU == 8000000
#define STAMP_SHIFT 1 /* the timer counts 1 us, and a stamp is 0.5 us on all boards */
#define BEAT_PRESCALER (_BV(CS01) | _BV(CS00)) /* /64, so 2.0 ms */
#define ADC_PRESCALER (_BV(ADPS2) | _BV(ADPS1))
#else
#error "the clock is 16 or 8 MHz"
#endif

#endif
