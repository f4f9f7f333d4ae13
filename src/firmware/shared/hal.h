/* What a board gives to the shared source. Each board implements these functions; host-side tests implement them by a fake.
   All instants and durations are in ticks of the board's timer. Pins, masks and snapshots are those of section 5 of the link protocol. */
#ifndef HAL_H
#define HAL_H

#include <stdbool.h>
#include <stdint.h>

#include "board.h"
#include "capture.h"
#include "limits.h"
#include "program.h"

/* The board's timer, 32 bits, going round. A burst sets it to 0. */
uint32_t hal_ticks(void);

/* Sends one byte to the host; waits while the transmitter is full. */
void hal_send(uint8_t byte);

/* Waits until the last byte has left the wire. */
void hal_send_finish(void);

/* Bytes that were lost because they came faster than they were taken. */
uint32_t hal_receive_overruns(void);

/* Capabilities and name of a pin; `name` has room for BOARD_PIN_NAME_ROOM bytes. Returns the name's length. */
uint8_t hal_pin(uint8_t pin, uint8_t *capabilities, uint8_t *name);

/* Levels of all SENSE pins now. */
void hal_snapshot(uint8_t snapshot[BOARD_SNAPSHOT_BYTES]);

/* Makes each line in `lines` an output at its idle level (bit of `idle_levels`, 1 = high); the level is set before the direction. */
void hal_drive_idle(uint32_t lines, uint32_t idle_levels);

/* Makes each pin in `selects` an output, high or low (bit of `high`); touches no other pin, and a burst does not touch these. */
void hal_select(uint32_t selects, uint32_t high);

/* Makes every LINE and every SELECT pin an input without pull-up. */
void hal_release_lines(void);

/* Reads one analog pin `samples` times and writes a LEVEL entry of LEVEL_ENTRY_BYTES. */
void hal_level(uint8_t analog_index, uint8_t samples, uint8_t *entry);

/* Lead check of one pin: low for BOARD_DISCHARGE_TICKS, released, looked at, pulled up, looked at again; ends as an input without pull-up. */
void hal_lead(uint8_t pin, uint8_t *after_discharge, uint8_t *after_pullup);

/* A few bits that differ from one call to the next; mixed into nonces. */
uint32_t hal_entropy(void);

/* Name of the board; returns its length, at most BOARD_NAME_ROOM. */
uint8_t hal_board_name(uint8_t *name);

/* Runs a checked program. Returns when every line is idle again, with the capture complete (run number and fine_pin excepted; `fine` and `fine_bytes` are
   filled in when there is one). */
struct burst {
    const struct program *program;
    const struct limits *limits;
    uint32_t lines;         /* every declared line: an output, idle now */
    uint32_t idle_levels;   /* of these lines */
    uint32_t lines_used;    /* lines that the program switches on */
    uint8_t fine_level;     /* that the capture's fine_pin, if it has one, changes to */
};
void hal_burst(const struct burst *burst, struct capture *capture);

#endif
