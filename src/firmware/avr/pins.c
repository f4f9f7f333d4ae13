/* Pins: names, levels, lines, lead checks. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <avr/wdt.h>
#include <string.h>
#include <util/delay.h>

#include "chip.h"
#include "hal.h"
#include "ports.h"

/* DDRx and PORTx behind PINx, in every port of these chips. */
#define DIRECTION_OFFSET 1
#define PORT_OFFSET 2

#define TICKS_TO_US(ticks) ((ticks) / 16.0)

static struct port port_of(uint8_t byte)
{
    struct port port;

    memcpy_P(&port, &ports[byte], sizeof port);
    return port;
}

uint8_t hal_pin(uint8_t pin, uint8_t *capabilities, uint8_t *name)
{
    const struct port port = port_of(pin >> 3);
    const uint8_t bit = (uint8_t)(1 << (pin & 7));

    *capabilities = (uint8_t)(((port.lines & bit) != 0 ? PIN_LINE : 0) | ((port.sensed & bit) != 0 ? PIN_SENSE : 0) |
                              ((port.analog & bit) != 0 ? PIN_ANALOG : 0) | ((port.stops & bit) != 0 ? PIN_STOP : 0) |
                              ((port.selects & bit) != 0 ? PIN_SELECT : 0) |
                              ((port.fine & bit) != 0 ? PIN_FINE : 0) | ((port.crossing & bit) != 0 ? PIN_CROSSING : 0));
    memcpy_P(name, pin_names[pin], BOARD_PIN_NAME_ROOM);
    return (uint8_t)strnlen((const char *)name, BOARD_PIN_NAME_ROOM);
}

uint8_t hal_board_name(uint8_t *name)
{
    memcpy_P(name, PSTR(BOARD_NAME), sizeof BOARD_NAME - 1);
    return sizeof BOARD_NAME - 1;
}

void hal_snapshot(uint8_t snapshot[BOARD_SNAPSHOT_BYTES])
{
    for (uint8_t i = 0; i < BOARD_SNAPSHOT_BYTES; i++) {
        const struct port port = port_of(i);

        snapshot[i] = *port.levels & port.sensed;
    }
}

/* Lines only grow in number between two releases, so what is none of them keeps its state. */
void hal_drive_idle(uint32_t lines, uint32_t idle_levels)
{
    lines_drive((uint16_t)((lines_levels() & ~lines) | idle_levels));
    lines_make_outputs((uint16_t)lines);
}

/* One port after the other: where select pins are on two, a multiplexer passes a third input for some microseconds in between. */
void hal_select(uint32_t selects, uint32_t high)
{
    for (uint8_t i = 0; selects != 0; i++, selects >>= 8, high >>= 8) {
        const uint8_t pins = (uint8_t)selects;
        volatile uint8_t *const levels = port_of(i).levels;

        if (pins == 0)
            continue;
        levels[PORT_OFFSET] = (uint8_t)((levels[PORT_OFFSET] & ~pins) | (high & pins));
        levels[DIRECTION_OFFSET] |= pins;
    }
}

void hal_release_lines(void)
{
    for (uint8_t i = 0; i < BOARD_SNAPSHOT_BYTES; i++) {
        const struct port port = port_of(i);
        const uint8_t outputs = port.lines | port.selects;

        port.levels[DIRECTION_OFFSET] &= (uint8_t)~outputs;
        port.levels[PORT_OFFSET] &= (uint8_t)~outputs;
    }
}

void hal_lead(uint8_t pin, uint8_t *after_discharge, uint8_t *after_pullup)
{
    volatile uint8_t *const levels = port_of(pin >> 3).levels;
    volatile uint8_t *const direction = levels + DIRECTION_OFFSET;
    volatile uint8_t *const drive = levels + PORT_OFFSET;
    const uint8_t bit = (uint8_t)(1 << (pin & 7));

    wdt_reset();
    *drive &= (uint8_t)~bit;
    *direction |= bit;
    _delay_us(TICKS_TO_US(BOARD_DISCHARGE_TICKS));
    *direction &= (uint8_t)~bit;
    _delay_us(TICKS_TO_US(BOARD_RELEASE_TICKS));
    *after_discharge = (*levels & bit) != 0;
    *drive |= bit;
    _delay_us(TICKS_TO_US(BOARD_PULLUP_TICKS));
    *after_pullup = (*levels & bit) != 0;
    *drive &= (uint8_t)~bit;
}
