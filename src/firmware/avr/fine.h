/* Stamps of one pin's changes by the timer's input capture: no instruction is spent on them, so the loop's figures hold with and without. A chip
   that HAS_FINE has its own fine.c. */
#ifndef FINE_H
#define FINE_H

#include <stdint.h>

/* Before the burst: from its start on, the timer latches its count at each change of the pin to `level`. The pin has PIN_FINE. */
void fine_begin(uint8_t pin, uint8_t level);

/* After it: writes a fine record of FINE_RECORD_BYTES with the last count that was latched. */
void fine_end(uint8_t pin, uint8_t level, uint8_t *record);

#endif
