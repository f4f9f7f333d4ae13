#include "random.h"

// SplitMix64 (Steele, Lea, Flood 2014): small, and good for any seed, even 0.
uint64_t random_bits(struct random_stream *stream)
{
	uint64_t z = (stream->state += 0x9E3779B97F4A7C15u);
	z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
	z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
	return z ^ (z >> 31);
}

struct random_stream random_stream_for(uint64_t seed, const char *name)
{
	// FNV-1a over the name, so that streams of different elements have nothing in common.
	uint64_t hash = 0xCBF29CE484222325u;
	for (const char *c = name; *c; c++)
		hash = (hash ^ (uint8_t)*c) * 0x100000001B3u;
	struct random_stream stream = { .state = seed * 0x9E3779B97F4A7C15u ^ hash };
	random_bits(&stream);
	return stream;
}

double random_unit(struct random_stream *stream)
{
	return (double)(random_bits(stream) >> 11) / 9007199254740992.0;
}

int random_between(struct random_stream *stream, int low, int high)
{
	return low + (int)(random_unit(stream) * (high - low + 1));
}

double random_factor(struct random_stream *stream, double fraction)
{
	return 1.0 + (2.0 * random_unit(stream) - 1.0) * fraction;
}
