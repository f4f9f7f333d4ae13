// Motors, encoders, limits and the emergency stop. Values: the demo board's text.
#include <stdio.h>
#include <string.h>
#include "bench_under_test.h"

static const struct drive {
	uint8_t mask;
	const char *command, *encoder;
	size_t pulses;
} drives[] = {
	{ 0x01, "rotate-left", "dome-encoder", 10 },
	{ 0x02, "rotate-right", "dome-encoder", 10 },
	{ 0x04, "shutter-open", "shutter-encoder", 8 },
	{ 0x08, "shutter-close", "shutter-encoder", 8 },
	{ 0x10, "flap-raise", "flap-encoder", 12 },
	{ 0x20, "flap-lower", "flap-encoder", 12 },
};

static const char *const switches[] = { "limit-left", "limit-right", "shutter-open-limit", "shutter-closed-limit",
	"flap-raised-limit", "flap-lowered-limit", "emergency-stop" };

// From the start position each drive gives the pulses of the text, in each direction, for any seed.
static void each_motor_gives_its_pulses(const char *seed, size_t k)
{
	const struct drive *d = &drives[k];
	struct bench_under_test b;
	start_bench(&b, NULL, "--motor", "on", "--seed", seed, NULL);
	drive_lines_idle(&b);
	uint64_t from = bench_time(&b);
	hold_lines(&b, d->mask, 400);
	uint64_t to = bench_time(&b);
	struct log log = read_log(&b);
	size_t pulses = log_count(&log, from, to, d->encoder, "low");
	CHECK(pulses == d->pulses, "%s, seed %s: %zu pulses instead of %zu", d->command, seed, pulses, d->pulses);
	const struct log_entry *first = log_next(&log, from, d->encoder, "low");
	const char *const q[] = { "Q1.C", "Q2.C", "Q3.C", "Q4.C", "Q5.C", "Q6.C" };
	const struct log_entry *on = log_next(&log, from, q[k], "high");
	CHECK(first && on && first->ns - on->ns > 20000000 && first->ns - on->ns < 40000000, "%s: first pulse after %llu ns", d->command,
		first && on ? (unsigned long long)(first->ns - on->ns) : 0);
	for (size_t i = 0; i < sizeof drives / sizeof drives[0]; i++)
		if (strcmp(drives[i].encoder, d->encoder) != 0)
			CHECK(log_count(&log, from, to, drives[i].encoder, NULL) == 0, "%s moves %s", d->command, drives[i].encoder);
	for (size_t i = 0; i < sizeof switches / sizeof switches[0]; i++)
		CHECK(log_count(&log, from, to, switches[i], NULL) == 0, "%s works %s", d->command, switches[i]);
	if (k == 0) {
		const struct log_entry *home = log_next(&log, from, "home-switch", "low");
		CHECK(home && on && home->ns - on->ns > 190000000 && home->ns - on->ns < 215000000, "the home switch closes after %llu ns",
			home && on ? (unsigned long long)(home->ns - on->ns) : 0);
		size_t closing = home ? log_count(&log, home->ns, home->ns + 1500000, "home-switch", NULL) : 0;
		CHECK(closing >= 3 && closing <= 5, "%zu transitions at its closing", closing);
		CHECK(home && log_count(&log, home->ns + 1500001, home->ns + 100000000, "home-switch", NULL) == 0, "it stays closed");
		size_t all = log_count(&log, from, to, "home-switch", NULL);
		CHECK(all % 2 == 0 && all >= 6 && all <= 10, "it closes once and opens once: %zu transitions", all);
	} else {
		CHECK(log_count(&log, from, to, "home-switch", NULL) == 0, "%s works the home switch", d->command);
	}
	free_log(&log);
	// Off: nothing comes any more.
	from = bench_time(&b);
	hold_lines(&b, 0, 100);
	to = bench_time(&b);
	log = read_log(&b);
	CHECK(log_count(&log, from, to, d->encoder, NULL) <= 1, "%s goes on when its command has ended", d->command);
	free_log(&log);
	CHECK(stop_bench(&b) == 0, "end");
}

static void limits_close_and_hold_the_motor(void)
{
	static const struct {
		uint8_t mask;
		const char *limit, *axis, *encoder;
	} ends[] = { { 0x01, "limit-left", "dome", "dome-encoder" }, { 0x08, "shutter-closed-limit", "shutter", "shutter-encoder" } };
	for (size_t i = 0; i < 2; i++) {
		struct bench_under_test b;
		start_bench(&b, NULL, "--motor", "on", NULL);
		drive_lines_idle(&b);
		uint64_t from = bench_time(&b);
		hold_lines(&b, ends[i].mask, 4000);
		uint64_t to = bench_time(&b);
		struct log log = read_log(&b);
		const struct log_entry *limit = log_next(&log, from, ends[i].limit, "low");
		CHECK(limit && limit->ns - from >= 2000000000, "%s is at least 2 s away: %llu ns", ends[i].limit, limit ? (unsigned long long)(limit->ns - from) : 0);
		const struct log_entry *blocked = log_next(&log, from, ends[i].axis, "blocked");
		CHECK(blocked && limit && blocked->ns > limit->ns, "%s stops behind its limit", ends[i].axis);
		CHECK(blocked && log_count(&log, blocked->ns + 1, to, ends[i].encoder, NULL) == 0, "no pulse while it is blocked");
		free_log(&log);
		// The way back is free, and opens the limit.
		uint64_t back = bench_time(&b);
		hold_lines(&b, ends[i].mask == 0x01 ? 0x02 : 0x04, 200);
		log = read_log(&b);
		CHECK(log_next(&log, back, ends[i].limit, "high") != NULL, "%s opens on the way back", ends[i].limit);
		free_log(&log);
		CHECK(stop_bench(&b) == 0, "end");
	}
}

static size_t pulses_of(struct bench_under_test *b, uint8_t mask, uint16_t ms)
{
	uint64_t from = bench_time(b);
	hold_lines(b, mask, ms);
	uint64_t to = bench_time(b);
	struct log log = read_log(b);
	size_t count = log_count(&log, from, to, "dome-encoder", "low");
	free_log(&log);
	return count;
}

static void nothing_moves_without_supply_contactor_or_permission(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, NULL);
	drive_lines_idle(&b);
	CHECK(pulses_of(&b, 0x01, 200) == 0, "motor supply off");
	tell(&b, "motor on");
	CHECK(pulses_of(&b, 0x01, 200) > 0, "motor supply on");
	CHECK(strcmp(tell(&b, "press emergency-stop"), "ok press emergency-stop") == 0, "press");
	hold_lines(&b, 0, 10);
	CHECK((peek(&b, PINL) & 0x40) == 0, "the emergency stop reads low when pressed");
	CHECK(pulses_of(&b, 0x01, 200) == 0, "emergency stop");
	tell(&b, "release emergency-stop");
	hold_lines(&b, 0, 10);
	CHECK((peek(&b, PINL) & 0x40) != 0, "the emergency stop reads high when released");
	CHECK(pulses_of(&b, 0x01, 200) > 0, "released");
	tell(&b, "fault Q1=weak");
	CHECK(pulses_of(&b, 0x01, 200) == 0, "a contactor does not pull in at a third of its voltage");
	tell(&b, "repair all");
	tell(&b, "fault dome-encoder=dead");
	CHECK(pulses_of(&b, 0x01, 200) == 0, "dead encoder");
	tell(&b, "repair all");
	tell(&b, "fault motor:Q1.C=dead");
	CHECK(pulses_of(&b, 0x01, 200) == 0, "dead motor circuit");
	CHECK(pulses_of(&b, 0x02, 200) > 0, "the other direction has a circuit of its own");
	tell(&b, "repair all");
	CHECK(pulses_of(&b, 0x01, 200) > 0, "repaired");
	uint64_t from = bench_time(&b);
	CHECK(pulses_of(&b, 0x03, 200) == 0, "both directions at once");
	struct log log = read_log(&b);
	CHECK(log_next(&log, from, "dome", "conflict") != NULL, "the log tells of the conflict");
	free_log(&log);
	CHECK(stop_bench(&b) == 0, "end");
}

// Commands one stroke of 100 ms; true when the hammer's contact closed.
static bool strikes(struct bench_under_test *b)
{
	uint64_t from = bench_time(b);
	hold_lines(b, 0x01, 100);
	hold_lines(b, 0x00, 100);
	bench_time(b);
	struct log log = read_log(b);
	const struct log_entry *on = log_next(&log, from, "D22", "low"), *off = log_next(&log, from, "D22", "high");
	const struct log_entry *struck = log_next(&log, from, "H1", "low"), *fell = log_next(&log, from, "H1", "high");
	CHECK(on && off, "no command");
	if (on && off && struck) {
		double ms = (double)(struck->ns - on->ns) * 1e-6, back = fell ? (double)(fell->ns - off->ns) * 1e-6 : 0;
		CHECK(ms > 45 * 0.965 && ms < 45 * 1.035 + 0.1, "the hammer strikes after %.1f ms", ms);
		CHECK(back > 70 * 0.965 && back < 70 * 1.035 + 0.1, "the hammer falls back after %.1f ms", back);
	}
	bool result = struck != NULL;
	free_log(&log);
	return result;
}

static void a_hammer_strikes_with_its_supply_on_and_no_stop_pressed(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--board", "selftest/striker.board", NULL);
	drive_lines_idle(&b);
	CHECK(!strikes(&b), "without its supply");
	tell(&b, "motor on");
	CHECK(strikes(&b), "with its supply");
	tell(&b, "press stop");
	CHECK(!strikes(&b), "stop pressed");
	tell(&b, "release stop");
	tell(&b, "fault hammer=dead");
	CHECK(!strikes(&b), "jammed");
	tell(&b, "repair all");
	tell(&b, "fault motor:Q1.C=dead");
	CHECK(!strikes(&b), "dead motor circuit");
	tell(&b, "repair all");
	CHECK(strikes(&b), "repaired");
	CHECK(stop_bench(&b) == 0, "end");
}

void test_motion(void)
{
	static const char *const seeds[] = { "1", "2", "3", "99" };
	for (size_t s = 0; s < sizeof seeds / sizeof seeds[0]; s++)
		for (size_t k = 0; k < sizeof drives / sizeof drives[0]; k++)
			each_motor_gives_its_pulses(seeds[s], k);
	limits_close_and_hold_the_motor();
	nothing_moves_without_supply_contactor_or_permission();
	a_hammer_strikes_with_its_supply_on_and_no_stop_pressed();
}
