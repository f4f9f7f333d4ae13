/* What one burst left behind. Records are kept as they stand on the wire (section 9 of the link protocol). */
#ifndef CAPTURE_H
#define CAPTURE_H

#include <stdint.h>

#include "board.h"
#include "protocol.h"

#define CHANGE_RECORD_BYTES (4 + BOARD_SNAPSHOT_BYTES)
#define DONE_BODY_BYTES (14 + BOARD_SNAPSHOT_BYTES)

struct capture {
    /* One more than a host may read: its stamp is the first change for which there was no room. */
    uint8_t changes[BOARD_MAX_CHANGES + 1][CHANGE_RECORD_BYTES];
    uint8_t levels[BOARD_MAX_LEVELS][LEVEL_RECORD_BYTES];
    uint8_t gaps[BOARD_MAX_GAPS][GAP_RECORD_BYTES];
    uint8_t fine[CROSSING_RECORD_BYTES]; /* there when fine_pin is not NO_PIN */
    uint8_t fine_bytes;  /* of them */
    uint8_t fine_pin;    /* whose change was to be stamped by hardware, or NO_PIN */
    uint32_t run_number; /* 0: nothing was run since the reset */
    uint32_t end;        /* ticks from the burst's start to all lines idle */
    uint16_t change_count;
    uint8_t level_count;
    uint8_t gap_count;
    uint8_t outcome; /* OUTCOME_... */
    uint8_t pin;     /* the stop input that ended the burst, or NO_PIN */
    uint8_t snapshot[BOARD_SNAPSHOT_BYTES]; /* after the end */
};

/* A program can hold BOARD_MAX_STEPS - 1 MEASURE steps, each with at least one level and a gap, and the room for changes can end once. */
#if BOARD_MAX_GAPS < BOARD_MAX_STEPS && BOARD_MAX_GAPS < BOARD_MAX_LEVELS + 1
#error "BOARD_MAX_GAPS must not be smaller than BOARD_MAX_STEPS or than BOARD_MAX_LEVELS + 1, whichever is the smaller"
#endif

#endif
