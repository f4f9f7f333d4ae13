#include "program.h"

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "crc32.h"
#include "wire.h"

void program_clear(struct program *program)
{
    memset(program, 0, sizeof *program);
}

static uint8_t bits_set(uint32_t mask)
{
    uint8_t count = 0;

    for (; mask != 0; mask &= mask - 1)
        count++;
    return count;
}

/* Fields of one step, and END in its place. */
static enum refusal check_step(const uint8_t *step, bool last, uint8_t *levels)
{
    const uint8_t action = step[STEP_ACTION];
    const uint32_t mask = wire_get_u32(step + STEP_MASK);
    const uint8_t count = step[STEP_COUNT];

    switch (action) {
    case ACTION_END:
        if (mask != 0 || count != 0)
            return REFUSAL_FIELD;
        return last ? REFUSAL_NONE : REFUSAL_END;
    case ACTION_LINES:
        if (count != 0)
            return REFUSAL_FIELD;
        break;
    case ACTION_MEASURE:
        if (mask == 0 || (mask & ~(uint32_t)BOARD_ANALOG_MASK) != 0 || count == 0)
            return REFUSAL_FIELD;
        if (bits_set(mask) > BOARD_MAX_LEVELS - *levels)
            return REFUSAL_LEVEL_ROOM;
        *levels = (uint8_t)(*levels + bits_set(mask));
        break;
    default:
        return REFUSAL_FIELD;
    }
    return last ? REFUSAL_END : REFUSAL_NONE;
}

/* The shortest time from this step to the next one. */
static uint32_t spacing_after(const uint8_t *step)
{
    uint32_t measuring;

    if (step[STEP_ACTION] != ACTION_MEASURE)
        return STEP_SPACING;
    measuring = (uint32_t)step[STEP_COUNT] * bits_set(wire_get_u32(step + STEP_MASK)) * BOARD_SAMPLE_TICKS;
    return measuring > STEP_SPACING ? measuring : STEP_SPACING;
}

/* Switches from the lines in `before` to those in `on` at the instant `at`, and checks the limits of each. */
static enum refusal switch_lines(const struct limits *limits, uint32_t before, uint32_t on, uint32_t at,
                                 struct program_check *check)
{
    uint32_t declared = 0;

    for (uint8_t i = 0; i < limits->line_count; i++) {
        const struct line *line = &limits->lines[i];
        const uint32_t bit = pin_bit(line->pin);

        declared |= bit;
        if ((on & ~before & bit) != 0) {
            if ((check->lines_used & bit) == 0)
                check->first_on[line->pin] = at;
            else if (at - check->last_off[line->pin] < line->rest)
                return REFUSAL_REST;
            check->lines_used |= bit;
        }
        if ((before & ~on & bit) != 0)
            check->last_off[line->pin] = at;
    }
    if ((on & ~declared) != 0)
        return REFUSAL_UNDECLARED;
    return limits_clash(limits, on) ? REFUSAL_KEPT_APART : REFUSAL_NONE;
}

/* `since[pin]`: when a line of `on` was switched on. */
static bool any_on_too_long(const struct limits *limits, uint32_t on, uint32_t at, const uint32_t *since)
{
    for (uint8_t i = 0; i < limits->line_count; i++) {
        const struct line *line = &limits->lines[i];

        if ((on & pin_bit(line->pin)) != 0 && at - since[line->pin] > line->longest_on)
            return true;
    }
    return false;
}

static uint32_t longest_burst(const struct limits *limits)
{
    const uint32_t half_heartbeat_ms = limits->heartbeat_ms / 2;
    const uint32_t odd_half_ms = (limits->heartbeat_ms & 1) != 0 ? BOARD_TICKS_PER_MS / 2 : 0;

    if (half_heartbeat_ms >= BOARD_MAX_BURST_MS)
        return BOARD_MAX_BURST_MS * BOARD_TICKS_PER_MS;
    return half_heartbeat_ms * BOARD_TICKS_PER_MS + odd_half_ms;
}

void program_check(const struct program *program, uint8_t count, uint32_t digest, const struct limits *limits,
                   struct program_check *check)
{
    uint32_t earliest = FIRST_STEP_EARLIEST;
    uint32_t on = 0;
    uint32_t since[BOARD_LINE_PIN_END] = {0};
    uint8_t levels = 0;

    memset(check, 0, sizeof *check);
    if (crc32_finish(crc32_add(CRC32_START, program->steps[0], (uint16_t)count * STEP_BYTES)) != digest) {
        check->why = REFUSAL_DIGEST;
        return;
    }
    for (uint8_t i = 0; i < count; i++) {
        const uint8_t *step = program->steps[i];
        const uint32_t at = wire_get_u32(step + STEP_AT);

        check->step = i;
        check->why = at < earliest ? REFUSAL_ORDER : check_step(step, i + 1 == count, &levels);
        if (check->why != REFUSAL_NONE)
            return;
        if (at > longest_burst(limits)) {
            check->why = REFUSAL_TOO_LONG;
            return;
        }
        if (any_on_too_long(limits, on, at, since)) {
            check->why = REFUSAL_LONGEST_ON;
            return;
        }
        if (step[STEP_ACTION] != ACTION_MEASURE) {
            const uint32_t next_on = step[STEP_ACTION] == ACTION_LINES ? wire_get_u32(step + STEP_MASK) : 0;

            check->why = switch_lines(limits, on, next_on, at, check);
            if (check->why != REFUSAL_NONE)
                return;
            for (uint8_t pin = 0; pin < BOARD_LINE_PIN_END; pin++) {
                if ((next_on & ~on & pin_bit(pin)) != 0)
                    since[pin] = at;
            }
            on = next_on;
        }
        /* `at` is at most the longest burst, and a MEASURE at most 255 × 32 conversions: the sum stays in 32 bits. */
        earliest = at + spacing_after(step);
        check->planned = at;
    }
}
