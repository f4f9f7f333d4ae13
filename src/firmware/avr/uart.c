#include "uart.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "chip.h"
#include "hal.h"

static volatile uint8_t ring[RECEIVE_RING_BYTES];
static volatile uint8_t next_in;
static volatile uint8_t next_out;
static volatile uint32_t overruns;

/* The place in the ring behind that one. */
static inline uint8_t behind(uint8_t place)
{
    return (uint8_t)(place + 1) & (RECEIVE_RING_BYTES - 1);
}

/* The chips' header names it differently. */
#ifdef USART0_RX_vect
#define RECEIVED_vect USART0_RX_vect
#else
#define RECEIVED_vect USART_RX_vect
#endif

ISR(RECEIVED_vect)
{
    const uint8_t status = UCSR0A; /* belongs to the byte that is read next */
    const uint8_t byte = UDR0;
    const uint8_t after = behind(next_in);

    if ((status & (1 << DOR0)) != 0)
        overruns++;
    if (after == next_out) {
        overruns++;
        return;
    }
    ring[next_in] = byte;
    next_in = after;
}

void uart_start_up(void)
{
    UCSR0A = 1 << U2X0; /* before UBRR0: the divisor counts by eight then */
    UBRR0H = 0;
    UBRR0L = F_CPU / 8 / 500000UL - 1;
    UCSR0C = (1 << UCSZ01) | (1 << UCSZ00);
    UCSR0B = (1 << RXCIE0) | (1 << RXEN0) | (1 << TXEN0);
}

bool uart_has_byte(void)
{
    return next_in != next_out;
}

uint8_t uart_take(void)
{
    const uint8_t byte = ring[next_out];

    next_out = behind(next_out);
    return byte;
}

void hal_send(uint8_t byte)
{
    while ((UCSR0A & (1 << UDRE0)) == 0)
        ;
    UCSR0A = (1 << TXC0) | (1 << U2X0); /* TXC0 is cleared by writing 1: it is to tell of this byte */
    UDR0 = byte;
}

void hal_send_finish(void)
{
    while ((UCSR0A & (1 << TXC0)) == 0)
        ;
}

uint32_t hal_receive_overruns(void)
{
    uint32_t count;

    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        count = overruns;
    }
    return count;
}
