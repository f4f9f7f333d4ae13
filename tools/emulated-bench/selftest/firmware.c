// Test firmware of the bench's own: a small monitor on UART0. It exists to prove the bench and shares nothing with the adapter's firmware.
// One letter and its arguments in, a fixed number of bytes out; test_firmware.h says which.
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <stdint.h>
#include <util/delay.h>

// Where the lines are, and what the compiler calls the receiver's interrupt.
#ifdef PORTA
#define LINES PORTA
#else
#define LINES PORTD
#define USART0_RX_vect USART_RX_vect
#define USART0_UDRE_vect USART_UDRE_vect
#endif

static uint8_t kept __attribute__((section(".noinit"))); // survives a reset on silicon
static volatile uint8_t changes, echoed;

ISR(PCINT0_vect)
{
	changes++;
}

ISR(USART0_RX_vect)
{
	while (!(UCSR0A & (1 << UDRE0)))
		;
	UDR0 = UDR0;
	echoed++;
}

static volatile uint8_t to_send;

ISR(USART0_UDRE_vect)
{
	UDR0 = to_send;
	if (--to_send == 0)
		UCSR0B &= (uint8_t)~(1 << UDRIE0);
}

static void send(uint8_t byte)
{
	while (!(UCSR0A & (1 << UDRE0)))
		;
	UDR0 = byte;
}

static uint8_t receive(void)
{
	while (!(UCSR0A & (1 << RXC0)))
		;
	return UDR0;
}

static uint16_t receive_word(void)
{
	uint8_t low = receive();
	return (uint16_t)(low | receive() << 8);
}

static void wait_ms(uint16_t ms)
{
	while (ms--)
		_delay_ms(1);
}

static void convert(uint8_t channel)
{
	ADMUX = (uint8_t)(1 << REFS0 | (channel & 7));
#ifdef MUX5
	ADCSRB = channel & 8 ? 1 << MUX5 : 0;
#endif
	ADCSRA = 1 << ADEN | 1 << ADSC | 7;
	while (ADCSRA & (1 << ADSC))
		;
	uint16_t counts = ADC;
	send((uint8_t)counts);
	send((uint8_t)(counts >> 8));
}

// Discharge, release, look, pull up, look.
static void try_lead(uint16_t pin_address, uint8_t mask)
{
	volatile uint8_t *pin = (volatile uint8_t *)pin_address, *ddr = pin + 1, *port = pin + 2;
	*port &= (uint8_t)~mask;
	*ddr |= mask;
	_delay_us(20);
	*ddr &= (uint8_t)~mask;
	_delay_us(20);
	send((*pin & mask) != 0);
	*port |= mask;
	_delay_us(20);
	send((*pin & mask) != 0);
	*port &= (uint8_t)~mask;
}

// Sets the lines' port and counts cycles until the pin changes.
static void measure(uint16_t pin_address, uint8_t mask, uint8_t value)
{
	volatile uint8_t *pin = (volatile uint8_t *)pin_address;
	uint8_t before = *pin & mask;
	TCCR1A = 0;
	TCCR1B = 1 << CS10;
	TIFR1 = 1 << TOV1;
	TCNT1 = 0;
	LINES = value;
	while ((*pin & mask) == before && !(TIFR1 & (1 << TOV1)))
		;
	uint16_t ticks = TIFR1 & (1 << TOV1) ? 0xFFFF : TCNT1;
	send((uint8_t)ticks);
	send((uint8_t)(ticks >> 8));
}

static void on_for(uint8_t mask, uint16_t ms)
{
	LINES = (uint8_t)~mask & 0x3F;
	wait_ms(ms);
	LINES = 0x3F;
}

static void interrupt_echo(uint8_t count)
{
	echoed = 0;
	UCSR0B |= 1 << RXCIE0;
	sei();
	while (echoed < count)
		;
	cli();
	UCSR0B &= (uint8_t)~(1 << RXCIE0);
}

static void start_timer(void)
{
	TCCR1A = 0;
	TCCR1B = 1 << CS11; // 8 cycles a tick
	TCNT1 = 0;
}

static void send_ticks(void)
{
	uint16_t ticks = TCNT1;
	send((uint8_t)ticks);
	send((uint8_t)(ticks >> 8));
}

// Ticks from the first received byte to the last.
static void time_reception(uint8_t count)
{
	receive();
	start_timer();
	while (--count)
		receive();
	send_ticks();
}

// Ticks from the first byte's start to the last one's end.
static void time_sending(uint8_t count)
{
	_delay_ms(1);
	UCSR0A = 1 << U2X0 | 1 << TXC0;
	start_timer();
	while (count--)
		send(count);
	while (!(UCSR0A & (1 << TXC0)))
		;
	send_ticks();
}

int main(void)
{
	uint8_t cause = MCUSR;
	MCUSR = 0;
	wdt_disable();
	kept++;
	UCSR0A = 1 << U2X0;
	UBRR0 = 3; // 500 kBd
	UCSR0B = 1 << RXEN0 | 1 << TXEN0;
	send('B');
	send(cause);
	send(kept);
	for (;;) {
		uint16_t address;
		uint8_t a, b;
		switch (receive()) {
		case 'E':
			send(receive());
			break;
		case 'P':
			address = receive_word();
			*(volatile uint8_t *)address = receive();
			send('p');
			break;
		case 'G':
			send(*(volatile uint8_t *)receive_word());
			break;
		case 'A':
			convert(receive());
			break;
		case 'L':
			address = receive_word();
			try_lead(address, receive());
			break;
		case 'M':
			address = receive_word();
			a = receive();
			b = receive();
			measure(address, a, b);
			break;
		case 'H':
			a = receive();
			on_for(a, receive_word());
			send('h');
			break;
		case 'S':
			for (uint8_t line = 0; line < 6; line++) {
				on_for((uint8_t)(1 << line), 2);
				wait_ms(3);
			}
			send('s');
			break;
		case 'K':
			PCMSK0 = receive();
			PCICR = 1;
			changes = 0;
			sei();
			send('k');
			break;
		case 'k':
			cli();
			PCICR = 0;
			send(changes);
			break;
		case 'X':
			interrupt_echo(receive());
			break;
		case 'U':
			to_send = receive();
			sei();
			UCSR0B |= 1 << UDRIE0;
			while (to_send)
				;
			cli();
			break;
		case 'T':
			time_reception(receive());
			break;
		case 'V':
			time_sending(receive());
			break;
		case 'Z': // does not listen for a while, then says what the receiver kept
			wait_ms(2);
			for (a = b = 0; UCSR0A & (1 << RXC0); a++) {
				b |= UCSR0A;
				(void)UDR0;
			}
			send(a);
			send(b);
			break;
		case 'W':
			wdt_enable(WDTO_15MS);
			for (;;)
				;
		}
	}
}
