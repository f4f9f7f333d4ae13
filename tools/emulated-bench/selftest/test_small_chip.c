// The ATmega328P: its pins, converter, serial port, resets, and its stack.
#include <stdio.h>
#include <string.h>
#include "bench_under_test.h"

static const struct small_pin {
	const char *name;
	uint16_t port;
	uint8_t bit;
} pins[] = {
	{ "D4", PIND, 4 }, { "D5", PIND, 5 }, { "D6", PIND, 6 }, { "D7", PIND, 7 }, { "D8", PINB, 0 }, { "D9", PINB, 1 }, { "D10", PINB, 2 },
	{ "D11", PINB, 3 }, { "D12", PINB, 4 }, { "D13", PINB, 5 }, { "A0", PINC, 0 }, { "A1", PINC, 1 }, { "A2", PINC, 2 }, { "A3", PINC, 3 },
	{ "A4", PINC, 4 }, { "A5", PINC, 5 },
};

static void every_pin_is_where_its_name_says(struct bench_under_test *b)
{
	for (size_t i = 0; i < sizeof pins / sizeof pins[0]; i++) {
		tell(b, "press %s", pins[i].name);
		for (size_t k = 0; k < sizeof pins / sizeof pins[0]; k++) {
			unsigned level = peek(b, pins[k].port) >> pins[k].bit & 1;
			CHECK(level == (k != i), "%s reads %u while %s is pressed", pins[k].name, level, pins[i].name);
		}
		tell(b, "release %s", pins[i].name);
	}
}

static void eight_channels_convert_two_of_them_without_a_port(struct bench_under_test *b)
{
	for (uint8_t pressed = 0; pressed < 8; pressed++) {
		tell(b, "press A%u", pressed);
		for (uint8_t channel = 0; channel < 8; channel++) {
			unsigned counts = convert(b, channel);
			CHECK(channel == pressed ? counts < 5 : counts > 1018, "A%u reads %u while A%u is pressed", channel, counts, pressed);
		}
		tell(b, "release A%u", pressed);
	}
}

static void a_line_drives_what_is_behind_it(struct bench_under_test *b)
{
	poke(b, PIND + 2, 0x04);
	poke(b, PIND + 1, 0x04);
	// 10 us are 160 cycles; 3 % and 0.5 % from part to part, and a turn of the firmware's loop.
	unsigned on = measure(b, PIND, 3, 0x00);
	CHECK(on > 150 && on < 200, "D3 low after %u cycles", on);
	CHECK(strstr(tell(b, "lines"), "D2=on@"), "D2 is on");
	unsigned off = measure(b, PIND, 3, 0x04);
	CHECK(off > 150 && off < 200, "D3 high after %u cycles", off);
	poke(b, PIND + 1, 0);
	CHECK(strstr(tell(b, "lines"), "D2=off@"), "D2 is released");
}

static void resets_are_told_apart(struct bench_under_test *b)
{
	uint8_t boot[2] = { 0 };
	send_bytes(b, "W", 1);
	CHECK(receive_boot(b, boot) && boot[0] == 0x08, "watchdog: cause %02x", boot[0]);
	tell(b, "reset");
	CHECK(receive_boot(b, boot) && boot[0] == 0x02, "reset input: cause %02x", boot[0]);
}

static void the_stack_leaves_a_mark(struct bench_under_test *b)
{
	unsigned deepest = 0, untouched = 0;
	const char *answer = tell(b, "stack");
	// 2 kB of SRAM, of which a monitor without tables uses next to nothing; main and what it calls need some bytes.
	CHECK(sscanf(answer, "stack %u %u", &deepest, &untouched) == 2, "%s", answer);
	CHECK(deepest > 4 && deepest < 100 && untouched > 1900 && untouched < 2048, "%s", answer);
}

// Data addresses and bits of the data sheet: value from memory.
enum { TIFR1 = 0x36, ACSR = 0x50, ADCSRA = 0x7A, ADCSRB = 0x7B, ADMUX = 0x7C, TCCR1B = 0x81 };
enum { ICF1 = 0x20, ICES1 = 0x40, ACO = 0x20, BANDGAP_TO_CAPTURE = 0x44, ACME = 0x40, ADEN = 0x80 };

// True when the capture input has seen an edge since it was asked last.
static bool captured(struct bench_under_test *b)
{
	bool seen = peek(b, TIFR1) & ICF1;
	poke(b, TIFR1, ICF1);
	return seen;
}

static void the_comparator_stands_in_front_of_the_capture_input(struct bench_under_test *b)
{
	poke(b, ADCSRA, 0);
	poke(b, ADMUX, 1);
	poke(b, ADCSRB, ACME);
	poke(b, ACSR, BANDGAP_TO_CAPTURE);
	poke(b, TCCR1B, 1); // falling edges
	captured(b);
	CHECK(!(peek(b, ACSR) & ACO), "A1 has 5 V, above the reference");
	tell(b, "press A1");
	CHECK(peek(b, ACSR) & ACO, "A1 is grounded");
	CHECK(!captured(b), "a rising edge of the output");
	tell(b, "release A1");
	CHECK(!(peek(b, ACSR) & ACO), "A1 has 5 V again");
	CHECK(captured(b), "a falling edge of the output");
	tell(b, "press A2");
	tell(b, "press D8");
	tell(b, "release A2");
	CHECK(!captured(b), "neither another pin nor D8 leads to the capture input");
	poke(b, TCCR1B, 1 | ICES1);
	captured(b);
	tell(b, "press A1");
	CHECK(captured(b), "a rising edge of the output");
	poke(b, ADCSRA, ADEN);
	captured(b);
	tell(b, "release A1");
	tell(b, "press A1");
	CHECK(!captured(b), "the multiplexer is the converter's while that is on");
	poke(b, ADCSRA, 0);
	tell(b, "reset");
	uint8_t boot[2];
	receive_boot(b, boot);
	poke(b, TCCR1B, 1 | ICES1);
	captured(b);
	tell(b, "release D8");
	CHECK(captured(b), "after a reset the capture input is D8's");
	tell(b, "release A1");
}

void test_small_chip(void)
{
	struct bench_under_test b;
	start_small_bench(&b);
	every_pin_is_where_its_name_says(&b);
	eight_channels_convert_two_of_them_without_a_port(&b);
	a_line_drives_what_is_behind_it(&b);
	the_comparator_stands_in_front_of_the_capture_input(&b);
	resets_are_told_apart(&b);
	the_stack_leaves_a_mark(&b);
	CHECK(stop_bench(&b) == 0, "the bench ends well");
}
