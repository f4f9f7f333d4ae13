// Voltages: nets from whatever drives them, adapter pins from their net.
#ifndef BENCH_NETS_H
#define BENCH_NETS_H

#include "board.h"

// The adapter chip's input thresholds with hysteresis: plausible typical values at 5 V, inside the datasheet's limits of
// 0.3 and 0.6 of the supply.
#define PIN_RISING_VOLTS 2.7
#define PIN_FALLING_VOLTS 2.3

// Volts of a supply now, its faults and its switch included.
double supply_volts(const struct board *board, int supply);

// Joins bridged nets. To be called when the bridges have changed.
void nets_join(struct board *board);

// Works out every net from the elements' present states.
void nets_solve(struct board *board);

// True when nothing drives the net or it is at or above `volts`. A floating TTL input reads high.
bool net_reads_high(const struct board *board, int net, double volts);

// The diode current of an isolator, amperes.
double isolator_current(const struct board *board, const struct section *section);

// Works out where the pin's voltage is going and when the chip will see it differently (`due`). The pin keeps its charge:
// its voltage never jumps.
void lead_settle(struct board *board, struct lead *lead, instant_ps now);

double lead_volts(const struct lead *lead, instant_ps now);

// When the pin's voltage, as it goes now, rises to `volts` or falls to it: `since` when it is there already, NEVER when it does not get there.
instant_ps lead_crossing(const struct lead *lead, double volts, bool rising);

#endif
