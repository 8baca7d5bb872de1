/* ATmega328P: timer 1 stamps sensor A at ICP1 (PB0). Sensor B is on PD7, the lamp on PB5. */
#ifndef CHIP_H
#define CHIP_H

#define A_DDR DDRB
#define A_PORT PORTB
#define A_PIN PINB
#define A_BIT 0

#define B_DDR DDRD
#define B_PORT PORTD
#define B_PIN PIND
#define B_BIT 7
#define B_CHANGE_MASK PCMSK2
#define B_CHANGE_BIT PCINT23
#define B_CHANGE_ENABLE PCIE2
#define B_CHANGE_FLAG PCIF2
#define B_CHANGE_vect PCINT2_vect

#define LAMP_DDR DDRB
#define LAMP_PORT PORTB
#define LAMP_BIT 5

#define TIMER_A TCCR1A
#define TIMER_B TCCR1B
#define TIMER_COUNT TCNT1
#define TIMER_CAPTURE ICR1
#define TIMER_FLAGS TIFR1
#define TIMER_MASK TIMSK1
#define TIMER_OVERFLOW_vect TIMER1_OVF_vect
#define TIMER_CAPTURE_vect TIMER1_CAPT_vect

#define UART_EMPTY_vect USART_UDRE_vect
#define UART_RECEIVED_vect USART_RX_vect

#define REFERENCE_INPUT (_BV(MUX3) | _BV(MUX2) | _BV(MUX1))

#endif
