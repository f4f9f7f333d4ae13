#include "quantity.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const struct suffix {
	const char *text;
	enum unit unit;
	double factor;
} suffixes[] = {
	{ "V", UNIT_VOLT, 1 }, { "mV", UNIT_VOLT, 1e-3 },
	{ "ohm", UNIT_OHM, 1 }, { "kohm", UNIT_OHM, 1e3 }, { "Mohm", UNIT_OHM, 1e6 },
	{ "pF", UNIT_FARAD, 1e-12 }, { "nF", UNIT_FARAD, 1e-9 },
	{ "A", UNIT_AMPERE, 1 }, { "mA", UNIT_AMPERE, 1e-3 }, { "uA", UNIT_AMPERE, 1e-6 }, { "nA", UNIT_AMPERE, 1e-9 },
	{ "ns", UNIT_SECOND, 1e-9 }, { "us", UNIT_SECOND, 1e-6 }, { "ms", UNIT_SECOND, 1e-3 }, { "s", UNIT_SECOND, 1 },
	{ "/s", UNIT_PER_SECOND, 1 },
	{ "%", UNIT_PERCENT, 1e-2 },
	{ "", UNIT_NONE, 1 },
};

static const char *const examples[] = {
	[UNIT_VOLT] = "a voltage such as 3.4V or 300mV",
	[UNIT_OHM] = "a resistance such as 220ohm or 4.7kohm",
	[UNIT_FARAD] = "a capacitance such as 60pF",
	[UNIT_AMPERE] = "a current such as 5mA",
	[UNIT_SECOND] = "a time such as 9ns, 5us, 1.5ms or 2s",
	[UNIT_PER_SECOND] = "a rate such as 25/s",
	[UNIT_PERCENT] = "a share such as 3%",
	[UNIT_NONE] = "a plain number such as 4.5",
};

bool quantity_parse(const char *text, enum unit unit, double *value)
{
	char *end;
	double number = strtod(text, &end);
	if (end == text || !isfinite(number))
		return false;
	for (size_t i = 0; i < sizeof suffixes / sizeof suffixes[0]; i++) {
		if (suffixes[i].unit == unit && strcmp(suffixes[i].text, end) == 0) {
			*value = number * suffixes[i].factor;
			return true;
		}
	}
	return false;
}

const char *quantity_example(enum unit unit)
{
	return examples[unit];
}
