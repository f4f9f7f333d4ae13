// Resistors between nets. Nets are otherwise worked out one by one; these have to be worked out together.
#ifndef BENCH_NETWORK_H
#define BENCH_NETWORK_H

#include "board.h"

// What drives a net: sources of voltage behind resistances, added up.
struct sum {
	double conductance, current;
};

void sum_add(struct sum *sum, double volts, double ohms);

// Volts of every net's root from what drives it and from the resistors between nets; floating[root]: nothing drives it, by no way.
void network_solve(const struct board *board, const struct sum *sums, double *volts, bool *floating);

// The resistance and the capacitance that an adapter pin at each multiplexer's common net sees behind it.
void network_find_sources(struct board *board, const struct sum *sums);

#endif
