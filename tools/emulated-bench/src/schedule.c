#include "schedule.h"

#include <stdio.h>
#include <string.h>
#include "quantity.h"

#define LONGEST_WAIT_S 1e6

void schedule_start(struct schedule *schedule, uint64_t seed)
{
	*schedule = (struct schedule){ .random = random_stream_for(seed, "schedule") };
}

static bool read_time(const char *text, double *seconds)
{
	return quantity_parse(text, UNIT_SECOND, seconds) && *seconds >= 0 && *seconds <= LONGEST_WAIT_S;
}

bool schedule_draw(struct schedule *schedule, const char *times, instant_ps now, instant_ps *at, char *message, size_t size)
{
	char first[64];
	double from, to;
	const char *range = strstr(times, "..");
	size_t length = range ? (size_t)(range - times) : strlen(times);
	if (length < sizeof first) {
		memcpy(first, times, length);
		first[length] = '\0';
		if (read_time(first, &from)) {
			to = from;
			if (!range || (read_time(range + 2, &to) && to >= from)) {
				*at = now + (instant_ps)((from + (to - from) * (range ? random_unit(&schedule->random) : 0)) * 1e12);
				return true;
			}
		}
	}
	snprintf(message, size, "`%s` is neither %s nor a range of them such as 1s..3s", times, quantity_example(UNIT_SECOND));
	return false;
}

bool schedule_add(struct schedule *schedule, instant_ps at, const char *command)
{
	if (schedule->count == SCHEDULE_MAX || strlen(command) >= SCHEDULE_COMMAND)
		return false;
	struct scheduled *waiting = &schedule->waiting[schedule->count++];
	waiting->at = at;
	strcpy(waiting->command, command);
	return true;
}

static int first_due(const struct schedule *schedule)
{
	int first = 0;
	for (int i = 1; i < schedule->count; i++)
		if (schedule->waiting[i].at < schedule->waiting[first].at)
			first = i;
	return first;
}

instant_ps schedule_due(const struct schedule *schedule)
{
	return schedule->count == 0 ? NEVER : schedule->waiting[first_due(schedule)].at;
}

struct scheduled schedule_take(struct schedule *schedule)
{
	int first = first_due(schedule);
	struct scheduled taken = schedule->waiting[first];
	// In their order: of two that are due at once the one that was told first is carried out first.
	memmove(&schedule->waiting[first], &schedule->waiting[first + 1], (size_t)(--schedule->count - first) * sizeof taken);
	return taken;
}
