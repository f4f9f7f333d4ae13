// Seeded random numbers. Every element has its own stream, so that a fault in one never changes the jitter of another.
#ifndef BENCH_RANDOM_H
#define BENCH_RANDOM_H

#include <stdint.h>

struct random_stream {
	uint64_t state;
};

// A stream that depends on the bench's seed and on the name of whoever draws from it.
struct random_stream random_stream_for(uint64_t seed, const char *name);

uint64_t random_bits(struct random_stream *stream);

// Uniform in [0, 1).
double random_unit(struct random_stream *stream);

// Uniform whole number in [low, high], both included.
int random_between(struct random_stream *stream, int low, int high);

// A factor uniform in [1 - fraction, 1 + fraction].
double random_factor(struct random_stream *stream, double fraction);

#endif
