// Starts the bench as its users do: a child process, commands on a pipe, bytes through its serial port, its log as evidence.
#ifndef BENCH_UNDER_TEST_H
#define BENCH_UNDER_TEST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

struct bench_under_test {
	pid_t process;
	int to, from, port;
	char path[128];
	char log_path[128];
};

struct log_entry {
	uint64_t ns;
	char name[40];
	char level[160];
	long more; // millivolts of a net
};

struct log {
	struct log_entry *entries;
	size_t count;
};

// A failed check prints where and what; tests go on.
#define CHECK(condition, ...) check_that((condition), __FILE__, __LINE__, #condition, __VA_ARGS__)
void check_that(bool holds, const char *file, int line, const char *condition, const char *format, ...) __attribute__((format(printf, 5, 6)));

// Words after the firmware and the board, ended by NULL. The port is opened and the boot message read into boot[2] (cause, kept).
void start_bench(struct bench_under_test *b, uint8_t *boot, ...);
// The same with an ATmega328P and selftest/small.board.
void start_small_bench(struct bench_under_test *b);
// The boot message after a reset: cause and the count that SRAM keeps.
bool receive_boot(struct bench_under_test *b, uint8_t *boot);
// Same with the demo board, paced to real time.
void start_paced_bench(struct bench_under_test *b);
// As a daemon: standard input at its end from the start.
void start_daemon_bench(struct bench_under_test *b);
// Waits for the bench's end without asking for it; returns the exit status.
int await_end(struct bench_under_test *b);
// Quits and waits; returns the exit status.
int stop_bench(struct bench_under_test *b);
// Runs the bench with these words alone, for errors before it starts: exit status, and what it wrote to stderr.
int run_bench(char *errors, size_t size, const char *const *words);

// One command, its answer in a static buffer.
const char *tell(struct bench_under_test *b, const char *format, ...) __attribute__((format(printf, 2, 3)));

void open_port(struct bench_under_test *b);
void send_bytes(struct bench_under_test *b, const void *bytes, size_t count);
// Reads exactly `count`; gives up after 20 s without a byte (a failed check).
bool receive_bytes(struct bench_under_test *b, uint8_t *bytes, size_t count);
// True when nothing comes for a tenth of a second.
bool port_is_silent(struct bench_under_test *b);

// The test firmware's commands.
void poke(struct bench_under_test *b, uint16_t address, uint8_t value);
uint8_t peek(struct bench_under_test *b, uint16_t address);
unsigned convert(struct bench_under_test *b, uint8_t channel);
void drive_lines_idle(struct bench_under_test *b);
void hold_lines(struct bench_under_test *b, uint8_t mask, uint16_t ms);
void run_all_channels(struct bench_under_test *b);
// Looks after discharge and after pull-up, as two digits: 0, 1, 10 or 11.
int try_lead(struct bench_under_test *b, uint16_t pin_address, uint8_t bit);
// Cycles from setting PORTA until the pin changes; 0xFFFF: never.
unsigned measure(struct bench_under_test *b, uint16_t pin_address, uint8_t bit, uint8_t port_a);

// The log as it is now (the bench flushes it with every slice).
struct log read_log(const struct bench_under_test *b);
void free_log(struct log *log);
// First entry of the name at or after `ns` (with this level, or any when NULL); NULL: none.
const struct log_entry *log_next(const struct log *log, uint64_t ns, const char *name, const char *level);
size_t log_count(const struct log *log, uint64_t from, uint64_t to, const char *name, const char *level);
uint64_t bench_time(struct bench_under_test *b);

// Addresses of PINx; DDRx and PORTx follow.
enum { PIND = 0x29, PINA = 0x20, PINB = 0x23, PINC = 0x26, PINF = 0x2F, PINK = 0x106, PINL = 0x109 };

void test_signals(void);
void test_serial(void);
void test_link(void);
void test_faults(void);
void test_motion(void);
void test_multiplexers(void);
void test_sockets(void);
void test_small_chip(void);

#endif
