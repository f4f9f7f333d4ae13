// What a person or a test does at the bench: one line in, one line out.
#ifndef BENCH_COMMANDS_H
#define BENCH_COMMANDS_H

#include <stdbool.h>
#include <stdio.h>
#include "chip.h"
#include "pty.h"

struct bench {
	struct model model;
	struct chip chip;
	struct pty pty;
	FILE *answers;
	bool commands_ended; // standard input was at its end
	bool quitting;
	const char *end_reason; // for the log
};

// Carries out one line and answers with one line.
void command_run(struct bench *bench, char *line);

// Reads what there is on standard input and carries out whole lines. False: standard input was at its end.
bool command_poll(struct bench *bench);

// The byte counters, into the log when they have changed.
void command_log_bytes(struct bench *bench);

#endif
