/* The chip's ports as pins of the link protocol: byte n of a snapshot is port n of these tables. Each chip has its own ports.c. */
#ifndef PORTS_H
#define PORTS_H

#include <stdint.h>

#include "board.h"

/* Which pins of a port can do what: a bit each. */
struct port {
    volatile uint8_t *levels; /* PINx; DDRx and PORTx follow it in every port of these chips */
    uint8_t lines;
    uint8_t sensed;
    uint8_t analog;
    uint8_t stops;
    uint8_t fine; /* hardware can stamp their changes */
    uint8_t crossing; /* hardware can stamp crossings of a reference voltage at them */
    uint8_t selects; /* in ports of pins below 32 only, as masks of pins have no more bits */
};

/* Both in flash. */
extern const struct port ports[BOARD_SNAPSHOT_BYTES];
extern const char pin_names[BOARD_PINS][BOARD_PIN_NAME_ROOM]; /* as printed on the board; short ones end with 0 */

#endif
