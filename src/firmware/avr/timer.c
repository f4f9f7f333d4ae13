#include "timer.h"

#include <avr/interrupt.h>
#include <util/atomic.h>

#include "hal.h"

static volatile uint16_t overflows;

ISR(TIMER1_OVF_vect)
{
    overflows++;
}

void timer_start_up(void)
{
    TCCR1A = 0;
    TCCR1B = 1 << CS10;
    TIMSK1 = 1 << TOIE1;
}

void timer_go_on(uint16_t high)
{
    overflows = high;
}

uint32_t hal_ticks(void)
{
    uint32_t ticks;

    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        ticks = timer_extend(overflows);
    }
    return ticks;
}

uint32_t hal_entropy(void)
{
    /* When a request comes depends on the host's clock, to the tick. */
    return hal_ticks();
}
