// The I/O adapter's pin names (as printed on a common ATmega2560 board) and where they are in the chip.
#ifndef BENCH_ADAPTER_PINS_H
#define BENCH_ADAPTER_PINS_H

#include <stdbool.h>

// port: 0 = A … 11 = L (there is no I); analog: converter channel or -1. False: no such pin.
bool adapter_pin_find(const char *name, int *port, int *bit, int *analog);

#endif
