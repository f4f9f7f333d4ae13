// Numbers with their unit, as a board file and a fault write them: 4.7kohm, 100us, 1.15V, 25/s.
#ifndef BENCH_QUANTITY_H
#define BENCH_QUANTITY_H

#include <stdbool.h>

enum unit { UNIT_VOLT, UNIT_OHM, UNIT_FARAD, UNIT_AMPERE, UNIT_SECOND, UNIT_PER_SECOND, UNIT_PERCENT, UNIT_NONE };

// The value in SI units (percent: as a fraction). False when the text is no number or its unit is missing or another.
bool quantity_parse(const char *text, enum unit unit, double *value);

// What a user may write, for messages: "a resistance such as 4.7kohm".
const char *quantity_example(enum unit unit);

#endif
