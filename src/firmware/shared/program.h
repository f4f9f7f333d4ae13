/* A program of steps and the check that it keeps within all limits. Pure logic. */
#ifndef PROGRAM_H
#define PROGRAM_H

#include <stdint.h>

#include "board.h"
#include "limits.h"
#include "protocol.h"

/* Steps stay in their wire form: the digest is taken over it, and the burst reads it as it is. */
struct program {
    uint8_t steps[BOARD_MAX_STEPS][STEP_BYTES];
};

struct program_check {
    enum refusal why; /* REFUSAL_NONE: the program may run */
    uint8_t step;     /* where it would break a limit; 0 when the digest differs */
    uint32_t planned; /* ticks from the burst's start to END */
    uint32_t lines_used;
    uint32_t first_on[BOARD_LINE_PIN_END]; /* ticks; of lines used */
    uint32_t last_off[BOARD_LINE_PIN_END]; /* ticks; of lines used */
};

void program_clear(struct program *program);

/* Checks steps 0..count-1 against the limits; `count` is 1..BOARD_MAX_STEPS. */
void program_check(const struct program *program, uint8_t count, uint32_t digest, const struct limits *limits,
                   struct program_check *check);

#endif
