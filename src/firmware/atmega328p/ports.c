#include "ports.h"

#include <avr/io.h>
#include <avr/pgmspace.h>

#include "chip.h"

/* A6 and A7 lead to the converter alone, and only on boards with the chip's flat package. */
const struct port ports[BOARD_SNAPSHOT_BYTES] PROGMEM = {
    {.levels = &PIND, .lines = PORT_D_SENSED, .sensed = PORT_D_SENSED, .selects = PORT_D_SENSED},
    {.levels = &PINB, .lines = 0x03, .sensed = 0x3F, .stops = 0x3C, .selects = 0x1F, .fine = 0x01}, /* D13 has the board's lamp */
    {.levels = &PINC, .sensed = 0x3F, .analog = 0xFF, .crossing = 0x3F},
};

/* X1 and X2 are the crystal's: nobody can use them, but a snapshot has their bits. */
const char pin_names[BOARD_PINS][BOARD_PIN_NAME_ROOM] PROGMEM = {
    "D0", "D1", "D2",  "D3",  "D4",  "D5",  "D6", "D7", /* D */
    "D8", "D9", "D10", "D11", "D12", "D13", "X1", "X2", /* B */
    "A0", "A1", "A2",  "A3",  "A4",  "A5",  "A6", "A7", /* C */
};
