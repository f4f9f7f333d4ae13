// The bad cable: noise in each direction, commands that wait for their instant, a port that vanishes and comes back.
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "bench_under_test.h"

// Sum of the numbers behind `level` since `from`: bytes of bursts, nanoseconds of delays.
static uint64_t log_sum(const struct log *log, uint64_t from, const char *name, const char *level)
{
	uint64_t sum = 0;
	for (size_t i = 0; i < log->count; i++)
		if (log->entries[i].ns >= from && strcmp(log->entries[i].name, name) == 0 && strcmp(log->entries[i].level, level) == 0)
			sum += (uint64_t)log->entries[i].more;
	return sum;
}

// Everything that comes until a tenth of a second passes without a byte.
static size_t receive_all(struct bench_under_test *b, uint8_t *bytes, size_t size)
{
	size_t got = 0;
	while (got < size && !port_is_silent(b)) {
		ssize_t more = read(b->port, bytes + got, size - got);
		if (more <= 0)
			break;
		got += (size_t)more;
	}
	return got;
}

// Has the chip send `count` bytes: count, count - 1, … 1.
static size_t receive_falling(struct bench_under_test *b, uint8_t count, uint8_t *bytes, size_t size)
{
	uint8_t request[] = { 'U', count };
	send_bytes(b, request, sizeof request);
	return receive_all(b, bytes, size);
}

static void noise(struct bench_under_test *b, const char *spec)
{
	char expected[300];
	snprintf(expected, sizeof expected, "ok link-noise %s", spec);
	const char *answer = tell(b, "link-noise %s", spec);
	CHECK(strcmp(answer, expected) == 0, "%s", answer);
}

static void each_kind_of_noise_to_the_host_does_what_the_log_says(struct bench_under_test *b)
{
	uint8_t bytes[2000];
	uint64_t from = bench_time(b);
	noise(b, "to-host:corrupt=0.2");
	size_t got = receive_falling(b, 250, bytes, sizeof bytes);
	size_t differing = 0;
	for (size_t i = 0; i < got; i++) {
		uint8_t flipped = (uint8_t)(bytes[i] ^ (250 - i));
		differing += flipped != 0;
		CHECK((flipped & (flipped - 1)) == 0, "byte %zu has bits %02x flipped, not one", i, flipped);
	}
	struct log log = read_log(b);
	CHECK(got == 250 && differing > 25 && differing < 75, "%zu of %zu corrupted", differing, got);
	CHECK(log_count(&log, from, UINT64_MAX, "to-host", "corrupted") == differing, "the log has another number");
	CHECK(log_count(&log, from, UINT64_MAX, "to-chip", NULL) == 0, "the other direction is clean");
	free_log(&log);

	from = bench_time(b);
	noise(b, "to-host:drop=0.2");
	got = receive_falling(b, 250, bytes, sizeof bytes);
	log = read_log(b);
	CHECK(got < 225 && got > 175 && got + log_count(&log, from, UINT64_MAX, "to-host", "dropped") == 250, "%zu came", got);
	free_log(&log);
	for (size_t i = 1; i < got; i++)
		CHECK(bytes[i] < bytes[i - 1], "order");

	noise(b, "to-host:duplicate=1");
	got = receive_falling(b, 100, bytes, sizeof bytes);
	CHECK(got == 200, "%zu came", got);
	for (size_t i = 0; i < got; i++)
		CHECK(bytes[i] == 100 - i / 2, "byte %zu is %u", i, bytes[i]);

	from = bench_time(b);
	noise(b, "to-host:delay=0.2:3ms");
	got = receive_falling(b, 100, bytes, sizeof bytes);
	log = read_log(b);
	size_t delayed = log_count(&log, from, UINT64_MAX, "to-host", "delayed");
	uint64_t together = log_sum(&log, from, "to-host", "delayed");
	CHECK(delayed > 5 && delayed < 40 && together / delayed > 500000 && together / delayed < 2500000, "%zu delayed, %llu ns", delayed, (unsigned long long)together);
	free_log(&log);
	CHECK(got == 100, "%zu came", got);
	for (size_t i = 0; i < got; i++)
		CHECK(bytes[i] == 100 - i, "a delay keeps the order: byte %zu is %u", i, bytes[i]);
	noise(b, "off");
}

static void bursts_come_on_an_idle_line_and_stop_when_told(struct bench_under_test *b)
{
	static uint8_t bytes[60000];
	uint64_t from = bench_time(b);
	noise(b, "to-host:burst=0.001:5");
	while (bench_time(b) < from + 1000000000u)
		;
	noise(b, "off");
	uint64_t to = bench_time(b);
	size_t got = receive_all(b, bytes, sizeof bytes);
	struct log log = read_log(b);
	// 50 000 byte times a second, so 50 bursts, of 3 bytes on the average.
	size_t bursts = log_count(&log, from, UINT64_MAX, "to-host", "burst");
	double expected = (double)(to - from) / 20000.0 * 0.001;
	CHECK((double)bursts > expected * 0.5 && (double)bursts < expected * 2, "%zu bursts, %.0f expected", bursts, expected);
	CHECK(log_sum(&log, from, "to-host", "burst") == got, "%zu bytes came", got);
	free_log(&log);
	CHECK(receive_falling(b, 10, bytes, sizeof bytes) == 10 && bytes[0] == 10, "clean again");
}

static void start_echo(struct bench_under_test *b, uint8_t count)
{
	uint8_t request[] = { 'X', (uint8_t)(count + 1), '!' }, reply = 0;
	send_bytes(b, request, sizeof request);
	receive_bytes(b, &reply, 1);
	CHECK(reply == '!', "echo answered %02x", reply);
}

static void each_kind_of_noise_to_the_chip_does_what_the_log_says(struct bench_under_test *b)
{
	uint8_t sent[40], bytes[2000];
	memset(sent, 0x55, sizeof sent);
	uint64_t from = bench_time(b);
	start_echo(b, 40);
	noise(b, "to-chip:corrupt=0.3");
	send_bytes(b, sent, sizeof sent);
	size_t got = receive_all(b, bytes, sizeof bytes), differing = 0;
	for (size_t i = 0; i < got; i++)
		differing += bytes[i] != 0x55;
	struct log log = read_log(b);
	CHECK(got == 40 && differing > 0 && log_count(&log, from, UINT64_MAX, "to-chip", "corrupted") == differing, "%zu of %zu", differing, got);
	CHECK(log_count(&log, from, UINT64_MAX, "to-host", NULL) == 0, "the other direction is clean");
	free_log(&log);
	noise(b, "off");

	start_echo(b, 40);
	noise(b, "to-chip:duplicate=1");
	send_bytes(b, sent, 20);
	CHECK(receive_all(b, bytes, sizeof bytes) == 40, "each comes twice");
	noise(b, "off");

	from = bench_time(b);
	start_echo(b, 20);
	noise(b, "to-chip:drop=0.3");
	send_bytes(b, sent, sizeof sent / 2);
	got = receive_all(b, bytes, sizeof bytes);
	noise(b, "off");
	log = read_log(b);
	size_t dropped = log_count(&log, from, UINT64_MAX, "to-chip", "dropped");
	CHECK(dropped > 0 && got + dropped == 20, "%zu came, %zu dropped", got, dropped);
	free_log(&log);
	send_bytes(b, sent, dropped);
	CHECK(receive_all(b, bytes, sizeof bytes) == dropped, "the echo ends");

	from = bench_time(b);
	start_echo(b, 200);
	noise(b, "to-chip:burst=0.001:5");
	while (bench_time(b) < from + 500000000u)
		;
	noise(b, "off");
	got = receive_all(b, bytes, sizeof bytes);
	log = read_log(b);
	uint64_t burst = log_sum(&log, from, "to-chip", "burst");
	CHECK(burst > 0 && burst < 200 && burst == got, "%llu bytes of bursts, %zu echoed", (unsigned long long)burst, got);
	free_log(&log);
	for (size_t left = 200 - got; left > 0; left -= left < sizeof sent ? left : sizeof sent)
		send_bytes(b, sent, left < sizeof sent ? left : sizeof sent);
	receive_all(b, bytes, sizeof bytes);
}

// The chip times what it receives: 40 ticks of 8 cycles for a byte, and what the log says of the delays.
static void a_delay_to_the_chip_is_as_long_as_the_log_says(struct bench_under_test *b)
{
	uint8_t request[2] = { 'T', 51 }, sent[51] = { 0 }, reply[2] = { 0 };
	send_bytes(b, request, sizeof request);
	for (uint64_t from = bench_time(b); bench_time(b) < from + 5000000u;)
		;
	uint64_t from = bench_time(b);
	noise(b, "to-chip:delay=0.2:1ms");
	send_bytes(b, sent, sizeof sent);
	receive_bytes(b, reply, 2);
	noise(b, "off");
	long measured = (reply[0] | reply[1] << 8) * 500L, bytes = 50 * 20000L;
	struct log log = read_log(b);
	const struct log_entry *first = log_next(&log, from, "to-chip", "delayed");
	long delays = (long)log_sum(&log, from, "to-chip", "delayed");
	// The time runs from the first byte on, so that byte's own delay, if it had one, does not count.
	CHECK(first && delays > 1000000 && (labs(measured - bytes - delays) < 10000 || labs(measured - bytes - delays + first->more) < 10000),
		"%ld ns for %ld ns of bytes and %ld ns of delays", measured, bytes, delays);
	free_log(&log);
}

static void the_seed_decides(void)
{
	struct bench_under_test b;
	uint8_t bytes[3][100];
	for (int i = 0; i < 3; i++) {
		start_bench(&b, NULL, "--seed", i < 2 ? "5" : "6", NULL);
		noise(&b, "to-host:corrupt=0.3");
		receive_falling(&b, 100, bytes[i], 100);
		CHECK(stop_bench(&b) == 0, "end");
	}
	CHECK(memcmp(bytes[0], bytes[1], 100) == 0, "the same seed gives the same noise");
	CHECK(memcmp(bytes[0], bytes[2], 100) != 0, "another seed gives other noise");
}

static void noise_and_a_shallow_receiver_go_together(void)
{
	struct bench_under_test b;
	uint8_t reply[2];
	start_bench(&b, NULL, "--uart-depth", "2", NULL);
	noise(&b, "to-chip:duplicate=1");
	send_bytes(&b, "Z12345", 6);
	receive_bytes(&b, reply, 2);
	noise(&b, "off");
	CHECK(reply[0] == 2 && (reply[1] & 0x08), "%u kept, status %02x", reply[0], reply[1]);
	CHECK(stop_bench(&b) == 0, "end");
}

static void commands_wait_for_their_instant(struct bench_under_test *b)
{
	unsigned long long at = 0;
	uint8_t boot[2];
	const char *answer = tell(b, "in 30ms reset");
	CHECK(sscanf(answer, "ok in %llu", &at) == 1, "%s", answer);
	receive_boot(b, boot);
	struct log log = read_log(b);
	const struct log_entry *reset = log_next(&log, at, "reset", "external");
	// The instruction in hand is finished first.
	CHECK(reset && reset->ns <= at + 10000, "reset at %llu, promised for %llu", reset ? (unsigned long long)reset->ns : 0, at);
	CHECK(log_next(&log, at, "in", NULL) != NULL, "its answer is in the log");
	free_log(&log);
	uint64_t now = bench_time(b);
	answer = tell(b, "in 1s..3s mute off");
	CHECK(sscanf(answer, "ok in %llu", &at) == 1 && at >= now + 1000000000u && at <= now + 3100000000u, "%s", answer);
	CHECK(strncmp(tell(b, "in 5 reset"), "error in: `5` is neither a time such as", 39) == 0, "no unit");
	CHECK(strncmp(tell(b, "in 3s..1s reset"), "error in", 8) == 0, "backwards");
	CHECK(strncmp(tell(b, "in 1s dance"), "error in", 8) == 0, "unknown command");
}

static bool comes_back(struct bench_under_test *b, const char *link)
{
	char target[128] = "";
	for (int turn = 0; turn < 20000 && readlink(link, target, sizeof target - 1) <= 0; turn++)
		bench_time(b);
	snprintf(b->path, sizeof b->path, "%.120s", link);
	open_port(b);
	return b->port >= 0;
}

static void a_port_vanishes_and_comes_back_under_its_link(struct bench_under_test *b, const char *link)
{
	uint8_t boot[2], byte;
	drive_lines_idle(b);
	uint64_t from = bench_time(b);
	// Slow enough on the bench's own clock for this test to see it gone.
	CHECK(strncmp(tell(b, "vanish 30s"), "ok vanish ", 10) == 0, "vanish");
	struct pollfd watched = { .fd = b->port, .events = POLLIN };
	poll(&watched, 1, 1000);
	CHECK(read(b->port, &byte, 1) <= 0, "the host sees the port go");
	close(b->port);
	CHECK(access(link, F_OK) != 0, "the link goes too");
	CHECK(strncmp(tell(b, "reset"), "error reset", 11) == 0, "no supply");
	CHECK(strstr(tell(b, "lines"), "D22=off@"), "without supply the pins are released");
	CHECK(comes_back(b, link), "it comes back");
	struct log log = read_log(b);
	const struct log_entry *gone = log_next(&log, from, "unplug", "supply"), *off = log_next(&log, from, "supply", "off"),
		*back = log_next(&log, from, "plug", NULL), *on = log_next(&log, from, "reset", "power-on");
	CHECK(gone && off && back && on && off->ns == gone->ns && on->ns == back->ns, "all in the log");
	if (gone && back)
		CHECK(back->ns - gone->ns >= 30000000000u && back->ns - gone->ns < 30001000000u, "away for %llu ns", (unsigned long long)(back->ns - gone->ns));
	free_log(&log);
	tell(b, "reset");
	receive_boot(b, boot);
	// What the chip said when its supply came back is heard too when the port was open again in time.
	if (boot[0] == 0x01)
		receive_boot(b, boot);
	CHECK(boot[0] == 0x02, "cause %02x", boot[0]);

	drive_lines_idle(b);
	from = bench_time(b);
	CHECK(strncmp(tell(b, "vanish 200ms data"), "ok vanish ", 10) == 0, "vanish");
	close(b->port);
	CHECK(comes_back(b, link), "it comes back");
	CHECK(strstr(tell(b, "lines"), "D22=idle@"), "the chip went on");
	log = read_log(b);
	CHECK(log_count(&log, from, UINT64_MAX, "reset", NULL) == 0, "no reset");
	free_log(&log);
	send_bytes(b, "Ek", 2);
	receive_bytes(b, &byte, 1);
	CHECK(byte == 'k', "after it came back");
	CHECK(strncmp(tell(b, "vanish 2"), "error vanish: `2` is neither", 28) == 0, "no unit");
	CHECK(strncmp(tell(b, "vanish 2s soon"), "error vanish: write", 19) == 0, "unknown");
}

#define RUN(...) run_bench(errors, sizeof errors, (const char *const[]){ "build/emulated-bench", "--firmware", "build/selftest.elf", "--board", "boards/dome.board", __VA_ARGS__, NULL })

static void bad_words_are_named(void)
{
	char errors[4096];
	CHECK(RUN("--link-noise", "shake=1") == 2 && strstr(errors, "unknown kind `shake`") && strstr(errors, "duplicate"), "%s", errors);
	CHECK(RUN("--link-noise", "corrupt") == 2 && strstr(errors, "corrupt=1e-3"), "%s", errors);
	CHECK(RUN("--link-noise", "to-chip:drop=2") == 2 && strstr(errors, "0 to 1"), "%s", errors);
	CHECK(RUN("--link-noise", "delay=0.1:5") == 2 && strstr(errors, "longest delay is a time"), "%s", errors);
	CHECK(RUN("--link-noise", "burst=0.1:65") == 2 && strstr(errors, "1 to 64 bytes"), "%s", errors);
	CHECK(RUN("--link-noise", "drop=0.1:5") == 2 && strstr(errors, "no use for `:5`"), "%s", errors);
	CHECK(RUN("--link-noise", "drop=0.6,corrupt=0.6") == 2 && strstr(errors, "more than 1"), "%s", errors);
	CHECK(RUN("--in", "2s dance") == 2 && strstr(errors, "a command that there is"), "%s", errors);
}

void test_link(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--port-link", "build/selftest-link", NULL);
	each_kind_of_noise_to_the_host_does_what_the_log_says(&b);
	bursts_come_on_an_idle_line_and_stop_when_told(&b);
	each_kind_of_noise_to_the_chip_does_what_the_log_says(&b);
	a_delay_to_the_chip_is_as_long_as_the_log_says(&b);
	commands_wait_for_their_instant(&b);
	a_port_vanishes_and_comes_back_under_its_link(&b, "build/selftest-link");
	CHECK(stop_bench(&b) == 0, "end");
	the_seed_decides();
	noise_and_a_shallow_receiver_go_together();
	bad_words_are_named();
}
