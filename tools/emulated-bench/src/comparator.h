// The chip's analog comparator with its bandgap reference at the positive input: an event whenever its output changes.
#ifndef BENCH_COMPARATOR_H
#define BENCH_COMPARATOR_H

#include "board.h"

// Told when the output has changed.
typedef void (*comparator_listener)(void *context, bool output);

struct comparator {
	const struct lead *lead; // at the negative input; NULL: the comparator compares nothing
	double volts;            // of the reference, one chip's for good
	instant_ps delay;        // from a crossing to the output
	instant_ps ready;        // until then the reference has 0 V
	bool above;              // the pin is above the reference
	bool output;             // 1 while the pin is below it
	instant_ps crossing_due, output_due;
	comparator_listener listener;
	void *context;
};

// A chip's own reference (1.0 to 1.2 V) and delay (300 to 700 ns), seeded. Nothing is compared yet.
void comparator_start(struct comparator *comparator, uint64_t seed);

// From now on this pin is compared; NULL: none. The reference starts up anew when none was compared before.
void comparator_attach(struct comparator *comparator, const struct lead *lead, instant_ps now);

// To be called when the pin's voltage may go elsewhere from now on.
void comparator_settle(struct comparator *comparator, instant_ps now);

// When it does something by itself, or NEVER.
instant_ps comparator_due(const struct comparator *comparator);

// Does what is due now.
void comparator_step(struct comparator *comparator, instant_ps now);

#endif
