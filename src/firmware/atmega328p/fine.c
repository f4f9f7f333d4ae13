/* Two ways to timer 1's capture input. D8 is that input itself: it is stamped where the pin's own logic level changes. A0 to A5 come to it through the converter's
   multiplexer and the analog comparator: they are stamped where the voltage crosses the chip's bandgap reference. */
#include "fine.h"

#include <avr/io.h>
#include <util/delay.h>

#include "board.h"
#include "converter.h"
#include "protocol.h"
#include "wire.h"

#define CAPTURE_PIN 8
#define FIRST_ANALOG_PIN 16

/* From a change at the pin to the count that is latched: the synchroniser and the edge detector of the capture input take 2.5 to 3.5 cycles (data sheet, external
   clock source and input capture: value from memory). An emulator takes none, and is up to 3 late; stated is what holds for both. */
#define LEAST_LATENCY 0
#define MOST_LATENCY 4
/* The comparator in front of it: 500 ns, typical at 4.0 V, less at 5 V (data sheet: value from memory; it has no maximum). Twice that is stated, 16 ticks. */
#define MOST_COMPARATOR_LATENCY (MOST_LATENCY + 16)

/* The bandgap reference is there after 70 us at most (data sheet: value from memory). */
#define REFERENCE_START_UP_US 100

/* Millivolts on the scale of LEVELS, where the converter's reference counts as nominal: what is proportional to the supply stands still on it, and what is not moves
   by the supply's tolerance. */
#define SCALED_DOWN(mv) ((uint16_t)((mv) * 1000000UL / (1000000UL + BOARD_REFERENCE_PPM)))
#define SCALED_UP(mv) ((uint16_t)((mv) * 1000000UL / (1000000UL - BOARD_REFERENCE_PPM) + 1))
/* The bandgap has 1.0 to 1.2 V, the comparator an offset of up to 40 mV (data sheet: values from memory). */
#define REFERENCE_LEAST_MV SCALED_DOWN(960UL)
#define REFERENCE_MOST_MV SCALED_UP(1240UL)
/* A pin reads low up to 0.3 of the supply and high from 0.6 of it on (data sheet: values from memory); it changes its mind in between. */
#define INPUT_LEAST_MV ((uint16_t)(BOARD_REFERENCE_MV * 3 / 10))
#define INPUT_MOST_MV ((uint16_t)(BOARD_REFERENCE_MV * 6 / 10))

/* On a rising edge the reference always comes first, on a falling one last: the host relies on it. */
#if 1240UL * 1000000UL / (1000000UL - BOARD_REFERENCE_PPM) + 1 >= BOARD_REFERENCE_MV * 3 / 10
#error "the bandgap reference must lie below every level at which an input may change"
#endif

void fine_begin(uint8_t pin, uint8_t level)
{
    uint8_t edge = level;

    if (pin != CAPTURE_PIN) {
        /* The multiplexer is the comparator's only while the converter is off. */
        ADCSRA = 0;
        converter_select((uint8_t)(pin - FIRST_ANALOG_PIN)); /* its reference stays where it is, so that nothing has to settle afterwards */
        ADCSRB = 1 << ACME;
        ACSR = (1 << ACBG) | (1 << ACIC);
        /* The pin is the negative input: the output falls when the pin rises above the reference. */
        edge = !level;
        _delay_us(REFERENCE_START_UP_US);
    }
    /* No noise canceller: it would add four cycles. Changing the edge or the source may set ICF1; the loop clears it when it starts the clock. */
    TCCR1B = (uint8_t)((1 << CS10) | (edge != 0 ? 1 << ICES1 : 0));
}

uint8_t fine_record(uint8_t pin, uint8_t level, uint8_t *record)
{
    record[0] = pin;
    record[1] = level;
    record[2] = (TIFR1 & (1 << ICF1)) != 0;
    wire_put_u32(record + 3, ICR1);
    wire_put_u32(record + 7, 0x10000UL);
    wire_put_u16(record + 11, LEAST_LATENCY);
    if (pin == CAPTURE_PIN) {
        wire_put_u16(record + 13, MOST_LATENCY);
        return FINE_RECORD_BYTES;
    }
    wire_put_u16(record + 13, MOST_COMPARATOR_LATENCY);
    wire_put_u16(record + 15, REFERENCE_LEAST_MV);
    wire_put_u16(record + 17, REFERENCE_MOST_MV);
    wire_put_u16(record + 19, INPUT_LEAST_MV);
    wire_put_u16(record + 21, INPUT_MOST_MV);
    return CROSSING_RECORD_BYTES;
}

void fine_end(uint8_t pin)
{
    if (pin == CAPTURE_PIN)
        return;
    ACSR = 0; /* the capture input is D8's again */
    ADCSRB = 0;
    /* Its first conversion takes twice as long as sample_ticks allows: it is made here. */
    converter_start_up();
}
