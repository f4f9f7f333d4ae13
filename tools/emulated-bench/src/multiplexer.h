// Analog multiplexers of the type 74HC4051: which input is joined with the common pin, and when.
#ifndef BENCH_MULTIPLEXER_H
#define BENCH_MULTIPLEXER_H

#include "board.h"

// Understands the select inputs as they are now, and plans the change of the address.
void multiplexer_settle(const struct board *board, struct multiplexer *multiplexer, instant_ps now);

// The same, with the change made at once: for the start.
void multiplexer_place(const struct board *board, struct multiplexer *multiplexer);

// Makes the change that is due.
void multiplexer_step(struct multiplexer *multiplexer);

// True when this input is joined with the common net now.
bool multiplexer_conducts(const struct multiplexer *multiplexer, int input);

#endif
