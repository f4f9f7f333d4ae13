#include "ports.h"

#include <avr/io.h>
#include <avr/pgmspace.h>

const struct port ports[BOARD_SNAPSHOT_BYTES] PROGMEM = {
    {.levels = &PINA, .lines = 0xFF, .sensed = 0xFF, .selects = 0xFF},
    {.levels = &PINB, .sensed = 0xFF, .selects = 0x7F}, /* D13 has the board's lamp */
    {.levels = &PINC, .sensed = 0xFF, .selects = 0xFF},
    {.levels = &PINF, .sensed = 0xFF, .analog = 0xFF},
    {.levels = &PINK, .sensed = 0xFF, .analog = 0xFF},
    {.levels = &PINL, .sensed = 0xFF, .stops = 0xFF},
};

const char pin_names[BOARD_PINS][BOARD_PIN_NAME_ROOM] PROGMEM = {
    "D22", "D23", "D24", "D25", "D26", "D27", "D28", "D29", /* A */
    "D53", "D52", "D51", "D50", "D10", "D11", "D12", "D13", /* B */
    "D37", "D36", "D35", "D34", "D33", "D32", "D31", "D30", /* C */
    "A0",  "A1",  "A2",  "A3",  "A4",  "A5",  "A6",  "A7",  /* F */
    "A8",  "A9",  "A10", "A11", "A12", "A13", "A14", "A15", /* K */
    "D49", "D48", "D47", "D46", "D45", "D44", "D43", "D42", /* L */
};
