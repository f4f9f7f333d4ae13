#include "noise.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "journal.h"
#include "quantity.h"

// 10 bits at 500 kBd: the line's rate as the link protocol has it; only rates per byte time use it.
#define BYTE_TIME_PS 20000000.0
#define USUAL_HOLD_PS 5000000000u
#define LONGEST_HOLD_S 1.0
enum { USUAL_BURST = 8 };

void noise_start(struct noise *noise, const char *name, uint64_t seed)
{
	*noise = (struct noise){ .name = name, .burst_due = NEVER };
	char stream[40];
	snprintf(stream, sizeof stream, "noise %s", name);
	noise->fates = random_stream_for(seed, stream);
	snprintf(stream, sizeof stream, "bursts %s", name);
	noise->bursts = random_stream_for(seed, stream);
}

void noise_await_burst(struct noise *noise, instant_ps now)
{
	if (noise->rates.burst <= 0) {
		noise->burst_due = NEVER;
		return;
	}
	// Independent instants: what lies between them is distributed exponentially.
	double wait = -log(1.0 - random_unit(&noise->bursts)) * BYTE_TIME_PS / noise->rates.burst;
	noise->burst_due = wait < 1e17 ? now + (instant_ps)wait + 1 : NEVER;
}

// KIND=RATE[:MOST] into rates.
static bool set_one(struct noise_rates *rates, char *word, char *message, size_t size)
{
	char *rate_text = strchr(word, '=');
	if (!rate_text) {
		snprintf(message, size, "`%s` is not KIND=RATE, such as corrupt=1e-3", word);
		return false;
	}
	*rate_text++ = '\0';
	char *most = strchr(rate_text, ':');
	if (most)
		*most++ = '\0';
	double rate;
	if (!quantity_parse(rate_text, UNIT_NONE, &rate) || rate < 0 || rate > 1) {
		snprintf(message, size, "the rate of %s is 0 to 1, such as 1e-3, not `%s`", word, rate_text);
		return false;
	}
	if (strcmp(word, "delay") == 0) {
		double longest = USUAL_HOLD_PS / 1e12;
		if (most && (!quantity_parse(most, UNIT_SECOND, &longest) || longest <= 0 || longest > LONGEST_HOLD_S)) {
			snprintf(message, size, "the longest delay is %s, up to 1s, not `%s`", quantity_example(UNIT_SECOND), most);
			return false;
		}
		rates->hold = rate;
		rates->longest_hold = (instant_ps)(longest * 1e12);
		return true;
	}
	if (strcmp(word, "burst") == 0) {
		double longest = USUAL_BURST;
		if (most && (!quantity_parse(most, UNIT_NONE, &longest) || longest < 1 || longest > NOISE_BURST_MAX || longest != floor(longest))) {
			snprintf(message, size, "the longest burst is 1 to %d bytes, not `%s`", NOISE_BURST_MAX, most);
			return false;
		}
		rates->burst = rate;
		rates->longest_burst = (int)longest;
		return true;
	}
	double *plain = strcmp(word, "corrupt") == 0 ? &rates->corrupt : strcmp(word, "drop") == 0 ? &rates->drop
		: strcmp(word, "duplicate") == 0 ? &rates->duplicate : NULL;
	if (!plain) {
		snprintf(message, size, "unknown kind `%s`; possible: corrupt drop duplicate delay burst", word);
		return false;
	}
	if (most) {
		snprintf(message, size, "%s has no use for `:%s`; only delay and burst have", word, most);
		return false;
	}
	*plain = rate;
	return true;
}

bool noise_set(struct noise *to_chip, struct noise *to_host, const char *text, instant_ps now, char *message, size_t size)
{
	struct noise *both[] = { to_chip, to_host };
	struct noise_rates rates[2] = { 0 };
	char copy[1024], *rest = copy;
	if (strlen(text) >= sizeof copy) {
		snprintf(message, size, "longer than %zu characters", sizeof copy - 1);
		return false;
	}
	strcpy(copy, text);
	if (strcmp(text, "off") != 0) {
		for (char *word; (word = strsep(&rest, ","));) {
			bool wanted[2] = { true, true };
			for (int i = 0; i < 2; i++) {
				size_t length = strlen(both[i]->name);
				if (strncmp(word, both[i]->name, length) == 0 && word[length] == ':') {
					wanted[1 - i] = false;
					word += length + 1;
					break;
				}
			}
			char again[sizeof copy];
			strcpy(again, word);
			if ((wanted[0] && !set_one(&rates[0], word, message, size)) || (wanted[1] && !set_one(&rates[1], again, message, size)))
				return false;
		}
	}
	for (int i = 0; i < 2; i++) {
		if (rates[i].corrupt + rates[i].drop + rates[i].duplicate + rates[i].hold > 1) {
			snprintf(message, size, "the rates of corrupt, drop, duplicate and delay %s come to more than 1", both[i]->name);
			return false;
		}
	}
	for (int i = 0; i < 2; i++) {
		both[i]->rates = rates[i];
		noise_await_burst(both[i], now);
	}
	return true;
}

// One draw decides, so that a byte suffers one thing at most and the rates are what was asked for.
struct noise_fate noise_pass(struct noise *noise, uint8_t byte, instant_ps now)
{
	const struct noise_rates *rates = &noise->rates;
	struct noise_fate fate = { .byte = byte, .copies = 1 };
	if (rates->corrupt + rates->drop + rates->duplicate + rates->hold <= 0)
		return fate;
	double drawn = random_unit(&noise->fates);
	if (drawn < rates->corrupt) {
		fate.byte ^= (uint8_t)(1 << random_between(&noise->fates, 0, 7));
		journal_line(now, noise->name, "corrupted %02x %02x", byte, fate.byte);
	} else if ((drawn -= rates->corrupt) < rates->drop) {
		fate.copies = 0;
		journal_line(now, noise->name, "dropped %02x", byte);
	} else if ((drawn -= rates->drop) < rates->duplicate) {
		fate.copies = 2;
		journal_line(now, noise->name, "duplicated %02x", byte);
	} else if (drawn - rates->duplicate < rates->hold) {
		fate.hold = 1 + (instant_ps)(random_unit(&noise->fates) * (double)rates->longest_hold);
		journal_line(now, noise->name, "delayed %" PRIu64 " %02x", fate.hold / 1000, byte);
	}
	return fate;
}

size_t noise_take_burst(struct noise *noise, uint8_t bytes[NOISE_BURST_MAX], instant_ps now)
{
	size_t count = (size_t)random_between(&noise->bursts, 1, noise->rates.longest_burst);
	for (size_t i = 0; i < count; i++)
		bytes[i] = (uint8_t)random_bits(&noise->bursts);
	journal_line(now, noise->name, "burst %zu", count);
	return count;
}
