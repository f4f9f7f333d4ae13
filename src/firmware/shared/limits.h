/* The limits that the host declares before arming, and how long each line has rested. Pure logic. */
#ifndef LIMITS_H
#define LIMITS_H

#include <stdbool.h>
#include <stdint.h>

#include "board.h"
#include "protocol.h"

struct line {
    uint8_t pin;
    uint8_t idle_level;  /* 0 or 1 */
    uint32_t longest_on; /* ticks */
    uint32_t rest;       /* ticks between switching off and switching on again */
    uint32_t apart;      /* lines that must not be on together with this one, as the host named them */
};

struct stop {
    uint8_t pin;
    uint8_t stopping_level; /* 0 or 1 */
    uint32_t forbids;       /* lines that must not be switched on while this input is in its stopping state */
};

struct limits {
    struct line lines[BOARD_MAX_LINES]; /* ascending pins */
    struct stop stops[BOARD_MAX_STOPS]; /* ascending pins */
    uint8_t line_count;
    uint8_t stop_count;
    uint32_t heartbeat_ms; /* 0: never sent */
    uint32_t selects;      /* select pins: SELECT pins that are no line and no stop, and that no line or stop names */
};

/* Ticks since each line pin was last on, counted up to `RESTED_FOR_LONG`. Kept apart from the limits: clearing them must not
   make a hot motor look rested. */
#define RESTED_FOR_LONG 0xFFFFFFFFUL
struct rests {
    uint32_t idle_for[BOARD_LINE_PIN_END];
};

void limits_clear(struct limits *limits);

/* Declare, or replace. Return RESULT_OK, RESULT_NO_ROOM, or RESULT_BAD_VALUE with the offset of the field in the body. */
enum result limits_put_line(struct limits *limits, const uint8_t body[LINE_BODY_BYTES], uint8_t capabilities, uint8_t *offset);
enum result limits_put_stop(struct limits *limits, const uint8_t body[STOP_BODY_BYTES], uint8_t capabilities, uint8_t *offset);
enum result limits_put_selects(struct limits *limits, uint32_t selects, uint8_t *offset);

/* CRC-32 over the whole table, in the order of section 7. */
uint32_t limits_digest(const struct limits *limits);

/* The line with this pin, or NULL when it was not declared. */
const struct line *limits_line(const struct limits *limits, uint8_t pin);

/* True when this pin, of any number, is a select pin. */
bool limits_selects(const struct limits *limits, uint8_t pin);

/* Masks over all declared lines. */
uint32_t limits_lines(const struct limits *limits);
uint32_t limits_idle_levels(const struct limits *limits);

/* True when two lines of `on` are kept apart, whichever of them named the other. */
bool limits_clash(const struct limits *limits, uint32_t on);

/* The first stop input that is in its stopping state and forbids a line of `lines`; NO_PIN when there is none. */
uint8_t limits_active_stop(const struct limits *limits, uint32_t lines, const uint8_t snapshot[BOARD_SNAPSHOT_BYTES]);

/* `idle_for`: ticks that every line has rested at the start, RESTED_FOR_LONG or 0. */
void rests_start(struct rests *rests, uint32_t idle_for);
void rests_elapse(struct rests *rests, uint32_t ticks);

static inline uint32_t pin_bit(uint8_t pin)
{
    return (uint32_t)1 << pin;
}

#endif
