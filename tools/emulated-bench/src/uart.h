// The chip's UART0, emulated here and not by simavr: true length of a byte (simavr counts 11 bits for 8N1), a receive buffer as deep
// as asked for (2 on silicon; simavr has 64), bytes fed at the line's pace.
#ifndef BENCH_UART_H
#define BENCH_UART_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <simavr/sim_avr.h>
#include <simavr/avr_uart.h>
#include "noise.h"

enum { UART_WAITING_SIZE = 65536, UART_DEPTH_MAX = 64 };

struct uart {
	avr_t *avr;
	avr_uart_t *registers; // simavr's own UART0: its register addresses and interrupt vectors are used, its engine is not
	void (*sent)(void *context, uint8_t byte);
	void *context;
	// Towards the chip: bytes that wait for the line, the one on the line, the receive buffer.
	uint8_t waiting[UART_WAITING_SIZE];
	size_t waiting_from, waiting_count;
	bool receiving;
	struct noise *noise; // of the line to the chip
	bool held;           // the byte in front was held up already, and comes now
	uint8_t injected[2 * NOISE_BURST_MAX]; // come before what waits: second copies, bursts
	size_t injected_count;
	uint8_t depth, buffered;
	uint8_t buffer[UART_DEPTH_MAX];
	bool overrun;
	// From the chip: shift register, and one byte behind it.
	bool shifting, loaded;
	uint8_t shift, load;
	uint64_t received, unheard, overruns, sent_count, overwritten;
};

// depth: bytes that the receiver holds before it loses one, 2..64. The listener gets each byte at the end of its stop bit. noise: what the line does to bytes
// on their way to the chip.
void uart_attach(struct uart *uart, avr_t *avr, int depth, struct noise *noise, void (*sent)(void *context, uint8_t byte), void *context);

// After every reset of the chip: the registers' reset values; what is on the line is lost.
void uart_reset(struct uart *uart);

// Puts bytes on the line behind those that wait. Returns how many there was room for.
size_t uart_feed(struct uart *uart, const uint8_t *bytes, size_t count);

// Puts bytes on the line in front of those that wait, untouched by its noise: they are noise. What there is no room for is lost.
void uart_inject(struct uart *uart, const uint8_t *bytes, size_t count);

size_t uart_room(const struct uart *uart);

// Throws away what waits for the line (the cable was pulled).
void uart_forget(struct uart *uart);

#endif
