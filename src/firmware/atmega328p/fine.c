/* D8 is the capture input of timer 1. */
#include "fine.h"

#include <avr/io.h>

#include "wire.h"

/* From a change at the pin to the count that is latched: the synchroniser and the edge detector of the capture input take 2.5 to 3.5 cycles (data sheet, external
   clock source and input capture: value from memory). An emulator takes none, and is up to 3 late; stated is what holds for both. */
#define LEAST_LATENCY 0
#define MOST_LATENCY 4

void fine_begin(uint8_t pin, uint8_t level)
{
    (void)pin; /* there is only one */
    /* No noise canceller: it would add four cycles. Changing the edge may set ICF1; the loop clears it when it starts the clock. */
    TCCR1B = (uint8_t)((1 << CS10) | (level != 0 ? 1 << ICES1 : 0));
}

void fine_end(uint8_t pin, uint8_t level, uint8_t *record)
{
    record[0] = pin;
    record[1] = level;
    record[2] = (TIFR1 & (1 << ICF1)) != 0;
    wire_put_u32(record + 3, ICR1);
    wire_put_u32(record + 7, 0x10000UL);
    wire_put_u16(record + 11, LEAST_LATENCY);
    wire_put_u16(record + 13, MOST_LATENCY);
}
