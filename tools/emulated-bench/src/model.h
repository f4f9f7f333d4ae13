// The board in motion: an event-driven model. Time only goes forward, and only when the chip's clock has got there.
#ifndef BENCH_MODEL_H
#define BENCH_MODEL_H

#include "board.h"
#include "comparator.h"

// Told whenever the chip would read a pin differently from now on.
typedef void (*pin_listener)(void *context, const struct lead *lead);

struct model {
	struct board board;
	instant_ps now;
	instant_ps due; // when the next thing happens by itself: kept, because the chip asks at every look at its pins
	pin_listener listener;
	void *context;
	struct random_stream noise;
	struct comparator comparator; // the chip's
};

// Finds the board's idle state (healthy, all pins of the chip released) and starts from there with the faults applied.
void model_start(struct model *model, pin_listener listener, void *context);

// When the next thing happens by itself, or NEVER.
instant_ps model_due(const struct model *model);

// Lets everything happen that is due until `now`, in its order and at its own instants.
void model_advance(struct model *model, instant_ps now);

// The chip drives, releases or pulls up a pin.
void model_set_pin(struct model *model, struct lead *lead, bool driven, bool high, bool pulled_up, instant_ps now);

// After anything was changed from outside: faults, contacts, the motor supply.
void model_settle(struct model *model);

// What the converter reads at the pin: counts of 10 bits against the reference, with noise of about one count.
int model_convert(struct model *model, const struct lead *lead, double reference_volts, instant_ps now);

// The chip's comparator looks at this pin from now on; NULL: at none.
void model_compare(struct model *model, const struct lead *lead, instant_ps now);

// "off" (released), "idle" or "on".
const char *line_state(const struct lead *lead);

#endif
