#include "comparator.h"

#include <stddef.h>
#include "nets.h"

// Data sheet: 40 us typical, 70 us at most (values from memory).
#define START_UP ((instant_ps)70e6)

void comparator_start(struct comparator *comparator, uint64_t seed)
{
	struct random_stream random = random_stream_for(seed, "comparator");
	comparator->lead = NULL;
	comparator->volts = 1.0 + 0.2 * random_unit(&random);
	comparator->delay = (instant_ps)(300e3 + 400e3 * random_unit(&random));
	comparator->above = comparator->output = false;
	comparator->crossing_due = comparator->output_due = NEVER;
}

static void follow(struct comparator *comparator, instant_ps now)
{
	// What is shorter than the delay never gets through.
	if (comparator->output == !comparator->above)
		comparator->output_due = NEVER;
	else if (comparator->output_due == NEVER)
		comparator->output_due = now + comparator->delay;
}

void comparator_attach(struct comparator *comparator, const struct lead *lead, instant_ps now)
{
	if (lead == comparator->lead)
		return;
	if (!comparator->lead)
		comparator->ready = now + START_UP;
	comparator->lead = lead;
	comparator->crossing_due = comparator->output_due = NEVER;
	if (!lead)
		return;
	comparator->above = now < comparator->ready || lead_volts(lead, now) > comparator->volts;
	follow(comparator, now);
	comparator_settle(comparator, now);
}

void comparator_settle(struct comparator *comparator, instant_ps now)
{
	if (!comparator->lead)
		return;
	if (now < comparator->ready) {
		comparator->crossing_due = comparator->ready;
		return;
	}
	// Where the voltage goes decides: just behind a crossing, rounded to a picosecond, it may still be on the side that it has left.
	bool goes_above = comparator->lead->target_volts > comparator->volts;
	instant_ps at = goes_above == comparator->above ? NEVER : lead_crossing(comparator->lead, comparator->volts, goes_above);
	comparator->crossing_due = at == NEVER || at > now ? at : now;
}

instant_ps comparator_due(const struct comparator *comparator)
{
	return comparator->crossing_due < comparator->output_due ? comparator->crossing_due : comparator->output_due;
}

void comparator_step(struct comparator *comparator, instant_ps now)
{
	if (comparator->output_due == now) {
		comparator->output_due = NEVER;
		comparator->output = !comparator->above;
		comparator->listener(comparator->context, comparator->output);
	}
	if (comparator->crossing_due == now) {
		comparator->above = now == comparator->ready ? lead_volts(comparator->lead, now) > comparator->volts : !comparator->above;
		follow(comparator, now);
		comparator_settle(comparator, now);
	}
}
