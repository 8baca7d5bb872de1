/* ATmega2560: timer 4 stamps sensor A at ICP4 (PL0). Sensor B is on PB3 beside it, since port L has
 * no pin-change interrupt; the lamp is on PB7. The bits of timer 4 lie as those of timer 1. */
#ifndef CHIP_H
#define CHIP_H

#define A_DDR DDRL
#define A_PORT PORTL
#define A_PIN PINL
#define A_BIT 0

#define B_DDR DDRB
#define B_PORT PORTB
#define B_PIN PINB
#define B_BIT 3
#define B_CHANGE_MASK PCMSK0
#define B_CHANGE_BIT PCINT3
#define B_CHANGE_ENABLE PCIE0
#define B_CHANGE_FLAG PCIF0
#define B_CHANGE_vect PCINT0_vect

#define LAMP_DDR DDRB
#define LAMP_PORT PORTB
#define LAMP_BIT 7

#define TIMER_A TCCR4A
#define TIMER_B TCCR4B
#define TIMER_COUNT TCNT4
#define TIMER_CAPTURE ICR4
#define TIMER_FLAGS TIFR4
#define TIMER_MASK TIMSK4
#define TIMER_OVERFLOW_vect TIMER4_OVF_vect
#define TIMER_CAPTURE_vect TIMER4_CAPT_vect

#define UART_EMPTY_vect USART0_UDRE_vect
#define UART_RECEIVED_vect USART0_RX_vect

#define REFERENCE_INPUT (_BV(MUX4) | _BV(MUX3) | _BV(MUX2) | _BV(MUX1))

#endif
