#include "uart.h"

#include <string.h>

// Bits of UCSR0A and UCSR0B, from the chip's datasheet.
enum { RXC = 0x80, TXC = 0x40, UDRE = 0x20, FE = 0x10, DOR = 0x08, UPE = 0x04, U2X = 0x02, MPCM = 0x01 };
enum { RXCIE = 0x80, TXCIE = 0x40, UDRIE = 0x20, RXEN = 0x10, TXEN = 0x08 };
enum { UCSRC_RESET = 0x06, BITS_PER_BYTE = 10 /* start, eight data, one stop */ };

static uint8_t *ucsra(struct uart *uart) { return &uart->avr->data[uart->registers->r_ucsra]; }
static uint8_t *ucsrb(struct uart *uart) { return &uart->avr->data[uart->registers->r_ucsrb]; }

static avr_cycle_count_t byte_cycles(struct uart *uart)
{
	const uint8_t *data = uart->avr->data;
	uint32_t divisor = data[uart->registers->ubrrl.reg] | (uint32_t)(data[uart->registers->ubrrh.reg] & 0x0F) << 8;
	return (avr_cycle_count_t)(divisor + 1) * ((*ucsra(uart) & U2X) ? 8 : 16) * BITS_PER_BYTE;
}

// simavr queues an interrupt when it is raised; RXC and UDRE are levels, so they are raised again whenever they still hold.
static void raise_level(struct uart *uart, avr_int_vector_t *vector)
{
	avr_raise_interrupt(uart->avr, vector);
}

static void drop_level(struct uart *uart, avr_int_vector_t *vector, uint8_t flag)
{
	avr_clear_interrupt(uart->avr, vector);
	*ucsra(uart) &= (uint8_t)~flag;
}

static void take_in(struct uart *uart, uint8_t byte)
{
	if (!(*ucsrb(uart) & RXEN)) {
		uart->unheard++;
	} else if (uart->buffered < uart->depth) {
		uart->buffer[uart->buffered++] = byte;
		uart->received++;
		raise_level(uart, &uart->registers->rxc);
	} else {
		uart->overruns++;
		*ucsra(uart) |= DOR;
	}
}

static avr_cycle_count_t byte_received(avr_t *avr, avr_cycle_count_t when, void *param)
{
	struct uart *uart = param;
	(void)avr;
	if (uart->injected_count > 0) {
		uint8_t byte = uart->injected[0];
		memmove(uart->injected, uart->injected + 1, --uart->injected_count);
		take_in(uart, byte);
	} else {
		uint8_t byte = uart->waiting[uart->waiting_from];
		struct noise_fate fate = { .byte = byte, .copies = 1 };
		if (!uart->held)
			fate = noise_pass(uart->noise, byte, (instant_ps)when * PS_PER_CYCLE);
		uart->held = fate.hold > 0;
		if (uart->held)
			return when + fate.hold / PS_PER_CYCLE + 1;
		uart->waiting_from = (uart->waiting_from + 1) % UART_WAITING_SIZE;
		uart->waiting_count--;
		if (fate.copies > 0)
			take_in(uart, fate.byte);
		if (fate.copies > 1)
			uart_inject(uart, &fate.byte, 1);
	}
	uart->receiving = uart->waiting_count + uart->injected_count > 0;
	return uart->receiving ? when + byte_cycles(uart) : 0;
}

static void start_receiving(struct uart *uart)
{
	if (uart->receiving || uart->waiting_count + uart->injected_count == 0)
		return;
	uart->receiving = true;
	avr_cycle_timer_register(uart->avr, byte_cycles(uart), byte_received, uart);
}

static avr_cycle_count_t byte_sent(avr_t *avr, avr_cycle_count_t when, void *param)
{
	struct uart *uart = param;
	uart->sent_count++;
	uart->sent(uart->context, uart->shift);
	if (uart->loaded) {
		uart->loaded = false;
		uart->shift = uart->load;
		raise_level(uart, &uart->registers->udrc);
		return when + byte_cycles(uart);
	}
	uart->shifting = false;
	avr_raise_interrupt(avr, &uart->registers->txc);
	return 0;
}

static void write_data(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
	struct uart *uart = param;
	(void)address;
	if (!(*ucsrb(uart) & TXEN))
		return;
	if (!uart->shifting) {
		uart->shifting = true;
		uart->shift = value;
		avr_cycle_timer_register(avr, byte_cycles(uart), byte_sent, uart);
		// Stays ready for one more, at once: the byte has gone on into the shift register.
		drop_level(uart, &uart->registers->udrc, 0);
		raise_level(uart, &uart->registers->udrc);
	} else if (!uart->loaded) {
		uart->loaded = true;
		uart->load = value;
		drop_level(uart, &uart->registers->udrc, UDRE);
	} else {
		uart->overwritten++; // silicon ignores a write while the buffer is full
	}
}

static uint8_t read_data(avr_t *avr, avr_io_addr_t address, void *param)
{
	struct uart *uart = param;
	(void)avr;
	(void)address;
	if (uart->buffered == 0)
		return 0;
	uint8_t byte = uart->buffer[0];
	memmove(uart->buffer, uart->buffer + 1, --uart->buffered);
	*ucsra(uart) &= (uint8_t)~DOR;
	drop_level(uart, &uart->registers->rxc, RXC);
	if (uart->buffered > 0)
		raise_level(uart, &uart->registers->rxc);
	return byte;
}

static void write_status(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
	struct uart *uart = param;
	(void)address;
	if (value & TXC) {
		avr_clear_interrupt(avr, &uart->registers->txc);
		*ucsra(uart) &= (uint8_t)~TXC;
	}
	*ucsra(uart) = (uint8_t)((*ucsra(uart) & ~(U2X | MPCM)) | (value & (U2X | MPCM)));
}

static uint8_t read_status(avr_t *avr, avr_io_addr_t address, void *param)
{
	(void)param;
	return avr->data[address];
}

static void write_control(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
	struct uart *uart = param;
	uint8_t before = avr->data[address];
	avr->data[address] = value;
	if (!(value & RXEN) && (before & RXEN)) {
		uart->buffered = 0;
		drop_level(uart, &uart->registers->rxc, RXC | FE | DOR | UPE);
	}
	if ((value & RXCIE) && !(before & RXCIE) && (*ucsra(uart) & RXC))
		raise_level(uart, &uart->registers->rxc);
	if ((value & UDRIE) && !(before & UDRIE) && (*ucsra(uart) & UDRE))
		raise_level(uart, &uart->registers->udrc);
	if ((value & TXCIE) && !(before & TXCIE) && (*ucsra(uart) & TXC))
		raise_level(uart, &uart->registers->txc);
}

static void write_plain(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
	(void)param;
	avr->data[address] = value;
}

static void take_over(struct uart *uart, avr_io_addr_t address, avr_io_read_t read, avr_io_write_t write)
{
	avr_t *avr = uart->avr;
	avr->io[AVR_DATA_TO_IO(address)].r.c = read;
	avr->io[AVR_DATA_TO_IO(address)].r.param = uart;
	avr->io[AVR_DATA_TO_IO(address)].w.c = write;
	avr->io[AVR_DATA_TO_IO(address)].w.param = uart;
}

void uart_attach(struct uart *uart, avr_t *avr, int depth, struct noise *noise, void (*sent)(void *context, uint8_t byte), void *context)
{
	memset(uart, 0, sizeof *uart);
	uart->avr = avr;
	uart->depth = (uint8_t)depth;
	uart->noise = noise;
	uart->sent = sent;
	uart->context = context;
	for (avr_io_t *io = avr->io_port; io; io = io->next)
		if (strcmp(io->kind, "uart") == 0 && ((avr_uart_t *)io)->name == '0')
			uart->registers = (avr_uart_t *)io;
	avr_uart_t *r = uart->registers;
	// The flags are levels that only the registers clear, not the entry into the interrupt routine.
	r->rxc.raise_sticky = 1;
	r->udrc.raise_sticky = 1;
	take_over(uart, r->r_udr, read_data, write_data);
	take_over(uart, r->r_ucsra, read_status, write_status);
	take_over(uart, r->r_ucsrb, NULL, write_control);
	take_over(uart, r->ubrrl.reg, NULL, write_plain);
	uart_reset(uart);
}

void uart_reset(struct uart *uart)
{
	avr_cycle_timer_cancel(uart->avr, byte_received, uart);
	avr_cycle_timer_cancel(uart->avr, byte_sent, uart);
	avr_clear_interrupt(uart->avr, &uart->registers->rxc);
	avr_clear_interrupt(uart->avr, &uart->registers->udrc);
	avr_clear_interrupt(uart->avr, &uart->registers->txc);
	*ucsra(uart) = UDRE;
	*ucsrb(uart) = 0;
	uart->avr->data[uart->registers->r_ucsrc] = UCSRC_RESET;
	uart->buffered = 0;
	uart->shifting = uart->loaded = uart->receiving = false;
	// The host goes on sending: what waits still comes, whether the chip listens or not.
	start_receiving(uart);
}

size_t uart_room(const struct uart *uart)
{
	return UART_WAITING_SIZE - uart->waiting_count;
}

size_t uart_feed(struct uart *uart, const uint8_t *bytes, size_t count)
{
	size_t taken = count < uart_room(uart) ? count : uart_room(uart);
	for (size_t i = 0; i < taken; i++)
		uart->waiting[(uart->waiting_from + uart->waiting_count++) % UART_WAITING_SIZE] = bytes[i];
	start_receiving(uart);
	return taken;
}

void uart_inject(struct uart *uart, const uint8_t *bytes, size_t count)
{
	for (size_t i = 0; i < count && uart->injected_count < sizeof uart->injected; i++)
		uart->injected[uart->injected_count++] = bytes[i];
	start_receiving(uart);
}

void uart_forget(struct uart *uart)
{
	uart->waiting_count = uart->injected_count = 0;
	uart->receiving = uart->held = false;
	avr_cycle_timer_cancel(uart->avr, byte_received, uart);
}
