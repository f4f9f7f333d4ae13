// The serial port: pace, buffers, plugging, resets, the command line.
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>
#include "bench_under_test.h"

// Until the bench's own clock has gone on by so many milliseconds.
static void wait_for_bench(struct bench_under_test *b, unsigned ms)
{
	uint64_t from = bench_time(b), last = from;
	while (last < from + ms * 1000000u) {
		uint64_t now = bench_time(b);
		if (now < last) {
			CHECK(now >= last, "the bench's clock went from %llu to %llu", (unsigned long long)last, (unsigned long long)now);
			return;
		}
		last = now;
	}
}

static bool echoes(struct bench_under_test *b, uint8_t byte)
{
	uint8_t request[] = { 'E', byte }, reply = 0;
	send_bytes(b, request, sizeof request);
	return receive_bytes(b, &reply, 1) && reply == byte;
}

static void every_byte_is_echoed(struct bench_under_test *b)
{
	for (int byte = 0; byte < 256; byte++)
		CHECK(echoes(b, (uint8_t)byte), "byte %d", byte);
}

static void interrupts_receive_and_send(struct bench_under_test *b)
{
	uint8_t request[202] = { 'X', 200 }, reply[200];
	for (int i = 0; i < 200; i++)
		request[2 + i] = (uint8_t)(i * 7);
	send_bytes(b, request, sizeof request);
	receive_bytes(b, reply, sizeof reply);
	CHECK(memcmp(reply, request + 2, 200) == 0, "an interrupt routine echoes 200 bytes");
	uint8_t send_many[] = { 'U', 100 };
	send_bytes(b, send_many, sizeof send_many);
	receive_bytes(b, reply, 100);
	bool falling = true;
	for (int i = 0; i < 100; i++)
		falling = falling && reply[i] == 100 - i;
	CHECK(falling, "an interrupt routine sends 100 bytes");
	CHECK(echoes(b, 5), "the monitor is back");
}

// 10 bits at 500 kBd are 20 us, 320 cycles, 40 ticks of 8 cycles.
static void bytes_take_twenty_microseconds(struct bench_under_test *b)
{
	uint8_t request[53] = { 'T', 51 }, reply[2];
	send_bytes(b, request, sizeof request);
	receive_bytes(b, reply, 2);
	int ticks = reply[0] | reply[1] << 8;
	CHECK(abs(ticks - 50 * 40) <= 3, "50 received bytes take %d ticks", ticks);
	uint8_t send_many[] = { 'V', 50 }, sent[50];
	send_bytes(b, send_many, sizeof send_many);
	receive_bytes(b, sent, sizeof sent);
	receive_bytes(b, reply, 2);
	ticks = reply[0] | reply[1] << 8;
	CHECK(abs(ticks - 50 * 40) <= 3, "50 sent bytes take %d ticks", ticks);
}

static void the_receive_buffer_is_as_deep_as_asked_for(struct bench_under_test *b, unsigned expected, bool overrun)
{
	uint8_t reply[2];
	send_bytes(b, "Z1234567890", 11);
	receive_bytes(b, reply, 2);
	CHECK(reply[0] == expected, "%u of 10 bytes kept, not %u", reply[0], expected);
	CHECK(((reply[1] & 0x08) != 0) == overrun, "status %02x", reply[1]);
}

static void muting_loses_bytes_on_their_way_to_the_host(struct bench_under_test *b)
{
	CHECK(strcmp(tell(b, "mute on"), "ok mute on") == 0, "mute on");
	send_bytes(b, "Ea", 2);
	CHECK(port_is_silent(b), "muted");
	CHECK(strcmp(tell(b, "mute off"), "ok mute off") == 0, "mute off");
	CHECK(echoes(b, 'b'), "unmuted");
}

// Has the chip echo by interrupt, and waits until it does, so that what is fed next cannot overtake the request.
static void start_echo(struct bench_under_test *b, uint8_t count)
{
	uint8_t request[] = { 'X', (uint8_t)(count + 1), '!' }, reply = 0;
	send_bytes(b, request, sizeof request);
	receive_bytes(b, &reply, 1);
	CHECK(reply == '!', "echo answered %02x", reply);
}

static void fed_bytes_reach_the_chip(struct bench_under_test *b)
{
	uint8_t reply[50] = { 0 }, again[50] = { 0 };
	CHECK(strcmp(tell(b, "feed 45 5a"), "ok feed 2") == 0, "feed");
	receive_bytes(b, reply, 1);
	CHECK(reply[0] == 0x5A, "%02x", reply[0]);
	CHECK(strncmp(tell(b, "feed 4x"), "error feed", 10) == 0, "no hex");
	start_echo(b, 50);
	CHECK(strcmp(tell(b, "garbage 50 7"), "ok garbage 50") == 0, "garbage");
	receive_bytes(b, reply, 50);
	start_echo(b, 50);
	tell(b, "garbage 50 7");
	receive_bytes(b, again, 50);
	CHECK(memcmp(reply, again, 50) == 0, "the same seed gives the same garbage");
	start_echo(b, 50);
	tell(b, "garbage 50 8");
	receive_bytes(b, again, 50);
	CHECK(memcmp(reply, again, 50) != 0, "another seed gives other garbage");
}

static void resets_release_pins_and_keep_sram(struct bench_under_test *b)
{
	uint8_t first[2], second[2], third[2];
	drive_lines_idle(b);
	tell(b, "reset");
	receive_boot(b, first);
	CHECK(first[0] == 0x02, "cause %02x", first[0]);
	const char *lines = tell(b, "lines");
	CHECK(strstr(lines, "D22=off@"), "%s", lines);
	tell(b, "reset");
	receive_boot(b, second);
	CHECK(second[1] == (uint8_t)(first[1] + 1), "SRAM counted %u, then %u", first[1], second[1]);
	drive_lines_idle(b);
	uint64_t before = bench_time(b);
	send_bytes(b, "W", 1);
	receive_boot(b, third);
	CHECK(third[0] == 0x08, "cause %02x", third[0]);
	CHECK(third[1] == (uint8_t)(second[1] + 1), "SRAM counted %u, then %u", second[1], third[1]);
	CHECK(bench_time(b) > before, "the bench's clock goes on through a reset");
	struct log log = read_log(b);
	const struct log_entry *reset = log_next(&log, before, "reset", "watchdog");
	CHECK(reset != NULL, "the log tells of the watchdog");
	if (reset)
		CHECK(log_next(&log, reset->ns, "D22", "float") != NULL, "the watchdog's reset releases the lines");
	free_log(&log);
	CHECK(echoes(b, 1), "after the watchdog's reset");
}

static void unplugging_ends_the_port_and_nothing_else(struct bench_under_test *b, const char *link)
{
	char target[128] = "";
	CHECK(readlink(link, target, sizeof target - 1) > 0 && strcmp(target, b->path) == 0, "the link points at %s", target);
	drive_lines_idle(b);
	uint8_t byte;
	CHECK(strcmp(tell(b, "unplug"), "ok unplug") == 0, "unplug");
	struct pollfd watched = { .fd = b->port, .events = POLLIN };
	poll(&watched, 1, 1000);
	CHECK(read(b->port, &byte, 1) <= 0, "the host sees the port go");
	CHECK(access(link, F_OK) != 0, "the link goes too");
	close(b->port);
	CHECK(strncmp(tell(b, "unplug"), "error unplug", 12) == 0, "twice");
	uint64_t from = bench_time(b);
	CHECK(strcmp(tell(b, "feed 48011400"), "ok feed 4") == 0, "hold line 0 for 20 ms");
	wait_for_bench(b, 100);
	struct log log = read_log(b);
	const struct log_entry *on = log_next(&log, from, "Q1.C", "high");
	CHECK(on && log_next(&log, on->ns, "Q1.C", "low"), "the chip goes on without its host");
	free_log(&log);
	const char *answer = tell(b, "plug");
	CHECK(strncmp(answer, "port /dev/pts/", 14) == 0, "%s", answer);
	snprintf(b->path, sizeof b->path, "%.100s", answer + 5);
	memset(target, 0, sizeof target);
	CHECK(readlink(link, target, sizeof target - 1) > 0 && strcmp(target, b->path) == 0, "the link points at %s", target);
	open_port(b);
	CHECK(echoes(b, 7), "after plugging in");
}

static void a_closed_port_loses_what_the_chip_sends(struct bench_under_test *b)
{
	close(b->port);
	tell(b, "feed 45 61");
	wait_for_bench(b, 10);
	open_port(b);
	CHECK(port_is_silent(b), "nothing old is left in the port");
	CHECK(echoes(b, 'z'), "reopened");
}

static uint64_t wall(void)
{
	struct timespec now;
	clock_gettime(CLOCK_MONOTONIC, &now);
	return (uint64_t)now.tv_sec * 1000000000u + (uint64_t)now.tv_nsec;
}

// Only that the chip's clock does not run ahead: how far it falls behind is the host machine's affair.
static void paced_time_never_outruns_real_time(void)
{
	struct bench_under_test b;
	uint64_t wall_before = wall();
	start_paced_bench(&b);
	for (int i = 0; i < 20; i++) {
		uint8_t reply;
		send_bytes(&b, "Ek", 2);
		// The boot message may come first.
		do
			if (!receive_bytes(&b, &reply, 1))
				break;
		while (reply != 'k');
		uint64_t now = bench_time(&b);
		CHECK(now <= wall() - wall_before + 1000000, "the chip is at %llu ns after %llu ns", (unsigned long long)now,
			(unsigned long long)(wall() - wall_before));
	}
	CHECK(stop_bench(&b) == 0, "end");
}

static void it_ends_when_told_and_not_before(void)
{
	struct bench_under_test b;
	uint8_t reply = 0;
	start_daemon_bench(&b);
	send_bytes(&b, "Ek", 2);
	while (reply != 'k' && receive_bytes(&b, &reply, 1))
		;
	CHECK(reply == 'k', "a daemon goes on with its standard input at its end");
	kill(b.process, SIGTERM);
	CHECK(await_end(&b) == 0, "SIGTERM ends it well");
	struct log log = read_log(&b);
	CHECK(log.count > 0 && strcmp(log.entries[log.count - 1].name, "end") == 0
	      && strcmp(log.entries[log.count - 1].level, "signal") == 0, "the log is whole");
	free_log(&log);
	start_paced_bench(&b);
	tell(&b, "time");
	close(b.to);
	b.to = -1;
	CHECK(await_end(&b) == 0, "standard input closed later ends it");
}

#define RUN(...) run_bench(errors, sizeof errors, (const char *const[]){ "build/emulated-bench", __VA_ARGS__, NULL })
#define DEMO "--firmware", "build/selftest.elf", "--board", "boards/dome.board"

static void bad_input_is_named(void)
{
	char errors[4096];
	CHECK(RUN("--board", "boards/dome.board") == 2 && strstr(errors, "usage:"), "%s", errors);
	CHECK(RUN(DEMO, "--fault", "U9=dead") == 2 && strstr(errors, "unknown part `U9`") && strstr(errors, "U3:18") && strstr(errors, "home-switch"), "%s", errors);
	CHECK(RUN(DEMO, "--fault", "OK1=inverted") == 2 && strstr(errors, "unknown mode `inverted`") && strstr(errors, "intermittent"), "%s", errors);
	CHECK(RUN(DEMO, "--fault", "OK1=slow:fast") == 2 && strstr(errors, "slow:3x"), "%s", errors);
	CHECK(RUN(DEMO, "--fault", "lead:U9.1=open") == 2 && strstr(errors, "U3.18"), "%s", errors);
	CHECK(RUN(DEMO, "--fault", "line:A0=open") == 2 && strstr(errors, "D24"), "%s", errors);
	CHECK(RUN(DEMO, "--fault", "net:U3.18=bridged") == 2 && strstr(errors, "net:A+B"), "%s", errors);
	CHECK(RUN(DEMO, "--seed", "x") == 2 && strstr(errors, "--seed"), "%s", errors);
	CHECK(RUN("--firmware", "boards/dome.board", "--board", "boards/dome.board") == 2 && strstr(errors, "ELF"), "%s", errors);
	CHECK(RUN("--firmware", "build/selftest.elf", "--board", "selftest/small.board") == 2 && strstr(errors, "wired to an atmega328p"), "%s", errors);
	CHECK(RUN("--firmware", "build/selftest-small.elf", "--board", "boards/dome.board") == 2 && strstr(errors, "wired to an atmega2560"), "%s", errors);
	static const char *const boards[][2] = {
		{ "supply LOGIC volts=5\n", ":1: volts=5 is not a voltage such as" },
		{ "supply LOGIC volts=5V\nsense Q7 net=LOGIC series=1kohm cap=60pF\n", ":2: Q7 is no pin" },
		{ "supply LOGIC volts=5V\nsense A1 net=LOGIC series=1kohm cap=60pF colour=red\n", ":2: sense A1 has no use for colour=red" },
		{ "supply LOGIC volts=5V\ndriver Q1 in=a out=b supply=OTHER\n", ":2: supply=OTHER: there is no supply" },
		{ "resistor R a=X ohms=1kohm\n", ":1: resistor R needs b=" },
		{ "resistor R a=X b=Y ohms=1k\n", ":1: ohms=1k is not a resistance" },
		{ "resistor R a=X b=Y ohms=0ohm\n", ":1: ohms=0ohm is outside 1 to" },
		{ "resistor R a=X b=Y ohms=1kohm c=Z\n", ":1: resistor R has no use for c=Z" },
		{ "socket S supply=LOGIC\n", ":1: supply=LOGIC: there is no supply" },
		{ "socket S ratio=70\n", ":1: ratio=70 is not" },
		{ "socket S leakage=2\n", ":1: leakage=2 is not" },
		{ "gadget X\n", ":1: `gadget` is no kind of element" },
		{ "board X chip=z80\n", ":1: chip=z80: possible are atmega2560 atmega328p" },
		{ "supply LOGIC volts=5V\nsense A1 net=LOGIC series=1kohm cap=60pF\nboard X chip=atmega328p\n", ":3: board … chip=atmega328p must stand above" },
		{ "board X chip=atmega328p\nsupply LOGIC volts=5V\nsense D22 net=LOGIC series=1kohm cap=60pF\n", ":3: D22 is no pin of the adapter (atmega328p: D2..D13, A0..A7)" },
		{ "board X chip=atmega328p\nline A7 net=L series=1kohm cap=60pF active=low\n", ":2: A7 leads to the converter alone" },
	};
	for (size_t i = 0; i < sizeof boards / sizeof boards[0]; i++) {
		FILE *file = fopen("build/bad.board", "w");
		if (!file)
			abort();
		fputs(boards[i][0], file);
		fclose(file);
		CHECK(RUN("--firmware", "build/selftest.elf", "--board", "build/bad.board") == 2 && strstr(errors, boards[i][1]), "%s", errors);
	}
}

void test_serial(void)
{
	struct bench_under_test b;
	start_bench(&b, NULL, "--port-link", "build/selftest-port", NULL);
	every_byte_is_echoed(&b);
	interrupts_receive_and_send(&b);
	bytes_take_twenty_microseconds(&b);
	the_receive_buffer_is_as_deep_as_asked_for(&b, 10, false);
	muting_loses_bytes_on_their_way_to_the_host(&b);
	fed_bytes_reach_the_chip(&b);
	resets_release_pins_and_keep_sram(&b);
	unplugging_ends_the_port_and_nothing_else(&b, "build/selftest-port");
	a_closed_port_loses_what_the_chip_sends(&b);
	CHECK(strncmp(tell(&b, "dance"), "error unknown command", 21) == 0, "unknown command");
	CHECK(stop_bench(&b) == 0, "end");
	start_bench(&b, NULL, "--uart-depth", "2", NULL);
	the_receive_buffer_is_as_deep_as_asked_for(&b, 2, true);
	interrupts_receive_and_send(&b);
	CHECK(stop_bench(&b) == 0, "end");
	paced_time_never_outruns_real_time();
	it_ends_when_told_and_not_before();
	bad_input_is_named();
}
