/* UART 0: 500 kBd, 8 data bits, no parity, one stop bit. */
#ifndef UART_H
#define UART_H

#include <stdbool.h>
#include <stdint.h>

void uart_start_up(void);

/* True when a byte is waiting that nobody has taken yet. */
bool uart_has_byte(void);

/* The oldest byte waiting; only when there is one. */
uint8_t uart_take(void);

#endif
