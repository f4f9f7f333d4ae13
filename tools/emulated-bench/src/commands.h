// What a person or a test does at the bench: one line in, one line out.
#ifndef BENCH_COMMANDS_H
#define BENCH_COMMANDS_H

#include <stdbool.h>
#include <stdio.h>
#include "chip.h"
#include "noise.h"
#include "pty.h"
#include "schedule.h"

struct bench {
	struct model model;
	struct chip chip;
	struct pty pty;
	struct noise to_chip, to_host;
	struct schedule schedule;
	bool on_schedule; // the command in hand was not told now: its answer goes into the log
	FILE *answers;
	bool commands_ended; // standard input was at its end
	bool quitting;
	const char *end_reason; // for the log
};

// Carries out one line and answers with one line.
void command_run(struct bench *bench, char *line);

// `TIME[..TIME] COMMAND`, to be carried out then. False: nothing was kept, and the message says why. at: when it will be, or NULL.
bool command_schedule(struct bench *bench, const char *text, char *message, size_t size, instant_ps *at);

// Carries out the commands whose instant has come.
void command_run_due(struct bench *bench);

// Reads what there is on standard input and carries out whole lines. False: standard input was at its end.
bool command_poll(struct bench *bench);

// The byte counters, into the log when they have changed.
void command_log_bytes(struct bench *bench);

#endif
