// Commands that wait for their instant on the bench's clock.
#ifndef BENCH_SCHEDULE_H
#define BENCH_SCHEDULE_H

#include <stdbool.h>
#include <stddef.h>
#include "board.h"
#include "random.h"

enum { SCHEDULE_MAX = 64, SCHEDULE_COMMAND = 256 };

struct schedule {
	struct random_stream random;
	struct scheduled {
		instant_ps at;
		char command[SCHEDULE_COMMAND];
	} waiting[SCHEDULE_MAX];
	int count;
};

void schedule_start(struct schedule *schedule, uint64_t seed);

// `TIME[..TIME]` from now on; of a range the instant is drawn. False: no such time, and the message says what would be one.
bool schedule_draw(struct schedule *schedule, const char *times, instant_ps now, instant_ps *at, char *message, size_t size);

// False: too many wait already, or the command is too long.
bool schedule_add(struct schedule *schedule, instant_ps at, const char *command);

// When the next one is due; NEVER: none waits.
instant_ps schedule_due(const struct schedule *schedule);

// Takes out the one that is due first.
struct scheduled schedule_take(struct schedule *schedule);

#endif
