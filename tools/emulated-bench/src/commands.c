#include "commands.h"

#include <errno.h>
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "faults.h"
#include "journal.h"

enum { LINE_SIZE = 4096 };

static void answer(struct bench *bench, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void answer(struct bench *bench, const char *format, ...)
{
	va_list arguments;
	if (bench->on_schedule) {
		char text[LINE_SIZE];
		va_start(arguments, format);
		vsnprintf(text, sizeof text, format, arguments);
		va_end(arguments);
		journal_line(bench->model.now, "in", "%s", text);
		return;
	}
	journal_flush(); // an answer is a promise that the log tells of it; a full disk is seen by the main loop
	va_start(arguments, format);
	vfprintf(bench->answers, format, arguments);
	va_end(arguments);
	fputc('\n', bench->answers);
	fflush(bench->answers);
}

// The model was changed by hand, now.
static void touched(struct bench *bench)
{
	model_settle(&bench->model);
	chip_rearm(&bench->chip);
}

static void log_command(struct bench *bench, const char *name, const char *argument)
{
	journal_line(bench->model.now, name, "%s", argument && *argument ? argument : "-");
}

static void run_fault(struct bench *bench, const char *argument)
{
	char message[2048];
	if (!faults_inject(&bench->model.board, argument, message, sizeof message)) {
		answer(bench, "error fault %s", message);
		return;
	}
	log_command(bench, "fault", argument);
	touched(bench);
	answer(bench, "ok fault %s", argument);
}

static void run_repair(struct bench *bench, const char *argument)
{
	char message[2048];
	if (!faults_repair(&bench->model.board, argument, message, sizeof message)) {
		answer(bench, "error repair %s", message);
		return;
	}
	log_command(bench, "repair", argument);
	touched(bench);
	answer(bench, "ok repair %s", argument);
}

static void run_reset(struct bench *bench, const char *argument)
{
	(void)argument;
	if (bench->chip.off) {
		answer(bench, "error reset: the chip has no supply");
		return;
	}
	chip_reset(&bench->chip);
	answer(bench, "ok reset");
}

// True for nothing or `data`: the chip goes on; *supply for `supply`: the chip loses that too.
static bool data_or_supply(const char *argument, bool *supply)
{
	*supply = strcmp(argument, "supply") == 0;
	return *supply || !*argument || strcmp(argument, "data") == 0;
}

static bool unplug(struct bench *bench, const char *name, bool supply)
{
	if (bench->pty.master < 0) {
		answer(bench, "error %s: it is unplugged already", name);
		return false;
	}
	pty_unplug(&bench->pty);
	uart_forget(&bench->chip.uart);
	log_command(bench, "unplug", supply ? "supply" : NULL);
	if (supply)
		chip_power_off(&bench->chip);
	return true;
}

static void run_unplug(struct bench *bench, const char *argument)
{
	bool supply;
	if (!data_or_supply(argument, &supply))
		answer(bench, "error unplug: write unplug, or unplug supply when the chip has its supply from there");
	else if (unplug(bench, "unplug", supply))
		answer(bench, "ok unplug");
}

static void run_vanish(struct bench *bench, const char *argument)
{
	char times[LINE_SIZE], message[256];
	instant_ps back;
	bool supply;
	snprintf(times, sizeof times, "%s", argument);
	char *what = strchr(times, ' ');
	if (what)
		*what++ = '\0';
	if (!data_or_supply(what ? what : "supply", &supply)) {
		answer(bench, "error vanish: write vanish TIME[..TIME] [supply|data], not `%s`", what);
		return;
	}
	if (!schedule_draw(&bench->schedule, times, bench->model.now, &back, message, sizeof message)) {
		answer(bench, "error vanish: %s", message);
		return;
	}
	if (!unplug(bench, "vanish", supply))
		return;
	if (!schedule_add(&bench->schedule, back, "plug")) {
		answer(bench, "error vanish: %d commands wait already, so that it stays away", SCHEDULE_MAX);
		return;
	}
	answer(bench, "ok vanish %" PRIu64, back / 1000);
}

static void run_link_noise(struct bench *bench, const char *argument)
{
	char message[256];
	if (!noise_set(&bench->to_chip, &bench->to_host, argument, bench->model.now, message, sizeof message)) {
		answer(bench, "error link-noise: %s", message);
		return;
	}
	log_command(bench, "link-noise", argument);
	answer(bench, "ok link-noise %s", argument);
}

static void run_plug(struct bench *bench, const char *argument)
{
	(void)argument;
	if (bench->pty.master >= 0) {
		answer(bench, "error plug: it is plugged in already");
		return;
	}
	if (!pty_plug(&bench->pty)) {
		answer(bench, "error plug: no pseudo-terminal, or the link cannot be made");
		return;
	}
	log_command(bench, "plug", bench->pty.path);
	if (bench->chip.off)
		chip_power_on(&bench->chip);
	answer(bench, "port %s", bench->pty.path);
}

static void feed(struct bench *bench, const char *name, const uint8_t *bytes, size_t count)
{
	if (count > uart_room(&bench->chip.uart)) {
		answer(bench, "error %s: only %zu bytes can wait for the line now", name, uart_room(&bench->chip.uart));
		return;
	}
	uart_feed(&bench->chip.uart, bytes, count);
	journal_line(bench->model.now, name, "%zu", count);
	answer(bench, "ok %s %zu", name, count);
}

static void run_feed(struct bench *bench, const char *argument)
{
	uint8_t bytes[LINE_SIZE / 2];
	size_t count = 0;
	for (const char *at = argument; *at;) {
		char digits[3] = { at[0], at[0] ? at[1] : '\0', '\0' };
		char *end;
		if (*at == ' ') {
			at++;
			continue;
		}
		unsigned long value = strtoul(digits, &end, 16);
		if (end != digits + 2 || count == sizeof bytes) {
			answer(bench, "error feed: write bytes as pairs of hex digits, such as 00ff41");
			return;
		}
		bytes[count++] = (uint8_t)value;
		at += 2;
	}
	feed(bench, "feed", bytes, count);
}

static void run_garbage(struct bench *bench, const char *argument)
{
	unsigned count;
	unsigned long long seed;
	char tail;
	uint8_t bytes[UART_WAITING_SIZE];
	if (sscanf(argument, "%u %llu%c", &count, &seed, &tail) != 2 || count > sizeof bytes) {
		answer(bench, "error garbage: write garbage BYTES SEED, at most %zu bytes", sizeof bytes);
		return;
	}
	struct random_stream random = random_stream_for(seed, "garbage");
	for (unsigned i = 0; i < count; i++)
		bytes[i] = (uint8_t)random_bits(&random);
	feed(bench, "garbage", bytes, count);
}

// True for on, false for off; *known false for anything else.
static bool on_or_off(const char *argument, bool *known)
{
	*known = strcmp(argument, "on") == 0 || strcmp(argument, "off") == 0;
	return strcmp(argument, "on") == 0;
}

static void run_mute(struct bench *bench, const char *argument)
{
	bool known, on = on_or_off(argument, &known);
	if (!known) {
		answer(bench, "error mute: write mute on or mute off");
		return;
	}
	bench->pty.muted = on;
	log_command(bench, "mute", argument);
	answer(bench, "ok mute %s", argument);
}

static void run_motor(struct bench *bench, const char *argument)
{
	bool known, on = on_or_off(argument, &known);
	if (!known) {
		answer(bench, "error motor: write motor on or motor off");
		return;
	}
	for (int i = 0; i < bench->model.board.supply_count; i++)
		if (bench->model.board.supplies[i].is_motor)
			bench->model.board.supplies[i].on = on;
	log_command(bench, "motor", argument);
	touched(bench);
	answer(bench, "ok motor %s", argument);
}

static void press(struct bench *bench, const char *argument, const char *name, bool pressed)
{
	int contact = board_find_contact(&bench->model.board, argument);
	if (contact < 0) {
		char possible[1024] = "";
		for (int i = 0; i < bench->model.board.contact_count; i++)
			snprintf(possible + strlen(possible), sizeof possible - strlen(possible), " %s", bench->model.board.contacts[i].name);
		answer(bench, "error %s: unknown input `%s`; possible:%s", name, argument, possible);
		return;
	}
	bench->model.board.contacts[contact].pressed = pressed;
	log_command(bench, name, argument);
	touched(bench);
	answer(bench, "ok %s %s", name, argument);
}

static void run_press(struct bench *bench, const char *argument)
{
	press(bench, argument, "press", true);
}

static void run_release(struct bench *bench, const char *argument)
{
	press(bench, argument, "release", false);
}

static void run_lines(struct bench *bench, const char *argument)
{
	char text[LINE_SIZE] = "lines";
	(void)argument;
	for (int i = 0; i < bench->model.board.lead_count; i++) {
		const struct lead *lead = &bench->model.board.leads[i];
		if (lead->is_line)
			snprintf(text + strlen(text), sizeof text - strlen(text), " %s=%s@%" PRIu64, lead->pin, line_state(lead), lead->drive_since / 1000);
	}
	answer(bench, "%s", text);
}

static void run_time(struct bench *bench, const char *argument)
{
	(void)argument;
	answer(bench, "time %" PRIu64, bench->model.now / 1000);
}

static void run_stack(struct bench *bench, const char *argument)
{
	unsigned deepest, untouched;
	(void)argument;
	chip_stack(&bench->chip, &deepest, &untouched);
	answer(bench, "stack %u %u", deepest, untouched);
}

static void run_quit(struct bench *bench, const char *argument)
{
	(void)argument;
	bench->quitting = true;
	bench->end_reason = "quit";
	answer(bench, "ok quit");
}

static void run_in(struct bench *bench, const char *argument);

static const struct command {
	const char *name;
	void (*run)(struct bench *bench, const char *argument);
} commands[] = {
	{ "fault", run_fault }, { "repair", run_repair }, { "reset", run_reset }, { "unplug", run_unplug }, { "plug", run_plug },
	{ "feed", run_feed }, { "garbage", run_garbage }, { "mute", run_mute }, { "lines", run_lines }, { "stack", run_stack }, { "time", run_time },
	{ "vanish", run_vanish }, { "link-noise", run_link_noise }, { "in", run_in },
	{ "motor", run_motor }, { "press", run_press }, { "release", run_release }, { "quit", run_quit },
};

static const struct command *find_command(const char *line)
{
	size_t length = strcspn(line, " ");
	for (size_t i = 0; i < sizeof commands / sizeof commands[0]; i++)
		if (strlen(commands[i].name) == length && strncmp(commands[i].name, line, length) == 0)
			return &commands[i];
	return NULL;
}

bool command_schedule(struct bench *bench, const char *text, char *message, size_t size, instant_ps *at)
{
	char times[LINE_SIZE];
	instant_ps drawn;
	snprintf(times, sizeof times, "%s", text);
	char *line = strchr(times, ' ');
	if (line)
		*line++ = '\0';
	if (!line || !find_command(line)) {
		snprintf(message, size, "write TIME[..TIME] COMMAND, with a command that there is");
		return false;
	}
	if (!schedule_draw(&bench->schedule, times, bench->model.now, &drawn, message, size))
		return false;
	if (!schedule_add(&bench->schedule, drawn, line)) {
		snprintf(message, size, "at most %d commands of up to %d characters can wait", SCHEDULE_MAX, SCHEDULE_COMMAND - 1);
		return false;
	}
	if (at)
		*at = drawn;
	return true;
}

static void run_in(struct bench *bench, const char *argument)
{
	char message[256];
	instant_ps at;
	if (command_schedule(bench, argument, message, sizeof message, &at))
		answer(bench, "ok in %" PRIu64, at / 1000);
	else
		answer(bench, "error in: %s", message);
}

void command_run_due(struct bench *bench)
{
	while (schedule_due(&bench->schedule) <= chip_now(&bench->chip)) {
		struct scheduled due = schedule_take(&bench->schedule);
		bench->on_schedule = true;
		command_run(bench, due.command);
		bench->on_schedule = false;
	}
}

void command_run(struct bench *bench, char *line)
{
	line[strcspn(line, "\r\n")] = '\0';
	char *argument = strchr(line, ' ');
	if (argument)
		*argument++ = '\0';
	const struct command *command = find_command(line);
	if (command) {
		command->run(bench, argument ? argument : "");
		return;
	}
	answer(bench, "error unknown command `%s`; known: fault repair reset unplug plug vanish link-noise in feed garbage mute lines stack time motor press release quit", line);
}

bool command_poll(struct bench *bench)
{
	static char buffer[LINE_SIZE];
	static size_t filled;
	ssize_t got = read(STDIN_FILENO, buffer + filled, sizeof buffer - 1 - filled);
	if (got <= 0)
		return got < 0 && (errno == EAGAIN || errno == EINTR);
	filled += (size_t)got;
	buffer[filled] = '\0';
	char *start = buffer;
	for (char *end; (end = strchr(start, '\n')) && !bench->quitting; start = end + 1) {
		*end = '\0';
		command_run(bench, start);
	}
	filled = strlen(start);
	memmove(buffer, start, filled + 1);
	if (filled == sizeof buffer - 1) {
		answer(bench, "error a command is longer than %zu characters", sizeof buffer - 2);
		filled = 0;
	}
	return true;
}

void command_log_bytes(struct bench *bench)
{
	static uint64_t logged;
	const struct uart *uart = &bench->chip.uart;
	const struct pty *pty = &bench->pty;
	uint64_t total = uart->received + uart->unheard + uart->overruns + uart->sent_count + uart->overwritten;
	if (total == logged)
		return;
	logged = total;
	journal_line(bench->model.now, "bytes", "received=%" PRIu64 " unheard=%" PRIu64 " overrun=%" PRIu64 " sent=%" PRIu64 " overwritten=%" PRIu64
		" delivered=%" PRIu64 " lost-full=%" PRIu64 " lost-closed=%" PRIu64 " lost-muted=%" PRIu64,
		uart->received, uart->unheard, uart->overruns, uart->sent_count, uart->overwritten, pty->delivered, pty->lost_full,
		pty->lost_closed, pty->lost_muted);
}
