#include "converter.h"

#include <avr/wdt.h>

#include "hal.h"
#include "wire.h"

void converter_start_up(void)
{
    converter_select(0);
    converter_start();
    while (converter_is_busy())
        ;
}

void readings_put(const struct readings *readings, uint8_t analog_index, uint8_t count, uint8_t *entry)
{
    entry[0] = analog_index;
    entry[1] = count;
    wire_put_u32(entry + 2, readings->sum);
    wire_put_u16(entry + 6, readings->smallest);
    wire_put_u16(entry + 8, readings->largest);
    wire_put_u16(entry + 10, 0);
}

void hal_level(uint8_t analog_index, uint8_t samples, uint8_t *entry)
{
    struct readings readings;

    wdt_reset();
    converter_select(analog_index);
    readings_clear(&readings);
    for (uint8_t i = 0; i < samples; i++) {
        converter_start();
        while (converter_is_busy())
            ;
        readings_add(&readings, converter_result());
    }
    readings_put(&readings, analog_index, samples, entry);
}
