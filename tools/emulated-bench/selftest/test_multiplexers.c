// A multiplexer joins its common pin with the input that its address names, and with no other.
#include <stdio.h>
#include <string.h>
#include "bench_under_test.h"

#define BOARD "selftest/multiplexers.board"

enum { DDRA = PINA + 1, PORTA = PINA + 2, DDRF = PINF + 1, PORTF = PINF + 2 };

static void choose(struct bench_under_test *b, uint8_t address)
{
	poke(b, DDRA, 0x07);
	poke(b, PORTA, address);
}

static double volts_of(unsigned counts)
{
	return counts * 5.0 / 1024.0;
}

static void check_volts(struct bench_under_test *b, uint8_t address, double expected, const char *what)
{
	choose(b, address);
	double volts = volts_of(convert(b, 0));
	CHECK(volts > expected - 0.03 && volts < expected + 0.03, "%s: %.3f V at the pin, not %.3f", what, volts, expected);
}

static void each_address_shows_its_input(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, NULL);
	check_volts(&b, 0, 5.0, "Y0, up");
	check_volts(&b, 1, 0.0, "Y1, down");
	// 12 V, 100 kohm over 47 kohm.
	check_volts(&b, 2, 12.0 * 47 / 147, "Y2, behind its divider");
	// 5 V, 20 kohm over 10 kohm.
	check_volts(&b, 4, 5.0 / 3, "Y4, a third");
	check_volts(&b, 0, 5.0, "Y0 again");
	CHECK(stop_bench(&b) == 0, "end");
}

// The pin's own charge is all that there is at an input that leads nowhere: a just chosen one still shows the one before.
static void an_input_that_leads_nowhere_floats(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, NULL);
	choose(&b, 0);
	convert(&b, 0);
	choose(&b, 3);
	CHECK((peek(&b, PINF) & 1) == 1, "the pin lost its charge at once");
	CHECK(try_lead(&b, PINF, 0) == 1, "Y3, nothing there: the pin does not follow");
	choose(&b, 0);
	CHECK(try_lead(&b, PINF, 0) == 11, "Y0, driven up: the pin follows");
	choose(&b, 1);
	CHECK(try_lead(&b, PINF, 0) == 0, "Y1, driven down: the pin follows");
	CHECK(stop_bench(&b) == 0, "end");
}

// What the pin drives reaches the point behind the chosen input: 1.1 kohm and 1 kohm of leads and switch, 25 ohm of the pin, against 10 kohm.
static void a_voltage_passes_from_the_pin_to_the_point(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, NULL);
	choose(&b, 0);
	uint64_t from = bench_time(&b);
	poke(&b, DDRF, 0x01); // low
	bench_time(&b);
	struct log log = read_log(&b);
	const struct log_entry *up = log_next(&log, from, "UP", NULL);
	double expected = 5000.0 * 2125 / 12125;
	CHECK(up && up->more > expected - 20 && up->more < expected + 20, "UP is at %ld mV, not %.0f", up ? up->more : -1, expected);
	CHECK(log_next(&log, from, "DOWN", NULL) == NULL, "DOWN, which is not chosen, moved");
	free_log(&log);
	CHECK(stop_bench(&b) == 0, "end");
}

static void a_new_address_takes_the_parts_delay(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, NULL);
	choose(&b, 0);
	uint64_t from = bench_time(&b);
	choose(&b, 1);
	bench_time(&b);
	struct log log = read_log(&b);
	const struct log_entry *select = log_next(&log, from, "SEL0", "high"), *input = log_next(&log, from, "M1", NULL);
	CHECK(select && input, "no change of the address");
	if (select && input) {
		double ns = (double)(input->ns - select->ns);
		CHECK(ns >= 2000 * 0.97 && ns <= 2000 * 1.03 + 62.5, "the address took %.0f ns, not 2000", ns);
	}
	free_log(&log);
	CHECK(stop_bench(&b) == 0, "end");
}

static void floating_select_pins_keep_their_address(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, NULL);
	choose(&b, 4);
	convert(&b, 0);
	poke(&b, PORTA, 0);
	poke(&b, DDRA, 0);
	// PORTA went low before the pins were let go of: the address is 0. Let go of with its bit high, it is kept.
	double low = volts_of(convert(&b, 0));
	CHECK(low > 4.9, "driven low and let go of: %.3f V, not Y0", low);
	choose(&b, 1);
	convert(&b, 0);
	poke(&b, DDRA, 0);
	double kept = volts_of(convert(&b, 0));
	CHECK(kept < 0.1, "let go of while high: %.3f V, not Y1", kept);
	CHECK(stop_bench(&b) == 0, "end");
}

static void check_fault(const char *fault, uint8_t address, double expected)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, "--fault", fault, NULL);
	check_volts(&b, address, expected, fault);
	CHECK(stop_bench(&b) == 0, "%s: end", fault);
}

static void faults_open_join_and_hold_the_address(void)
{
	struct bench_under_test b;
	check_fault("M1:S0=stuck-low", 1, 5.0);  // Y0 in place of Y1
	check_fault("M1:S0=stuck-high", 0, 0.0); // Y1 in place of Y0
	check_fault("M1:S2=stuck-low", 4, 5.0);
	check_fault("lead:SEL0=open", 1, 5.0); // never driven: the bit stays low
	check_fault("lead:UP=at-DOWN", 0, 0.0);
	check_fault("lead:UP+DOWN=swapped", 1, 5.0);
	check_fault("lead:TALL=open", 2, 0.0); // the divider's lower resistor remains
	// Y0 and Y1 at once: 10 kohm and 1.1 kohm to 5 V, the same to ground.
	check_fault("M1:Y1=stuck-on", 0, 2.5);

	static const struct {
		const char *fault;
		uint8_t address;
	} open[] = { { "M1=dead", 0 }, { "M1:Y1=open", 1 }, { "lead:DOWN=open", 1 } };
	for (size_t i = 0; i < sizeof open / sizeof open[0]; i++) {
		start_bench(&b, NULL, "--board", BOARD, "--fault", open[i].fault, NULL);
		choose(&b, open[i].address);
		CHECK(try_lead(&b, PINF, 0) == 1, "%s: the pin does not follow", open[i].fault);
		tell(&b, "repair all");
		CHECK(try_lead(&b, PINF, 0) == (open[i].address == 0 ? 11 : 0), "%s: not repaired", open[i].fault);
		CHECK(stop_bench(&b) == 0, "%s: end", open[i].fault);
	}
}

static void what_is_no_fault_of_a_multiplexer_is_refused(void)
{
	static const struct {
		const char *fault, *message;
	} refused[] = {
		{ "M1=stuck-low", "possible here: dead" },
		{ "M1:Y1=dead", "possible here: open stuck-on" },
		{ "M1:S0=open", "possible here: stuck-low stuck-high" },
		{ "M1:Y8=open", "M1:Y0..Y7 M1:S0..S2" },
	};
	for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
		char errors[2048];
		const char *const words[] = { "build/emulated-bench", "--firmware", "build/selftest.elf", "--board", BOARD, "--fault", refused[i].fault, NULL };
		CHECK(run_bench(errors, sizeof errors, words) == 2, "%s was taken", refused[i].fault);
		CHECK(strstr(errors, refused[i].message) != NULL, "%s: %s", refused[i].fault, errors);
	}
}

void test_multiplexers(void)
{
	each_address_shows_its_input();
	an_input_that_leads_nowhere_floats();
	a_voltage_passes_from_the_pin_to_the_point();
	a_new_address_takes_the_parts_delay();
	floating_select_pins_keep_their_address();
	faults_open_join_and_hold_the_address();
	what_is_no_fault_of_a_multiplexer_is_refused();
}
