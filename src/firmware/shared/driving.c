/* Limits, select pins, programs and runs: sections 7 and 8 of the link protocol. */
#include <string.h>

#include "hal.h"
#include "session.h"
#include "wire.h"

/* Offsets of fields in request bodies. */
enum { LOAD_FIRST = 4, LOAD_COUNT = 5, LOAD_STEPS = 6 };
enum { SELECT_HIGH = 4 };
enum { FINE_PIN = 4, FINE_LEVEL = 5 };
enum { RUN_NUMBER = 4, RUN_STEPS = 8, RUN_DIGEST = 9 };

static uint8_t capabilities_of(uint8_t pin)
{
    uint8_t capabilities = 0;
    uint8_t name[BOARD_PIN_NAME_ROOM];

    if (pin < BOARD_PINS)
        hal_pin(pin, &capabilities, name);
    return capabilities;
}

enum result session_limits(struct session *session, struct exchange *exchange)
{
    const uint8_t capabilities = capabilities_of(exchange->body[0]);
    uint8_t offset = 0;
    enum result result;

    switch (exchange->type) {
    case REQUEST_LINE:
        result = limits_put_line(&session->limits, exchange->body, capabilities, &offset);
        break;
    case REQUEST_STOP:
        result = limits_put_stop(&session->limits, exchange->body, capabilities, &offset);
        break;
    case REQUEST_SELECTS:
        result = limits_put_selects(&session->limits, wire_get_u32(exchange->body), &offset);
        break;
    default: {
        const uint32_t heartbeat_ms = wire_get_u32(exchange->body);

        if (heartbeat_ms < HEARTBEAT_SHORTEST_MS || heartbeat_ms > HEARTBEAT_LONGEST_MS)
            return refuse_value(exchange, 0);
        session->limits.heartbeat_ms = heartbeat_ms;
        return RESULT_OK;
    }
    }
    return result == RESULT_BAD_VALUE ? refuse_value(exchange, offset) : result;
}

enum result session_select(struct session *session, struct exchange *exchange)
{
    const uint32_t high = wire_get_u32(exchange->body + SELECT_HIGH);
    const enum result nonce = session_check_nonce(session, exchange);

    if (nonce != RESULT_OK)
        return nonce;
    if ((high & ~session->limits.selects) != 0)
        return refuse_value(exchange, SELECT_HIGH);
    hal_select(session->limits.selects, high);
    return RESULT_OK;
}

enum result session_fine(struct session *session, struct exchange *exchange)
{
    const uint8_t pin = exchange->body[FINE_PIN];
    const uint8_t level = exchange->body[FINE_LEVEL];
    const enum result nonce = session_check_nonce(session, exchange);

    if (nonce != RESULT_OK)
        return nonce;
    if (pin != NO_PIN && (capabilities_of(pin) & (PIN_FINE | PIN_CROSSING)) == 0)
        return refuse_value(exchange, FINE_PIN);
    if (level > 1)
        return refuse_value(exchange, FINE_LEVEL);
    session->fine_pin = pin;
    session->fine_level = level;
    return RESULT_OK;
}

enum result session_load(struct session *session, struct exchange *exchange)
{
    const uint8_t first = exchange->body[LOAD_FIRST];
    const uint8_t count = exchange->body[LOAD_COUNT];
    const enum result nonce = session_check_nonce(session, exchange);

    if (nonce != RESULT_OK)
        return nonce;
    if (first >= BOARD_MAX_STEPS)
        return refuse_value(exchange, LOAD_FIRST);
    if (count == 0 || count > BOARD_MAX_STEPS - first)
        return refuse_value(exchange, LOAD_COUNT);
    if (exchange->length != (uint16_t)LOAD_STEPS + (uint16_t)count * STEP_BYTES)
        return RESULT_BAD_LENGTH;
    memcpy(session->program.steps[first], exchange->body + LOAD_STEPS, (size_t)count * STEP_BYTES);
    return RESULT_OK;
}

/* The first line of the program that would not get its rest since an earlier burst. */
static enum result check_rests(const struct session *session, const struct program_check *check, struct exchange *exchange)
{
    for (uint8_t i = 0; i < session->limits.line_count; i++) {
        const struct line *line = &session->limits.lines[i];
        const uint32_t idle_for = session->rests.idle_for[line->pin];

        if ((check->lines_used & pin_bit(line->pin)) == 0 || idle_for >= line->rest)
            continue;
        /* The line goes on resting until the program switches it on. */
        if (line->rest - idle_for <= check->first_on[line->pin])
            continue;
        exchange->reply[0] = line->pin;
        wire_put_u32(exchange->reply + 1, line->rest - idle_for);
        exchange->reply_length = 5;
        return RESULT_RESTING;
    }
    return RESULT_OK;
}

/* A pin with CROSSING is stamped while the converter is off: the first MEASURE of the program, or NO_MEASURE. */
#define NO_MEASURE 0xFF
static uint8_t measure_in_the_way(const struct session *session, uint8_t steps)
{
    if (session->fine_pin == NO_PIN || (capabilities_of(session->fine_pin) & PIN_CROSSING) == 0)
        return NO_MEASURE;
    for (uint8_t i = 0; i < steps; i++) {
        if (session->program.steps[i][STEP_ACTION] == ACTION_MEASURE)
            return i;
    }
    return NO_MEASURE;
}

enum result session_accept_run(struct session *session, struct exchange *exchange, struct program_check *check)
{
    const uint32_t run_number = wire_get_u32(exchange->body + RUN_NUMBER);
    const uint8_t steps = exchange->body[RUN_STEPS];
    uint8_t snapshot[BOARD_SNAPSHOT_BYTES];
    enum result result = session_check_nonce(session, exchange);

    if (result != RESULT_OK)
        return result;
    if (run_number == 0)
        return refuse_value(exchange, RUN_NUMBER);
    /* Not only the last one: a recorded RUN of this arming must not run again after others have run. */
    if (run_number <= session->capture.run_number)
        return RESULT_ALREADY_RUN;
    if (steps == 0 || steps > BOARD_MAX_STEPS)
        return refuse_value(exchange, RUN_STEPS);

    program_check(&session->program, steps, wire_get_u32(exchange->body + RUN_DIGEST), &session->limits, check);
    if (check->why == REFUSAL_NONE) {
        const uint8_t measure = measure_in_the_way(session, steps);

        if (measure != NO_MEASURE) {
            check->step = measure;
            check->why = REFUSAL_CROSSING;
        }
    }
    if (check->why != REFUSAL_NONE) {
        exchange->reply[0] = check->step;
        exchange->reply[1] = (uint8_t)check->why;
        exchange->reply_length = 2;
        return RESULT_PROGRAM_REFUSED;
    }
    hal_snapshot(snapshot);
    exchange->reply[0] = limits_active_stop(&session->limits, check->lines_used, snapshot);
    if (exchange->reply[0] != NO_PIN) {
        exchange->reply_length = 1;
        return RESULT_STOP_ACTIVE;
    }
    result = check_rests(session, check, exchange);
    if (result != RESULT_OK)
        return result;

    session->capture.run_number = run_number;
    wire_put_u32(exchange->reply, check->planned);
    exchange->reply_length = 4;
    return RESULT_OK;
}

void session_burst(struct session *session, const struct program_check *check)
{
    struct capture *capture = &session->capture;
    struct burst burst;
    uint8_t *done = session->frame + 2;

    hal_send_finish();
    session_tick(session);
    burst.program = &session->program;
    burst.limits = &session->limits;
    burst.lines = limits_lines(&session->limits);
    burst.idle_levels = limits_idle_levels(&session->limits);
    burst.lines_used = check->lines_used;
    /* One burst for each FINE. */
    burst.fine_level = session->fine_level;
    capture->fine_pin = session->fine_pin;
    session->fine_pin = NO_PIN;
    hal_burst(&burst, capture);

    /* The burst set the timer to 0: what follows is counted from its end. */
    rests_elapse(&session->rests, capture->end);
    for (uint8_t pin = 0; pin < BOARD_LINE_PIN_END; pin++) {
        if ((check->lines_used & pin_bit(pin)) == 0 || check->first_on[pin] >= capture->end)
            continue;
        /* A burst that ended early switched everything off at its end. */
        session->rests.idle_for[pin] = check->last_off[pin] < capture->end ? capture->end - check->last_off[pin] : 0;
    }
    session->last_ticks = capture->end;
    if (capture->outcome == OUTCOME_HOST_BYTE)
        frame_discard(&session->receiver);

    session_send_notice(session, NOTICE_DONE, session_put_done(session, done));
}

uint8_t session_put_done(const struct session *session, uint8_t *body)
{
    const struct capture *capture = &session->capture;

    wire_put_u32(body, capture->run_number);
    body[4] = capture->outcome;
    body[5] = capture->pin;
    wire_put_u32(body + 6, capture->end);
    wire_put_u16(body + 10, capture->change_count);
    body[12] = capture->level_count;
    body[13] = capture->gap_count;
    memcpy(body + 14, capture->snapshot, BOARD_SNAPSHOT_BYTES);
    return DONE_BODY_BYTES;
}
