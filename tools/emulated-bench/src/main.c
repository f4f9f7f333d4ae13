// Runs an adapter's firmware on an emulated chip, wired to a model of a board. See README.md.
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>
#include "commands.h"
#include "faults.h"
#include "journal.h"

// Half a millisecond of the chip's time between two looks at the host.
enum { SLICE_CYCLES = CHIP_HZ / 2000 };
// So far behind real time the bench stops trying to catch up: the chip's clock must never outrun the host's for long, or a heartbeat
// limit would trip that no real chip would trip. The chip is then simply late for ever; nothing is skipped.
#define CATCH_UP_NS 20000000
#define BYTES_LOG_CYCLES (CHIP_HZ / 4)

static volatile sig_atomic_t stopped;

static void on_signal(int number)
{
	(void)number;
	stopped = 1;
}

struct options {
	const char *firmware, *board, *link, *log;
	const char *faults[MAX_FAULTS], *noise, *scheduled[SCHEDULE_MAX];
	int fault_count, scheduled_count;
	bool motor_on, fast;
	unsigned long long seed;
	int uart_depth;
};

static const char usage[] =
	"usage: emulated-bench --firmware FILE.elf --board FILE.board [--fault SPEC]... [--port-link PATH] [--log FILE]\n"
	"                      [--motor on|off] [--seed N] [--uart-depth 2..64] [--link-noise SPEC] [--in \"TIME COMMAND\"]... [--fast]\n";

static int bad_usage(const char *what, const char *about)
{
	fprintf(stderr, "emulated-bench: %s%s%s\n%s", what, about ? " " : "", about ? about : "", usage);
	return 2;
}

static int read_options(int count, char **words, struct options *o)
{
	*o = (struct options){ .seed = 1, .uart_depth = UART_DEPTH_MAX };
	for (int i = 1; i < count; i++) {
		const char *word = words[i];
		char *end = "";
		if (strcmp(word, "--help") == 0) {
			fputs(usage, stdout);
			exit(0);
		}
		if (strcmp(word, "--fast") == 0) {
			o->fast = true;
			continue;
		}
		if (i + 1 == count)
			return bad_usage("unknown option, or nothing behind", word);
		const char *value = words[++i];
		if (strcmp(word, "--firmware") == 0) {
			o->firmware = value;
		} else if (strcmp(word, "--board") == 0) {
			o->board = value;
		} else if (strcmp(word, "--port-link") == 0) {
			o->link = value;
		} else if (strcmp(word, "--log") == 0) {
			o->log = value;
		} else if (strcmp(word, "--fault") == 0) {
			if (o->fault_count == MAX_FAULTS)
				return bad_usage("too many faults", NULL);
			o->faults[o->fault_count++] = value;
		} else if (strcmp(word, "--link-noise") == 0) {
			o->noise = value;
		} else if (strcmp(word, "--in") == 0) {
			if (o->scheduled_count == SCHEDULE_MAX)
				return bad_usage("too many commands for later", NULL);
			o->scheduled[o->scheduled_count++] = value;
		} else if (strcmp(word, "--motor") == 0) {
			if (strcmp(value, "on") != 0 && strcmp(value, "off") != 0)
				return bad_usage("--motor is on or off, not", value);
			o->motor_on = strcmp(value, "on") == 0;
		} else if (strcmp(word, "--seed") == 0) {
			o->seed = strtoull(value, &end, 10);
			if (*end || end == value)
				return bad_usage("--seed is a whole number, not", value);
		} else if (strcmp(word, "--uart-depth") == 0) {
			o->uart_depth = (int)strtol(value, &end, 10);
			if (*end || o->uart_depth < 2 || o->uart_depth > UART_DEPTH_MAX)
				return bad_usage("--uart-depth is 2 to 64 bytes, not", value);
		} else {
			return bad_usage("unknown option", word);
		}
	}
	if (!o->firmware || !o->board)
		return bad_usage("--firmware and --board are needed", NULL);
	return 0;
}

static uint64_t wall_ns(void)
{
	struct timespec now;
	clock_gettime(CLOCK_MONOTONIC, &now);
	return (uint64_t)now.tv_sec * 1000000000u + (uint64_t)now.tv_nsec;
}

static void byte_from_chip(void *context, uint8_t byte)
{
	struct bench *bench = context;
	instant_ps now = chip_now(&bench->chip);
	struct noise_fate fate = noise_pass(&bench->to_host, byte, now);
	if (fate.hold > 0) {
		journal_flush(); // before what was sent so far goes out; a full disk is seen by the main loop
		pty_hold(&bench->pty, now, fate.hold);
	}
	for (int copy = 0; copy < fate.copies; copy++)
		pty_send(&bench->pty, fate.byte);
}

// A port that is gone has no line that could pick anything up.
static void run_bursts(struct bench *bench)
{
	uint8_t bytes[NOISE_BURST_MAX];
	instant_ps now = chip_now(&bench->chip);
	bool plugged = bench->pty.master >= 0;
	if (bench->to_chip.burst_due <= now) {
		if (plugged)
			uart_inject(&bench->chip.uart, bytes, noise_take_burst(&bench->to_chip, bytes, now));
		noise_await_burst(&bench->to_chip, now);
	}
	if (bench->to_host.burst_due <= now) {
		size_t count = plugged ? noise_take_burst(&bench->to_host, bytes, now) : 0;
		for (size_t i = 0; i < count; i++)
			pty_send(&bench->pty, bytes[i]);
		noise_await_burst(&bench->to_host, now);
	}
}

// The end of the next slice: sooner where something is due.
static avr_cycle_count_t slice_end(const struct bench *bench)
{
	avr_cycle_count_t end = bench->chip.avr->cycle + SLICE_CYCLES;
	const instant_ps due[] = { schedule_due(&bench->schedule), bench->to_chip.burst_due, bench->to_host.burst_due };
	for (size_t i = 0; i < sizeof due / sizeof due[0]; i++)
		if (due[i] / PS_PER_CYCLE + 1 < end)
			end = due[i] / PS_PER_CYCLE + 1;
	return end;
}

static void take_from_host(struct bench *bench)
{
	uint8_t bytes[1024];
	size_t room = uart_room(&bench->chip.uart);
	size_t got = pty_receive(&bench->pty, bytes, room < sizeof bytes ? room : sizeof bytes);
	uart_feed(&bench->chip.uart, bytes, got);
}

// Carries out commands. At its end from the start, standard input belongs to a daemon, which a signal stops; at its end later,
// whoever started this has gone.
static void take_commands(struct bench *bench, bool first)
{
	if (bench->commands_ended || command_poll(bench))
		return;
	bench->commands_ended = true;
	if (first)
		return;
	bench->quitting = true;
	bench->end_reason = "standard-input-closed";
}

// Waits until `until_ns`, but serves commands and takes the host's bytes meanwhile; a signal ends the wait.
static void wait_until(struct bench *bench, uint64_t until_ns, const sigset_t *waiting_signals)
{
	for (uint64_t now; !stopped && !bench->quitting && (now = wall_ns()) < until_ns;) {
		struct pollfd watched[2];
		nfds_t count = 0;
		if (!bench->commands_ended)
			watched[count++] = (struct pollfd){ .fd = STDIN_FILENO, .events = POLLIN };
		// While nobody has the port open, poll would return at once for ever.
		if (bench->pty.master >= 0 && bench->pty.open && uart_room(&bench->chip.uart) > 0)
			watched[count++] = (struct pollfd){ .fd = bench->pty.master, .events = POLLIN };
		struct timespec left = { 0, (long)(until_ns - now) };
		if (ppoll(watched, count, &left, waiting_signals) <= 0)
			continue;
		take_commands(bench, false);
		take_from_host(bench);
	}
}

static int run(struct bench *bench, const struct options *o, const sigset_t *waiting_signals)
{
	struct chip *chip = &bench->chip;
	bool first = true;
	uint64_t wall_start = wall_ns();
	avr_cycle_count_t cycle_start = chip->avr->cycle, bytes_logged = 0;
	while (!stopped && !bench->quitting) {
		take_commands(bench, first);
		first = false;
		take_from_host(bench);
		if (!chip_run(chip, slice_end(bench)))
			return 3;
		run_bursts(bench);
		command_run_due(bench);
		if (chip->avr->cycle - bytes_logged >= BYTES_LOG_CYCLES) {
			bytes_logged = chip->avr->cycle;
			command_log_bytes(bench);
		}
		if (!journal_flush()) {
			fprintf(stderr, "emulated-bench: the log cannot be written any more (disk full?)\n");
			return 4;
		}
		// The log first: whoever has seen the chip's answer finds in the log what led to it.
		pty_flush(&bench->pty, chip_now(chip));
		if (o->fast) {
			if (stopped)
				break;
			sigset_t none = *waiting_signals;
			(void)ppoll(NULL, 0, &(struct timespec){ 0, 0 }, &none); // lets a pending signal in
			continue;
		}
		uint64_t due = wall_start + (chip->avr->cycle - cycle_start) * 125 / 2;
		uint64_t now = wall_ns();
		if (now > due + CATCH_UP_NS) {
			journal_line(chip_now(chip), "late", "%llu", (unsigned long long)(now - due));
			wall_start = now;
			cycle_start = chip->avr->cycle;
		} else {
			wait_until(bench, due, waiting_signals);
		}
	}
	return 0;
}

// What the command line wants of the link: the same words as on standard input.
static int prepare(struct bench *bench, const struct options *o)
{
	char message[256];
	if (o->noise && !noise_set(&bench->to_chip, &bench->to_host, o->noise, 0, message, sizeof message)) {
		fprintf(stderr, "emulated-bench: --link-noise %s: %s\n", o->noise, message);
		return 2;
	}
	if (o->noise)
		journal_line(0, "link-noise", "%s", o->noise);
	for (int i = 0; i < o->scheduled_count; i++) {
		if (!command_schedule(bench, o->scheduled[i], message, sizeof message, NULL)) {
			fprintf(stderr, "emulated-bench: --in \"%s\": %s\n", o->scheduled[i], message);
			return 2;
		}
	}
	return 0;
}

int main(int argc, char **argv)
{
	struct options o;
	int result = read_options(argc, argv, &o);
	if (result)
		return result;
	// simavr prints to standard output, which here belongs to the answers alone.
	static struct bench bench;
	bench.answers = fdopen(dup(STDOUT_FILENO), "w");
	if (!bench.answers || dup2(STDERR_FILENO, STDOUT_FILENO) < 0) {
		fprintf(stderr, "emulated-bench: standard output: %s\n", strerror(errno));
		return 4;
	}
	if (!board_parse(&bench.model.board, o.board, o.seed, o.motor_on))
		return 2;
	for (int i = 0; i < o.fault_count; i++) {
		char message[2048];
		if (!faults_inject(&bench.model.board, o.faults[i], message, sizeof message)) {
			fprintf(stderr, "emulated-bench: --fault %s: %s\n", o.faults[i], message);
			return 2;
		}
	}
	if (!journal_open(o.log))
		return 4;
	journal_comment("emulated-bench log 1: T_NS NAME LEVEL …");
	journal_comment("board %s, seed %llu, motor %s", bench.model.board.name, o.seed, o.motor_on ? "on" : "off");
	for (int i = 0; i < o.fault_count; i++)
		journal_line(0, "fault", "%s", o.faults[i]);

	// Signals come in only while waiting, so that a slice is always finished and the log whole.
	sigset_t blocked, waiting;
	sigemptyset(&blocked);
	sigaddset(&blocked, SIGTERM);
	sigaddset(&blocked, SIGINT);
	sigprocmask(SIG_BLOCK, &blocked, &waiting);
	sigdelset(&waiting, SIGTERM);
	sigdelset(&waiting, SIGINT);
	struct sigaction action = { .sa_handler = on_signal };
	sigaction(SIGTERM, &action, NULL);
	sigaction(SIGINT, &action, NULL);
	signal(SIGPIPE, SIG_IGN);

	bench.pty.link = o.link;
	noise_start(&bench.to_chip, "to-chip", o.seed);
	noise_start(&bench.to_host, "to-host", o.seed);
	schedule_start(&bench.schedule, o.seed);
	if (!chip_start(&bench.chip, o.firmware, &bench.model, o.uart_depth, &bench.to_chip, byte_from_chip, &bench))
		return 2;
	if (!pty_plug(&bench.pty))
		return 4;
	int bad = prepare(&bench, &o);
	if (bad)
		return bad;
	fcntl(STDIN_FILENO, F_SETFL, fcntl(STDIN_FILENO, F_GETFL) | O_NONBLOCK);
	fprintf(bench.answers, "port %s\n", bench.pty.path);
	fflush(bench.answers);

	result = run(&bench, &o, &waiting);
	command_log_bytes(&bench);
	journal_line(bench.model.now, "end", "%s", result ? "failed" : stopped ? "signal" : bench.end_reason);
	if (!journal_flush())
		result = 4;
	pty_unplug(&bench.pty);
	return result;
}
