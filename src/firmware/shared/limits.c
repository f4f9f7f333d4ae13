#include "limits.h"

#include <stddef.h>
#include <string.h>

#include "crc32.h"
#include "wire.h"

/* Offsets of fields in the bodies of LINE and STOP. */
enum { LINE_PIN = 0, LINE_IDLE = 1, LINE_LONGEST_ON = 2, LINE_REST = 6, LINE_APART = 10 };
enum { STOP_PIN = 0, STOP_LEVEL = 1, STOP_FORBIDS = 2 };

void limits_clear(struct limits *limits)
{
    memset(limits, 0, sizeof *limits);
}

/* The bit of a pin of any number in masks of pins: 0 for one that has none. */
static uint32_t mask_bit(uint8_t pin)
{
    return pin < 32 ? pin_bit(pin) : 0;
}

static enum result bad_value(uint8_t *offset, uint8_t field)
{
    *offset = field;
    return RESULT_BAD_VALUE;
}

enum result limits_put_line(struct limits *limits, const uint8_t body[LINE_BODY_BYTES], uint8_t capabilities, uint8_t *offset)
{
    const uint8_t pin = body[LINE_PIN];
    const uint32_t apart = wire_get_u32(body + LINE_APART);
    uint8_t at = 0;
    struct line *line;

    if (!(capabilities & PIN_LINE) || (limits->selects & pin_bit(pin)) != 0)
        return bad_value(offset, LINE_PIN);
    if (body[LINE_IDLE] > 1)
        return bad_value(offset, LINE_IDLE);
    if ((apart & (pin_bit(pin) | limits->selects)) != 0 || (apart & ~(uint32_t)BOARD_LINE_PINS) != 0)
        return bad_value(offset, LINE_APART);

    while (at < limits->line_count && limits->lines[at].pin < pin)
        at++;
    line = &limits->lines[at];
    if (at == limits->line_count || line->pin != pin) {
        if (limits->line_count == BOARD_MAX_LINES)
            return RESULT_NO_ROOM;
        memmove(line + 1, line, (size_t)(limits->line_count - at) * sizeof *line);
        limits->line_count++;
    }
    line->pin = pin;
    line->idle_level = body[LINE_IDLE];
    line->longest_on = wire_get_u32(body + LINE_LONGEST_ON);
    line->rest = wire_get_u32(body + LINE_REST);
    line->apart = apart;
    return RESULT_OK;
}

enum result limits_put_stop(struct limits *limits, const uint8_t body[STOP_BODY_BYTES], uint8_t capabilities, uint8_t *offset)
{
    const uint8_t pin = body[STOP_PIN];
    const uint32_t forbids = wire_get_u32(body + STOP_FORBIDS);
    uint8_t at = 0;
    struct stop *stop;

    if (!(capabilities & PIN_STOP) || (limits->selects & mask_bit(pin)) != 0)
        return bad_value(offset, STOP_PIN);
    if (body[STOP_LEVEL] > 1)
        return bad_value(offset, STOP_LEVEL);
    if ((forbids & (~(uint32_t)BOARD_LINE_PINS | limits->selects)) != 0)
        return bad_value(offset, STOP_FORBIDS);

    while (at < limits->stop_count && limits->stops[at].pin < pin)
        at++;
    stop = &limits->stops[at];
    if (at == limits->stop_count || stop->pin != pin) {
        if (limits->stop_count == BOARD_MAX_STOPS)
            return RESULT_NO_ROOM;
        memmove(stop + 1, stop, (size_t)(limits->stop_count - at) * sizeof *stop);
        limits->stop_count++;
    }
    stop->pin = pin;
    stop->stopping_level = body[STOP_LEVEL];
    stop->forbids = forbids;
    return RESULT_OK;
}

enum result limits_put_selects(struct limits *limits, uint32_t selects, uint8_t *offset)
{
    uint32_t taken = ~(uint32_t)BOARD_SELECT_PINS;

    /* A pin is a line, a stop or a select pin, only one of them, in whichever order they are said: limits_put_line and limits_put_stop refuse the other
       way round. */
    for (uint8_t i = 0; i < limits->line_count; i++)
        taken |= pin_bit(limits->lines[i].pin) | limits->lines[i].apart;
    for (uint8_t i = 0; i < limits->stop_count; i++)
        taken |= mask_bit(limits->stops[i].pin) | limits->stops[i].forbids;
    if ((selects & taken) != 0)
        return bad_value(offset, 0);
    limits->selects = selects;
    return RESULT_OK;
}

uint32_t limits_digest(const struct limits *limits)
{
    uint8_t body[LINE_BODY_BYTES];
    uint32_t running = CRC32_START;

    for (uint8_t i = 0; i < limits->line_count; i++) {
        const struct line *line = &limits->lines[i];

        body[LINE_PIN] = line->pin;
        body[LINE_IDLE] = line->idle_level;
        wire_put_u32(body + LINE_LONGEST_ON, line->longest_on);
        wire_put_u32(body + LINE_REST, line->rest);
        wire_put_u32(body + LINE_APART, line->apart);
        running = crc32_add(running, body, LINE_BODY_BYTES);
    }
    for (uint8_t i = 0; i < limits->stop_count; i++) {
        const struct stop *stop = &limits->stops[i];

        body[STOP_PIN] = stop->pin;
        body[STOP_LEVEL] = stop->stopping_level;
        wire_put_u32(body + STOP_FORBIDS, stop->forbids);
        running = crc32_add(running, body, STOP_BODY_BYTES);
    }
    wire_put_u32(body, limits->heartbeat_ms);
    running = crc32_add(running, body, 4);
    /* Left out when there are none: a table without select pins has the digest that version 1.0 gives it. */
    if (limits->selects != 0) {
        wire_put_u32(body, limits->selects);
        running = crc32_add(running, body, 4);
    }
    return crc32_finish(running);
}

const struct line *limits_line(const struct limits *limits, uint8_t pin)
{
    for (uint8_t i = 0; i < limits->line_count; i++) {
        if (limits->lines[i].pin == pin)
            return &limits->lines[i];
    }
    return NULL;
}

bool limits_selects(const struct limits *limits, uint8_t pin)
{
    return (limits->selects & mask_bit(pin)) != 0;
}

uint32_t limits_lines(const struct limits *limits)
{
    uint32_t lines = 0;

    for (uint8_t i = 0; i < limits->line_count; i++)
        lines |= pin_bit(limits->lines[i].pin);
    return lines;
}

uint32_t limits_idle_levels(const struct limits *limits)
{
    uint32_t levels = 0;

    for (uint8_t i = 0; i < limits->line_count; i++) {
        if (limits->lines[i].idle_level != 0)
            levels |= pin_bit(limits->lines[i].pin);
    }
    return levels;
}

bool limits_clash(const struct limits *limits, uint32_t on)
{
    /* A pair clashes when either of the two named the other, and both are on: going through all lines that are on
       meets each pair from both sides. */
    for (uint8_t i = 0; i < limits->line_count; i++) {
        if ((on & pin_bit(limits->lines[i].pin)) != 0 && (on & limits->lines[i].apart) != 0)
            return true;
    }
    return false;
}

uint8_t limits_active_stop(const struct limits *limits, uint32_t lines, const uint8_t snapshot[BOARD_SNAPSHOT_BYTES])
{
    for (uint8_t i = 0; i < limits->stop_count; i++) {
        const struct stop *stop = &limits->stops[i];
        const uint8_t level = (snapshot[stop->pin >> 3] >> (stop->pin & 7)) & 1;

        if (level == stop->stopping_level && (stop->forbids & lines) != 0)
            return stop->pin;
    }
    return NO_PIN;
}

void rests_start(struct rests *rests, uint32_t idle_for)
{
    for (uint8_t pin = 0; pin < BOARD_LINE_PIN_END; pin++)
        rests->idle_for[pin] = idle_for;
}

void rests_elapse(struct rests *rests, uint32_t ticks)
{
    for (uint8_t pin = 0; pin < BOARD_LINE_PIN_END; pin++) {
        uint32_t *idle_for = &rests->idle_for[pin];

        *idle_for = *idle_for > RESTED_FOR_LONG - ticks ? RESTED_FOR_LONG : *idle_for + ticks;
    }
}
