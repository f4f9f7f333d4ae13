/* Timer 1 counts cycles, without end; its overflows are counted to make 32 bits. */
#ifndef TIMER_H
#define TIMER_H

#include <avr/io.h>
#include <stdint.h>

void timer_start_up(void);

/* After a burst, with interrupts off: the burst has counted the overflows itself, up to `high`. */
void timer_go_on(uint16_t high);

/* TCNT1 extended by `high`; interrupts are off. An overflow that was not counted yet shows as TOV1 with a small TCNT1. */
static inline uint32_t timer_extend(uint16_t high)
{
    const uint16_t low = TCNT1;

    if ((TIFR1 & (1 << TOV1)) != 0 && low < 0x8000)
        high++;
    return ((uint32_t)high << 16) | low;
}

#endif
