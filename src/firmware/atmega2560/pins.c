/* Pins: names, levels, lines, lead checks. Snapshot bytes are ports A, B, C, F, K, L. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <avr/wdt.h>
#include <string.h>
#include <util/delay.h>

#include "hal.h"

#define TICKS_TO_US(ticks) ((ticks) / 16.0)

struct port {
    volatile uint8_t *levels; /* PINx; DDRx and PORTx follow it in every port of this chip */
    uint8_t capabilities;
    char letter;
    uint8_t numbers[8]; /* behind the letter in the pins' names */
};

static const struct port ports[BOARD_SNAPSHOT_BYTES] PROGMEM = {
    {&PINA, PIN_LINE | PIN_SENSE, 'D', {22, 23, 24, 25, 26, 27, 28, 29}},
    {&PINB, PIN_SENSE, 'D', {53, 52, 51, 50, 10, 11, 12, 13}},
    {&PINC, PIN_SENSE, 'D', {37, 36, 35, 34, 33, 32, 31, 30}},
    {&PINF, PIN_SENSE | PIN_ANALOG, 'A', {0, 1, 2, 3, 4, 5, 6, 7}},
    {&PINK, PIN_SENSE | PIN_ANALOG, 'A', {8, 9, 10, 11, 12, 13, 14, 15}},
    {&PINL, PIN_SENSE | PIN_STOP, 'D', {49, 48, 47, 46, 45, 44, 43, 42}},
};

uint8_t hal_pin(uint8_t pin, uint8_t *capabilities, uint8_t *name)
{
    struct port port;
    uint8_t number;
    uint8_t length = 0;

    memcpy_P(&port, &ports[pin >> 3], sizeof port);
    number = port.numbers[pin & 7];
    *capabilities = port.capabilities;
    name[length++] = (uint8_t)port.letter;
    if (number >= 10)
        name[length++] = (uint8_t)('0' + number / 10);
    name[length++] = (uint8_t)('0' + number % 10);
    return length;
}

uint8_t hal_board_name(uint8_t *name)
{
    memcpy_P(name, PSTR(BOARD_NAME), sizeof BOARD_NAME - 1);
    return sizeof BOARD_NAME - 1;
}

void hal_snapshot(uint8_t snapshot[BOARD_SNAPSHOT_BYTES])
{
    snapshot[0] = PINA;
    snapshot[1] = PINB;
    snapshot[2] = PINC;
    snapshot[3] = PINF;
    snapshot[4] = PINK;
    snapshot[5] = PINL;
}

void hal_drive_idle(uint32_t lines, uint32_t idle_levels)
{
    PORTA = (uint8_t)idle_levels;
    DDRA = (uint8_t)lines;
}

void hal_release_lines(void)
{
    DDRA = 0;
    PORTA = 0;
}

void hal_lead(uint8_t pin, uint8_t *after_discharge, uint8_t *after_pullup)
{
    volatile uint8_t *const levels = (volatile uint8_t *)pgm_read_word(&ports[pin >> 3].levels);
    volatile uint8_t *const direction = levels + 1;
    volatile uint8_t *const drive = levels + 2;
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
