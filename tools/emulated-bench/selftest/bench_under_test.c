#include "bench_under_test.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

enum { MAX_WORDS = 32, PATIENCE_MS = 20000 };
#define PROGRAM "build/emulated-bench"

static int passed, failed;

void check_that(bool holds, const char *file, int line, const char *condition, const char *format, ...)
{
	if (holds) {
		passed++;
		return;
	}
	failed++;
	va_list arguments;
	va_start(arguments, format);
	printf("%s:%d: FAILED %s: ", file, line, condition);
	vprintf(format, arguments);
	putchar('\n');
	va_end(arguments);
}

// to NULL: the child's standard input is at its end.
static pid_t spawn(const char *const *words, int *to, int *from, int *errors)
{
	int in[2], out[2], err[2];
	if (pipe2(in, O_CLOEXEC) || pipe2(out, O_CLOEXEC) || pipe2(err, O_CLOEXEC))
		abort();
	if (!to)
		close(in[1]);
	pid_t child = fork();
	if (child == 0) {
		dup2(in[0], 0);
		dup2(out[1], 1);
		if (errors)
			dup2(err[1], 2);
		execv(PROGRAM, (char *const *)words);
		perror(PROGRAM);
		_exit(127);
	}
	close(in[0]);
	close(out[1]);
	close(err[1]);
	if (to)
		*to = in[1];
	*from = out[0];
	if (errors)
		*errors = err[0];
	else
		close(err[0]);
	return child;
}

// One line from the bench, without its newline; empty when it says nothing for too long.
static const char *read_line(int from)
{
	static char line[4096];
	size_t length = 0;
	struct pollfd watched = { .fd = from, .events = POLLIN };
	while (length < sizeof line - 1 && poll(&watched, 1, PATIENCE_MS) > 0 && read(from, line + length, 1) == 1 && line[length] != '\n')
		length++;
	line[length] = '\0';
	return line;
}

void open_port(struct bench_under_test *b)
{
	b->port = open(b->path, O_RDWR | O_NOCTTY | O_CLOEXEC);
	CHECK(b->port >= 0, "%s: %s", b->path, strerror(errno));
}

static void start_with(struct bench_under_test *b, const char *firmware, const char *board, const char *const *extra, bool fast, bool daemon)
{
	static int number;
	const char *words[MAX_WORDS] = { PROGRAM, "--firmware", firmware, "--board", board, "--log" };
	int count = 6;
	snprintf(b->log_path, sizeof b->log_path, "build/selftest-%d.log", ++number);
	words[count++] = b->log_path;
	if (fast)
		words[count++] = "--fast";
	for (int i = 0; extra && extra[i]; i++)
		words[count++] = extra[i];
	b->port = -1;
	b->to = -1;
	b->process = spawn(words, daemon ? NULL : &b->to, &b->from, NULL);
	const char *line = read_line(b->from);
	CHECK(strncmp(line, "port /dev/pts/", 14) == 0, "first line: %s", line);
	snprintf(b->path, sizeof b->path, "%.120s", line[0] ? line + 5 : "");
	open_port(b);
}

static void start(struct bench_under_test *b, const char *const *extra, bool fast, bool daemon)
{
	start_with(b, "build/selftest.elf", "boards/dome.board", extra, fast, daemon);
}

// The boot message may have gone before the port was open; a reset says it again.
static void await_boot(struct bench_under_test *b, uint8_t *boot)
{
	uint8_t message[2] = { 0 };
	tell(b, "reset");
	while (receive_boot(b, message) && message[0] != 0x02)
		; // the one from power-on was heard after all
	if (boot)
		memcpy(boot, message, 2);
}

void start_small_bench(struct bench_under_test *b)
{
	start_with(b, "build/selftest-small.elf", "selftest/small.board", NULL, true, false);
	await_boot(b, NULL);
}

void start_bench(struct bench_under_test *b, uint8_t *boot, ...)
{
	const char *extra[MAX_WORDS] = { 0 };
	va_list arguments;
	va_start(arguments, boot);
	for (int i = 0; i < MAX_WORDS - 1 && (extra[i] = va_arg(arguments, const char *)); i++)
		;
	va_end(arguments);
	start(b, extra, true, false);
	await_boot(b, boot);
}

bool receive_boot(struct bench_under_test *b, uint8_t *boot)
{
	uint8_t mark = 0;
	while (mark != 'B')
		if (!receive_bytes(b, &mark, 1))
			return false;
	return receive_bytes(b, boot, 2);
}

void start_daemon_bench(struct bench_under_test *b)
{
	start(b, NULL, true, true);
}

void start_paced_bench(struct bench_under_test *b)
{
	start(b, NULL, false, false);
}

int stop_bench(struct bench_under_test *b)
{
	// A signal from elsewhere would end the bench well and fail the checks before this one: then say so.
	const char *answer = tell(b, "quit");
	CHECK(strcmp(answer, "ok quit") == 0, "quit answered `%s`: was the bench that wrote %s stopped from outside? See its log's last line", answer, b->log_path);
	return await_end(b);
}

int await_end(struct bench_under_test *b)
{
	int status = -1;
	if (b->port >= 0)
		close(b->port);
	if (b->to >= 0)
		close(b->to);
	close(b->from);
	waitpid(b->process, &status, 0);
	CHECK(!WIFSIGNALED(status), "the bench that wrote %s died of signal %d", b->log_path, WTERMSIG(status));
	return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

int run_bench(char *errors, size_t size, const char *const *words)
{
	int to, from, err, status = -1;
	pid_t process = spawn(words, &to, &from, &err);
	close(to);
	size_t length = 0;
	for (ssize_t got; length < size - 1 && (got = read(err, errors + length, size - 1 - length)) > 0;)
		length += (size_t)got;
	errors[length] = '\0';
	close(from);
	close(err);
	waitpid(process, &status, 0);
	return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

const char *tell(struct bench_under_test *b, const char *format, ...)
{
	char line[4096];
	va_list arguments;
	va_start(arguments, format);
	int length = vsnprintf(line, sizeof line - 1, format, arguments);
	va_end(arguments);
	line[length++] = '\n';
	if (write(b->to, line, (size_t)length) != length)
		return "";
	return read_line(b->from);
}

void send_bytes(struct bench_under_test *b, const void *bytes, size_t count)
{
	const uint8_t *at = bytes;
	while (count > 0) {
		ssize_t sent = write(b->port, at, count);
		if (sent <= 0) {
			CHECK(sent > 0, "write to the port: %s", strerror(errno));
			return;
		}
		at += sent;
		count -= (size_t)sent;
	}
}

bool receive_bytes(struct bench_under_test *b, uint8_t *bytes, size_t count)
{
	struct pollfd watched = { .fd = b->port, .events = POLLIN };
	for (size_t got = 0; got < count;) {
		ssize_t more = poll(&watched, 1, PATIENCE_MS) > 0 ? read(b->port, bytes + got, count - got) : 0;
		if (more <= 0) {
			CHECK(more > 0, "%zu of %zu bytes came", got, count);
			return false;
		}
		got += (size_t)more;
	}
	return true;
}

bool port_is_silent(struct bench_under_test *b)
{
	struct pollfd watched = { .fd = b->port, .events = POLLIN };
	return poll(&watched, 1, 100) == 0;
}

void poke(struct bench_under_test *b, uint16_t address, uint8_t value)
{
	uint8_t request[] = { 'P', (uint8_t)address, (uint8_t)(address >> 8), value }, reply = 0;
	send_bytes(b, request, sizeof request);
	receive_bytes(b, &reply, 1);
	CHECK(reply == 'p', "poke answered %02x", reply);
}

uint8_t peek(struct bench_under_test *b, uint16_t address)
{
	uint8_t request[] = { 'G', (uint8_t)address, (uint8_t)(address >> 8) }, reply = 0;
	send_bytes(b, request, sizeof request);
	receive_bytes(b, &reply, 1);
	return reply;
}

unsigned convert(struct bench_under_test *b, uint8_t channel)
{
	uint8_t request[] = { 'A', channel }, reply[2] = { 0 };
	send_bytes(b, request, sizeof request);
	receive_bytes(b, reply, 2);
	return reply[0] | (unsigned)reply[1] << 8;
}

void drive_lines_idle(struct bench_under_test *b)
{
	poke(b, PINA + 2, 0x3F);
	poke(b, PINA + 1, 0x3F);
}

void hold_lines(struct bench_under_test *b, uint8_t mask, uint16_t ms)
{
	uint8_t request[] = { 'H', mask, (uint8_t)ms, (uint8_t)(ms >> 8) }, reply = 0;
	send_bytes(b, request, sizeof request);
	receive_bytes(b, &reply, 1);
	CHECK(reply == 'h', "hold answered %02x", reply);
}

void run_all_channels(struct bench_under_test *b)
{
	uint8_t reply = 0;
	send_bytes(b, "S", 1);
	receive_bytes(b, &reply, 1);
	CHECK(reply == 's', "all channels answered %02x", reply);
}

int try_lead(struct bench_under_test *b, uint16_t pin_address, uint8_t bit)
{
	uint8_t request[] = { 'L', (uint8_t)pin_address, (uint8_t)(pin_address >> 8), (uint8_t)(1 << bit) }, reply[2] = { 0 };
	send_bytes(b, request, sizeof request);
	receive_bytes(b, reply, 2);
	return reply[0] * 10 + reply[1];
}

unsigned measure(struct bench_under_test *b, uint16_t pin_address, uint8_t bit, uint8_t port_a)
{
	uint8_t request[] = { 'M', (uint8_t)pin_address, (uint8_t)(pin_address >> 8), (uint8_t)(1 << bit), port_a }, reply[2] = { 0 };
	send_bytes(b, request, sizeof request);
	receive_bytes(b, reply, 2);
	return reply[0] | (unsigned)reply[1] << 8;
}

uint64_t bench_time(struct bench_under_test *b)
{
	unsigned long long ns = 0;
	const char *line = tell(b, "time");
	// Polled in loops, so only a failure is counted: the number of checks must not depend on the machine's speed.
	if (sscanf(line, "time %llu", &ns) != 1)
		CHECK(false, "time answered: %s", line);
	return ns;
}

struct log read_log(const struct bench_under_test *b)
{
	struct log log = { 0 };
	char line[512];
	size_t room = 0;
	FILE *file = fopen(b->log_path, "r");
	CHECK(file != NULL, "%s: %s", b->log_path, strerror(errno));
	while (file && fgets(line, sizeof line, file)) {
		struct log_entry entry = { 0 };
		unsigned long long ns;
		if (line[0] == '#' || !strchr(line, '\n'))
			continue; // the bench goes on writing: a last line without its end is for the next reading
		if (sscanf(line, "%llu %39s %159s %ld", &ns, entry.name, entry.level, &entry.more) < 3) {
			CHECK(false, "log line not understood: %s", line);
			continue;
		}
		entry.ns = ns;
		if (log.count == room) {
			room = room ? 2 * room : 256;
			log.entries = realloc(log.entries, room * sizeof entry);
			if (!log.entries)
				abort();
		}
		log.entries[log.count++] = entry;
	}
	if (file)
		fclose(file);
	return log;
}

void free_log(struct log *log)
{
	free(log->entries);
	*log = (struct log){ 0 };
}

const struct log_entry *log_next(const struct log *log, uint64_t ns, const char *name, const char *level)
{
	for (size_t i = 0; i < log->count; i++)
		if (log->entries[i].ns >= ns && strcmp(log->entries[i].name, name) == 0 && (!level || strcmp(log->entries[i].level, level) == 0))
			return &log->entries[i];
	return NULL;
}

size_t log_count(const struct log *log, uint64_t from, uint64_t to, const char *name, const char *level)
{
	size_t count = 0;
	for (size_t i = 0; i < log->count; i++)
		count += log->entries[i].ns >= from && log->entries[i].ns <= to && strcmp(log->entries[i].name, name) == 0
		         && (!level || strcmp(log->entries[i].level, level) == 0);
	return count;
}

int main(void)
{
	setvbuf(stdout, NULL, _IOLBF, 0);
	signal(SIGPIPE, SIG_IGN); // a bench that died must show as failed checks
	test_signals();
	test_serial();
	test_link();
	test_faults();
	test_motion();
	test_multiplexers();
	test_sockets();
	test_small_chip();
	printf("%d passed, %d failed\n", passed, failed);
	return failed ? 1 : 0;
}
