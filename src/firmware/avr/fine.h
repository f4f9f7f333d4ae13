/* Stamps of one pin's changes by the timer's input capture: no instruction is spent on them, so the loop's figures hold with and without. A chip
   that HAS_FINE has its own fine.c. */
#ifndef FINE_H
#define FINE_H

#include <stdint.h>

/* Before the burst, interrupts on: from its start on, the timer latches its count at each change of the pin to `level`. The pin has PIN_FINE or PIN_CROSSING; with
   PIN_CROSSING the converter is off until fine_end. Takes up to 0.2 ms. */
void fine_begin(uint8_t pin, uint8_t level);

/* After it, interrupts off: writes a fine record with the last count that was latched. Returns its length, at most CROSSING_RECORD_BYTES. */
uint8_t fine_record(uint8_t pin, uint8_t level, uint8_t *record);

/* Then, interrupts on: everything as it was before fine_begin. Takes up to 0.3 ms. */
void fine_end(uint8_t pin);

#endif
