// Pins, voltages and delays of the healthy board.
#include <stdio.h>
#include <string.h>
#include "bench_under_test.h"

static const struct channel {
	const char *line, *j1, *u3, *u4, *ok, *q;
	uint16_t q_pin;
	uint8_t q_bit, bit;
} channels[] = {
	{ "D22", "J1.2", "U3.18", "U4.18", "OK1.5", "Q1.C", PINB, 0, 0 },
	{ "D23", "J1.4", "U3.16", "U4.16", "OK2.5", "Q2.C", PINB, 1, 1 },
	{ "D24", "J1.6", "U3.14", "U4.14", "OK3.5", "Q3.C", PINB, 2, 2 },
	{ "D25", "J1.8", "U3.12", "U4.12", "OK4.5", "Q4.C", PINB, 3, 3 },
	{ "D26", "J1.10", "U3.9", "U4.9", "OK5.5", "Q5.C", PINB, 4, 4 },
	{ "D27", "J1.12", "U3.7", "U4.7", "OK6.5", "Q6.C", PINB, 5, 5 },
};

// Value of the demo board's text ± what its parts may differ (3 % fixed, 0.5 % from time to time) and one cycle.
static bool about(uint64_t ns, double value_ns)
{
	double off = (double)ns - value_ns;
	double allowed = 0.035 * value_ns + 62.5;
	return off >= -allowed && off <= allowed;
}

static void check_step(const struct log *log, uint64_t *at, const char *name, const char *level, double delay_ns)
{
	const struct log_entry *entry = log_next(log, *at, name, NULL);
	CHECK(entry != NULL, "%s never changes", name);
	if (!entry)
		return;
	CHECK(strcmp(entry->level, level) == 0, "%s goes %s, not %s", name, entry->level, level);
	CHECK(about(entry->ns - *at, delay_ns), "%s %s after %llu ns, not %.0f", name, level, (unsigned long long)(entry->ns - *at), delay_ns);
	*at = entry->ns;
}

static void a_line_goes_through_its_whole_channel(struct bench_under_test *b)
{
	uint64_t from = bench_time(b);
	run_all_channels(b);
	bench_time(b); // the slice with the last change is in the log now
	struct log log = read_log(b);
	for (size_t i = 0; i < sizeof channels / sizeof channels[0]; i++) {
		const struct channel *c = &channels[i];
		const struct log_entry *on = log_next(&log, from, c->line, "low"), *off = on ? log_next(&log, on->ns, c->line, "high") : NULL;
		CHECK(on && off, "%s is not driven low and high", c->line);
		if (!on || !off)
			continue;
		CHECK(off->ns - on->ns > 1990000 && off->ns - on->ns < 2010000, "%s is on for %llu ns", c->line, (unsigned long long)(off->ns - on->ns));
		uint64_t at = on->ns;
		check_step(&log, &at, c->j1, "low", 0);
		check_step(&log, &at, c->u3, "high", 9);
		check_step(&log, &at, c->u4, "low", 12);
		check_step(&log, &at, c->ok, "low", 5000);
		check_step(&log, &at, c->q, "high", 2000);
		at = off->ns;
		check_step(&log, &at, c->j1, "high", 0);
		check_step(&log, &at, c->u3, "low", 12);
		check_step(&log, &at, c->u4, "high", 9);
		check_step(&log, &at, c->ok, "high", 100000);
		check_step(&log, &at, c->q, "low", 8000);
		// Nothing of the other channels moves meanwhile.
		for (size_t k = 0; k < sizeof channels / sizeof channels[0]; k++)
			if (k != i)
				CHECK(log_count(&log, on->ns, off->ns, channels[k].q, NULL) == 0, "%s moves with %s", channels[k].q, c->line);
	}
	free_log(&log);
}

static void the_firmware_sees_the_delays_in_cycles(struct bench_under_test *b)
{
	// 5 us + 2 us of the demo board's text = 112 cycles, and the lead's own time constant (32 kohm, 25 pF: 0.8 us, and
	// 1.2 of them to the chip's threshold) is 16 cycles; the firmware's loop looks every 14 cycles or so.
	for (uint8_t i = 0; i < 6; i++) {
		unsigned on = measure(b, channels[i].q_pin, channels[i].q_bit, (uint8_t)(0x3F & ~(1 << i)));
		CHECK(on > 112 && on < 165, "%s on after %u cycles", channels[i].q, on);
		unsigned off = measure(b, channels[i].q_pin, channels[i].q_bit, 0x3F);
		CHECK(off > 1650 && off < 1820, "%s off after %u cycles", channels[i].q, off);
	}
	// A gate is through before the next instruction: 9 ns.
	unsigned gate = measure(b, PINF, 0, 0x3E);
	CHECK(gate < 35, "U3.18 after %u cycles", gate);
	measure(b, PINF, 0, 0x3F);
}

static void check_volts(struct bench_under_test *b, uint8_t channel, const char *name, double volts, double tolerance)
{
	double read = convert(b, channel) * 5.0 / 1024;
	CHECK(read > volts - tolerance && read < volts + tolerance, "A%u (%s) reads %.3f V, not %.3f", channel, name, read, volts);
}

static void all_sixteen_channels_of_the_converter_work(struct bench_under_test *b)
{
	const double idle_isolator = 12.0 * 47 / 157; // 10k load, 100k and 47k of the lead
	for (uint8_t i = 0; i < 6; i++) {
		check_volts(b, i, channels[i].u3, 0.3, 0.06);
		check_volts(b, (uint8_t)(6 + i), channels[i].ok, idle_isolator, 0.12);
	}
	check_volts(b, 12, "LOGIC", 2.5, 0.05);
	check_volts(b, 13, "ISOLATED", 12.0 * 47 / 147, 0.12);
	check_volts(b, 14, "MOTOR", 0, 0.02);
	CHECK(strcmp(tell(b, "motor on"), "ok motor on") == 0, "motor on");
	check_volts(b, 14, "MOTOR", 24.0 * 22 / 122, 0.12);
	tell(b, "motor off");
	// One channel at a time, so that a mixed-up multiplexer shows.
	for (uint8_t i = 0; i < 6; i++) {
		poke(b, PINA + 2, (uint8_t)(0x3F & ~(1 << i)));
		measure(b, PINF, 0, (uint8_t)(0x3F & ~(1 << i))); // lets 4 ms pass: nothing changes any more
		for (uint8_t k = 0; k < 6; k++) {
			check_volts(b, k, channels[k].u3, k == i ? 3.4 : 0.3, 0.1);
			check_volts(b, (uint8_t)(6 + k), channels[k].ok, k == i ? 0.08 : idle_isolator, 0.12);
		}
		poke(b, PINA + 2, 0x3F);
	}
}

static void the_converter_is_a_little_noisy(struct bench_under_test *b)
{
	unsigned low = 1023, high = 0;
	for (int i = 0; i < 60; i++) {
		unsigned counts = convert(b, 12);
		low = counts < low ? counts : low;
		high = counts > high ? counts : high;
	}
	CHECK(high > low && high - low <= 3, "LOGIC reads %u to %u", low, high);
}

static void released_lines_follow_the_cards_pull_ups(struct bench_under_test *b)
{
	poke(b, PINA + 2, 0x3E);
	const char *lines = tell(b, "lines");
	CHECK(strstr(lines, "D22=on@") && strstr(lines, "D23=idle@"), "%s", lines);
	poke(b, PINA + 1, 0);
	poke(b, PINA + 2, 0);
	lines = tell(b, "lines");
	CHECK(strstr(lines, "D22=off@") && strstr(lines, "D27=off@"), "%s", lines);
	CHECK((peek(b, PINA) & 0x3F) == 0x3F, "lines read %02x", peek(b, PINA));
	struct log log = read_log(b);
	const struct log_entry *last = NULL;
	for (size_t i = 0; i < log.count; i++)
		if (strcmp(log.entries[i].name, "D22") == 0)
			last = &log.entries[i];
	CHECK(last && strcmp(last->level, "float") == 0, "the log's last word on D22 is %s", last ? last->level : "nothing");
	free_log(&log);
	drive_lines_idle(b);
}

static void a_driven_lead_does_not_follow_and_an_open_one_does(struct bench_under_test *b)
{
	CHECK(try_lead(b, PINF, 0) == 0, "U3.18 low: %02d", try_lead(b, PINF, 0));
	CHECK(try_lead(b, PINC, 0) == 11, "U4.18 high: %02d", try_lead(b, PINC, 0));
	CHECK(try_lead(b, PINL, 0) == 11, "limit-left open: %02d", try_lead(b, PINL, 0));
	tell(b, "fault lead:U3.18=open");
	tell(b, "fault lead:U4.18=open");
	tell(b, "fault lead:OK3.5=open");
	CHECK(try_lead(b, PINF, 0) == 1, "open U3.18: %02d", try_lead(b, PINF, 0));
	CHECK(try_lead(b, PINC, 0) == 1, "open U4.18: %02d", try_lead(b, PINC, 0));
	CHECK(try_lead(b, PINK, 0) == 1, "open OK3.5: %02d", try_lead(b, PINK, 0));
	CHECK(try_lead(b, PINK, 1) == 11, "OK4.5 beside it: %02d", try_lead(b, PINK, 1));
	tell(b, "repair all");
	CHECK(try_lead(b, PINF, 0) == 0 && try_lead(b, PINC, 0) == 11 && try_lead(b, PINK, 0) == 11, "repaired leads");
}

static void pin_changes_interrupt_the_chip(struct bench_under_test *b)
{
	uint8_t request[] = { 'K', 0x3F }, reply = 0;
	send_bytes(b, request, sizeof request);
	receive_bytes(b, &reply, 1);
	run_all_channels(b);
	send_bytes(b, "k", 1);
	receive_bytes(b, &reply, 1);
	CHECK(reply == 12, "%u interrupts for 12 changes of Q1.C to Q6.C", reply);
}

// The diode and its resistor lift the output in front above its own 3.4 V: to 5 V less the diode's 1.15 V, since nothing takes the current. Supply ±1 %.
static void a_high_output_gives_current_and_takes_none(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, NULL);
	drive_lines_idle(&b);
	bench_time(&b);
	struct log log = read_log(&b);
	const struct log_entry *high = log_next(&log, 0, "U4.18", "high");
	CHECK(high && high->more >= 3800 && high->more <= 3900, "U4.18 at %ld mV", high ? high->more : -1);
	CHECK(log_next(&log, 0, "OK1.5", "low") == NULL, "an isolator whose diode gets no current conducts");
	free_log(&log);
	CHECK(stop_bench(&b) == 0, "end");
}

void test_signals(void)
{
	a_high_output_gives_current_and_takes_none();
	struct bench_under_test b;
	uint8_t boot[2] = { 0 };
	start_bench(&b, boot, NULL);
	drive_lines_idle(&b);
	a_line_goes_through_its_whole_channel(&b);
	the_firmware_sees_the_delays_in_cycles(&b);
	all_sixteen_channels_of_the_converter_work(&b);
	the_converter_is_a_little_noisy(&b);
	released_lines_follow_the_cards_pull_ups(&b);
	a_driven_lead_does_not_follow_and_an_open_one_does(&b);
	pin_changes_interrupt_the_chip(&b);
	CHECK(stop_bench(&b) == 0, "the bench ends well");
}
