// A bad cable: what happens to bytes on their way, seeded, one direction each. Every fault is in the log at its own instant.
#ifndef BENCH_NOISE_H
#define BENCH_NOISE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "board.h"
#include "random.h"

// The longest burst of noise that can be asked for.
enum { NOISE_BURST_MAX = 64 };

struct noise_rates {
	double corrupt, drop, duplicate, hold; // per byte, 0..1
	instant_ps longest_hold;
	double burst; // per byte time, whether a byte is on the line or not
	int longest_burst; // bytes
};

struct noise {
	const char *name; // in the log: to-chip, to-host
	struct noise_rates rates;
	struct random_stream fates, bursts;
	instant_ps burst_due; // NEVER: no bursts
};

// What becomes of one byte. `copies` 0: it is gone; 2: it comes twice, at once behind itself.
struct noise_fate {
	uint8_t byte;
	int copies;
	instant_ps hold; // so much later than it should come; what is behind it waits too
};

void noise_start(struct noise *noise, const char *name, uint64_t seed);

// `off`, or words joined by commas, each [to-chip:|to-host:]KIND=RATE[:MOST]; README.md lists the kinds. Both directions are set as a whole.
// False: nothing was changed, and the message says why.
bool noise_set(struct noise *to_chip, struct noise *to_host, const char *text, instant_ps now, char *message, size_t size);

// Draws a byte's fate and logs it.
struct noise_fate noise_pass(struct noise *noise, uint8_t byte, instant_ps now);

// The burst that is due at burst_due: its bytes, in the log too.
size_t noise_take_burst(struct noise *noise, uint8_t bytes[NOISE_BURST_MAX], instant_ps now);

// Draws when the next burst is due; to be called after each one, taken or not.
void noise_await_burst(struct noise *noise, instant_ps now);

#endif
