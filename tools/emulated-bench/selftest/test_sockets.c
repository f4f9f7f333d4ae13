// Resistors between nets, and isolators in sockets: voltages against what circuit theory gives for selftest/sockets.board, solved here by other means than
// the bench's own: by hand, or by bisection of Kirchhoff's current law.
#include <stdio.h>
#include <string.h>
#include "bench_under_test.h"

#define BOARD "selftest/sockets.board"

enum { DDRA = PINA + 1, PORTA = PINA + 2, DDRC = PINC + 1 };

// D22 to D24 are PA0 to PA2; D30 and D31 are PC7 and PC6.
enum { LINE = 1 << 0, LINE_WEAK = 1 << 1, LINE_SURE = 1 << 2, LINES = 7, RATIO_LOAD = 1 << 7, DELAY_LOAD = 1 << 6 };

// Of the converter's input.
enum { EMITTER, ANODE, CATHODE, SINK, RATIO_LOW, EMITTER_WEAK, ANODE_WEAK, EMITTER_SURE, UPPER, LOWER, LEFT, RIGHT, ELSEWHERE, ANODE_SURE };

// The board file's; a pin's output is 25 ohm (README), and 1 ohm is in its lead.
static const double supply = 5, forward = 1.15, series = 150, sink_resistor = 220, hold = 100e3, pin = 25 + 1, bleeder = 1e6, ratio_load = 150, delay_load = 4700, ratio = 0.7, leakage = 2e-6,
                    saturation = 0.15, saturated = 20;

static void check_volts(struct bench_under_test *b, uint8_t channel, double expected, const char *what)
{
	// One step of the converter is 4.9 mV, and its noise is one step either way (README): the mean of many readings is known to a fraction of a step, but at
	// the ends of its range, where it can be off to one side only.
	enum { READINGS = 32 };
	double counts = 0;
	for (int i = 0; i < READINGS; i++)
		counts += convert(b, channel);
	double volts = counts / READINGS * 5.0 / 1024.0;
	CHECK(volts > expected - 0.005 && volts < expected + 0.005, "%s: %.4f V, not %.4f", what, volts, expected);
}

static double parallel(double a, double b)
{
	return a * b / (a + b);
}

// Lines idle high, but those of the mask low; loads of the mask low, others let go of.
static void drive(struct bench_under_test *b, uint8_t lines, uint8_t loads)
{
	poke(b, PORTA, (uint8_t)(LINES & ~lines));
	poke(b, DDRA, LINES);
	poke(b, DDRC, loads);
}

static void resistors_divide_by_ohms_law(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, NULL);
	check_volts(&b, UPPER, 5.0 * 30 / 40, "above 30 of 40 kohm");
	check_volts(&b, LOWER, 5.0 * 10 / 40, "above 10 of 40 kohm");
	// In mA and kohm: (5 - l) / 1 + (r - l) / 2 = l / 3 and (5 - r) / 2 + (l - r) / 2 = r / 1; by hand l = 135 / 41 V, r = 85 / 41 V.
	check_volts(&b, LEFT, 135.0 / 41, "left of the bridge");
	check_volts(&b, RIGHT, 85.0 / 41, "right of the bridge");
	CHECK(try_lead(&b, PINK, 4) == 1, "two nets with a resistor between them alone do not float");
	// D32 is PC5: driven high it lifts both, over 1 kohm each of lead and resistor.
	poke(&b, PINC + 2, 1 << 5);
	poke(&b, DDRC, 1 << 5);
	check_volts(&b, ELSEWHERE, 5.0, "what floats follows what is driven");
	CHECK(stop_bench(&b) == 0, "end");
}

// Current into the cathode less the current out of it, in amperes: it falls as the cathode rises.
static double left_over(double cathode)
{
	double diode = supply - forward - cathode;
	return (diode > 0 ? diode / series : 0) + (supply - cathode) / hold - cathode / (sink_resistor + pin);
}

static double lit_cathode(void)
{
	double low = 0, high = supply;
	for (int i = 0; i < 60; i++) {
		double middle = (low + high) / 2;
		if (left_over(middle) > 0)
			low = middle;
		else
			high = middle;
	}
	return low;
}

static void a_lit_diode_takes_what_its_resistors_leave_it(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, NULL);
	drive(&b, 0, 0);
	check_volts(&b, ANODE, supply, "anode, dark");
	check_volts(&b, CATHODE, supply, "cathode, dark: nothing flows back through the diode");
	drive(&b, LINE, 0);
	double cathode = lit_cathode();
	check_volts(&b, CATHODE, cathode, "cathode, lit");
	check_volts(&b, ANODE, cathode + forward, "anode, lit");
	check_volts(&b, SINK, cathode * pin / (sink_resistor + pin), "pin, lit");
	CHECK(stop_bench(&b) == 0, "end");
}

static double diode_amperes(void)
{
	return (supply - forward - lit_cathode()) / series;
}

// As high as its current lifts the load, but no higher than a saturated transistor does.
static double emitter_volts(double amperes, double load)
{
	double wanted = amperes * load, limit = supply - saturation;
	return wanted <= limit ? wanted : limit * load / (load + saturated);
}

static void the_emitter_gives_its_share_of_the_diodes_current_up_to_saturation(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, NULL);
	double lit = ratio * diode_amperes() + leakage;
	double through_ratio = parallel(ratio_load + pin, bleeder), through_delay = parallel(delay_load + pin, bleeder);

	drive(&b, 0, 0);
	check_volts(&b, EMITTER, leakage * bleeder, "2 µA over 1 Mohm");
	drive(&b, 0, DELAY_LOAD);
	check_volts(&b, EMITTER, leakage * through_delay, "2 µA over the delay load");
	drive(&b, LINE, 0);
	check_volts(&b, EMITTER, emitter_volts(lit, bleeder), "lit, over 1 Mohm");
	drive(&b, LINE, RATIO_LOAD);
	double at_ratio = emitter_volts(lit, through_ratio);
	CHECK(at_ratio < supply - saturation, "the ratio load is to leave it unsaturated");
	check_volts(&b, EMITTER, at_ratio, "lit, over the ratio load");
	check_volts(&b, RATIO_LOW, at_ratio * pin / (ratio_load + pin), "the low end of the ratio load");
	drive(&b, LINE, DELAY_LOAD);
	check_volts(&b, EMITTER, emitter_volts(lit, through_delay), "lit, over the delay load");
	check_volts(&b, RATIO_LOW, emitter_volts(lit, through_delay), "the low end of a load that nobody holds low");
	drive(&b, LINE, RATIO_LOAD | DELAY_LOAD);
	check_volts(&b, EMITTER, emitter_volts(lit, parallel(through_ratio, delay_load + pin)), "lit, over both");
	drive(&b, 0, RATIO_LOAD);
	check_volts(&b, EMITTER, 0, "dark again");
	CHECK(stop_bench(&b) == 0, "end");
}

// 3.85 V over 48.026 kohm are 80 µA, over 34.026 kohm 113 µA; the transistor conducts from 100 µA on.
static void too_little_current_lights_nothing(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, NULL);
	drive(&b, LINE_WEAK | LINE_SURE, 0);
	double weak = (supply - forward) / (1000 + 47e3 + pin), sure = (supply - forward) / (1000 + 33e3 + pin);
	check_volts(&b, ANODE_WEAK, supply - weak * 1000, "anode with 80 µA");
	check_volts(&b, ANODE_SURE, supply - sure * 1000, "anode with 113 µA");
	check_volts(&b, EMITTER_WEAK, 0, "emitter with 80 µA");
	check_volts(&b, EMITTER_SURE, 0.5 * sure * 47e3, "half of 113 µA over 47 kohm");
	CHECK(stop_bench(&b) == 0, "end");
}

// The parts' delays differ by 0.5 % from time to time (README), and the log has them to a cycle.
static bool about(double ns, double expected)
{
	double allowed = 0.005 * expected + 62.5;
	return ns >= expected - allowed && ns <= expected + allowed;
}

// From the cathode to the emitter, in nanoseconds.
static void check_delays(const char *fault, double on_ns, double off_ns)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, fault ? "--fault" : NULL, fault, NULL);
	drive(&b, 0, DELAY_LOAD);
	uint64_t from = bench_time(&b);
	drive(&b, LINE, DELAY_LOAD);
	drive(&b, 0, DELAY_LOAD);
	bench_time(&b);
	struct log log = read_log(&b);
	const struct log_entry *low = log_next(&log, from, "SINK", "low"), *high = low ? log_next(&log, low->ns, "SINK", "high") : NULL;
	const struct log_entry *rises = low ? log_next(&log, low->ns, "EMITTER", "high") : NULL, *falls = high ? log_next(&log, high->ns, "EMITTER", "low") : NULL;
	CHECK(rises && falls, "%s: the emitter does not follow", fault ? fault : "healthy");
	if (rises && falls) {
		double on = (double)(rises->ns - low->ns), off = (double)(falls->ns - high->ns);
		CHECK(about(on, on_ns), "%s: on after %.0f ns, not %.0f", fault ? fault : "healthy", on, on_ns);
		CHECK(about(off, off_ns), "%s: off after %.0f ns, not %.0f", fault ? fault : "healthy", off, off_ns);
	}
	free_log(&log);
	CHECK(stop_bench(&b) == 0, "end");
}

static void a_part_that_is_out_or_dead_is_seen_as_that(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", BOARD, "--fault", "DUT=removed", NULL);
	drive(&b, LINE, DELAY_LOAD);
	check_volts(&b, ANODE, supply, "anode of an empty socket");
	check_volts(&b, CATHODE, supply * (sink_resistor + pin) / (hold + sink_resistor + pin), "cathode of an empty socket");
	drive(&b, LINE, 0);
	check_volts(&b, EMITTER, 0, "emitter of an empty socket: nothing leaks");
	tell(&b, "repair all");
	check_volts(&b, ANODE, lit_cathode() + forward, "anode, put in");
	tell(&b, "fault DUT=dead");
	drive(&b, 0, 0);
	drive(&b, LINE, 0);
	check_volts(&b, ANODE, lit_cathode() + forward, "anode of a dead part: its diode is lit");
	check_volts(&b, EMITTER, leakage * bleeder, "emitter of a dead part");
	CHECK(stop_bench(&b) == 0, "end");
}

void test_sockets(void)
{
	resistors_divide_by_ohms_law();
	a_lit_diode_takes_what_its_resistors_leave_it();
	the_emitter_gives_its_share_of_the_diodes_current_up_to_saturation();
	too_little_current_lights_nothing();
	check_delays(NULL, 5000, 40000);
	check_delays("DUT=slow:3x", 15000, 120000);
	a_part_that_is_out_or_dead_is_seen_as_that();
}
