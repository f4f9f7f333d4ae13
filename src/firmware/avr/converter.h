/* The analog-to-digital converter: 10 bits against AVCC, 125 kHz (data sheet: 50 to 200 kHz for full resolution; value from memory). */
#ifndef CONVERTER_H
#define CONVERTER_H

#include <avr/io.h>
#include <stdbool.h>
#include <stdint.h>

struct readings {
    uint32_t sum;
    uint16_t smallest;
    uint16_t largest;
};

/* Switches it on and makes the first conversion, which takes twice as long as the others. */
void converter_start_up(void);

/* Analog indices are the converter's own channel numbers. */
static inline void converter_select(uint8_t analog_index)
{
    ADMUX = (1 << REFS0) | (analog_index & 7);
#ifdef MUX5 /* more than eight channels */
    ADCSRB = (analog_index & 8) != 0 ? 1 << MUX5 : 0;
#endif
}

#define CONVERTER_ON ((1 << ADEN) | (1 << ADPS2) | (1 << ADPS1) | (1 << ADPS0))

static inline void converter_start(void) { ADCSRA = CONVERTER_ON | (1 << ADSC); }
static inline bool converter_is_busy(void) { return (ADCSRA & (1 << ADSC)) != 0; }
static inline uint16_t converter_result(void) { return ADC; }

static inline void readings_clear(struct readings *readings)
{
    readings->sum = 0;
    readings->smallest = 0xFFFF;
    readings->largest = 0;
}

static inline void readings_add(struct readings *readings, uint16_t reading)
{
    readings->sum += reading;
    if (reading < readings->smallest)
        readings->smallest = reading;
    if (reading > readings->largest)
        readings->largest = reading;
}

/* Writes a LEVEL entry of LEVEL_ENTRY_BYTES. */
void readings_put(const struct readings *readings, uint8_t analog_index, uint8_t count, uint8_t *entry);

#endif
