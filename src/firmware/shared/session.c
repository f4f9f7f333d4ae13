/* Dispatch: frames to the files that answer them; heartbeat and notices. */
#include "session.h"

#include <string.h>

#include "hal.h"
#include "wire.h"

#define FRAME_BODY 2
#define TOP_BIT_MIXER 0x9E3779B9UL /* odd, so that adding it again and again meets every value */

/* Bijective: different numbers stay different (the steps are shifts and odd factors modulo 2^32, each of which can be undone). */
static uint32_t mix(uint32_t number)
{
    number ^= number >> 16;
    number *= 0x7FEB352DUL;
    number ^= number >> 15;
    number *= 0x846CA68BUL;
    number ^= number >> 16;
    return number;
}

void session_start(struct session *session, uint32_t boot_number, uint8_t reset_cause)
{
    memset(session, 0, sizeof *session);
    session->capture.pin = NO_PIN;
    session->capture.fine_pin = NO_PIN;
    session->fine_pin = NO_PIN;
    session->session_number = mix(boot_number);
    session->nonce = mix(session->session_number + hal_entropy());
    session->reset_cause = reset_cause;
    session->last_ticks = hal_ticks();
    /* Without power no motor turned; after any other reset a line may have been on a moment ago. */
    rests_start(&session->rests, (reset_cause & RESET_POWER_ON) != 0 ? RESTED_FOR_LONG : 0);

    session->frame[FRAME_BODY] = reset_cause;
    wire_put_u32(session->frame + FRAME_BODY + 1, session->session_number);
    session_send_notice(session, NOTICE_BOOT, 5);
}

void session_send_notice(struct session *session, enum notice_type type, uint8_t body_length)
{
    session->frame[0] = (uint8_t)type;
    session->frame[1] = session->notice_seq++;
    frame_send(session->frame, body_length, hal_send);
}

/* Draws the nonce of a new arming: another one than the last, and not 0. */
static void draw_nonce(struct session *session)
{
    const uint32_t last = session->nonce;

    do {
        session->nonce = mix(session->nonce + TOP_BIT_MIXER + hal_entropy());
    } while (session->nonce == 0 || session->nonce == last);
}

void session_disarm(struct session *session)
{
    /* While armed the table cannot have changed. */
    if (session->armed)
        hal_select(session->limits.selects, 0);
    session->armed = false;
    session->fine_pin = NO_PIN;
    program_clear(&session->program);
}

enum result session_check_nonce(const struct session *session, const struct exchange *exchange)
{
    if (!session->armed)
        return RESULT_NOT_ARMED;
    return wire_get_u32(exchange->body) == session->nonce ? RESULT_OK : RESULT_WRONG_NONCE;
}

static enum result arm(struct session *session, struct exchange *exchange)
{
    const uint32_t digest = limits_digest(&session->limits);

    session_disarm(session);
    if (session->limits.line_count == 0 || session->limits.heartbeat_ms == 0)
        return refuse_value(exchange, 0);
    if (wire_get_u32(exchange->body) != digest) {
        wire_put_u32(exchange->reply, digest);
        exchange->reply_length = 4;
        return RESULT_LIMITS_DIFFER;
    }
    draw_nonce(session);
    hal_drive_idle(limits_lines(&session->limits), limits_idle_levels(&session->limits));
    hal_select(session->limits.selects, 0);
    session->armed = true;
    wire_put_u32(exchange->reply, session->nonce);
    exchange->reply_length = 4;
    return RESULT_OK;
}

/* Lengths of the bodies: `shortest`, and `longest` where the type leaves room. */
static enum result check_length(const struct exchange *exchange)
{
    uint8_t shortest = 0;
    uint8_t longest = 0;

    switch (exchange->type) {
    case REQUEST_IDENTIFY:
    case REQUEST_STATUS:
    case REQUEST_INPUTS:
    case REQUEST_ALIVE:
    case REQUEST_CLEAR_LIMITS:
    case REQUEST_DISARM:
        break;
    case REQUEST_PINS:
        shortest = longest = 1;
        break;
    case REQUEST_HEARTBEAT:
    case REQUEST_SELECTS:
    case REQUEST_ARM:
    case REQUEST_FINE_RECORD:
        shortest = longest = 4;
        break;
    case REQUEST_LEVELS:
        shortest = longest = 5;
        break;
    case REQUEST_STOP:
    case REQUEST_LEVEL_RECORDS:
    case REQUEST_GAPS:
    case REQUEST_FINE:
        shortest = longest = 6;
        break;
    case REQUEST_CHANGES:
        shortest = longest = 7;
        break;
    case REQUEST_SELECT:
        shortest = longest = 8;
        break;
    case REQUEST_RUN:
        shortest = longest = 13;
        break;
    case REQUEST_LINE:
        shortest = longest = LINE_BODY_BYTES;
        break;
    case REQUEST_LEADS:
        shortest = 5;
        longest = BODY_LARGEST;
        break;
    case REQUEST_LOAD:
        shortest = 6;
        longest = BODY_LARGEST;
        break;
    default:
        return RESULT_UNKNOWN_REQUEST;
    }
    return exchange->length < shortest || exchange->length > longest ? RESULT_BAD_LENGTH : RESULT_OK;
}

static enum result answer(struct session *session, struct exchange *exchange, struct program_check *check)
{
    const enum result length = check_length(exchange);

    if (length != RESULT_OK)
        return length;
    switch (exchange->type) {
    case REQUEST_ALIVE:
        return RESULT_OK;
    case REQUEST_CLEAR_LIMITS:
        session_disarm(session);
        hal_release_lines();
        limits_clear(&session->limits);
        return RESULT_OK;
    case REQUEST_LINE:
    case REQUEST_STOP:
    case REQUEST_HEARTBEAT:
    case REQUEST_SELECTS:
        return session->armed ? RESULT_ARMED : session_limits(session, exchange);
    case REQUEST_ARM:
        return arm(session, exchange);
    case REQUEST_DISARM:
        session_disarm(session);
        return RESULT_OK;
    case REQUEST_SELECT:
        return session_select(session, exchange);
    case REQUEST_FINE:
        return session_fine(session, exchange);
    case REQUEST_LOAD:
        return session_load(session, exchange);
    case REQUEST_RUN:
        return session_accept_run(session, exchange, check);
    case REQUEST_CHANGES:
    case REQUEST_LEVEL_RECORDS:
    case REQUEST_GAPS:
    case REQUEST_FINE_RECORD:
        return session_records(session, exchange);
    default:
        return session_information(session, exchange);
    }
}

static void count_time(struct session *session)
{
    const uint32_t now = hal_ticks();
    const uint32_t elapsed = now - session->last_ticks;

    session->last_ticks = now;
    rests_elapse(&session->rests, elapsed);
    if (session->armed)
        session->silent_ticks += elapsed;
}

void session_receive(struct session *session, uint8_t byte)
{
    struct exchange exchange;
    struct program_check check;
    enum result result;

    if (!frame_receive(&session->receiver, byte))
        return;
    exchange.type = frame_type(&session->receiver);
    if (exchange.type < REQUEST_SMALLEST || exchange.type > REQUEST_LARGEST) {
        /* A reply or a notice: our own words come back (a loop in the cable). They are no sign of a living host. */
        session->receiver.accepted--;
        session->receiver.thrown_away++;
        return;
    }
    session_tick(session);

    exchange.body = frame_body(&session->receiver);
    exchange.length = frame_body_length(&session->receiver);
    exchange.reply = session->frame + FRAME_BODY + 1;
    exchange.reply_length = 0;
    result = answer(session, &exchange, &check);

    session->frame[0] = exchange.type | REPLY_BIT;
    session->frame[1] = frame_seq(&session->receiver);
    session->frame[FRAME_BODY] = (uint8_t)result;
    frame_send(session->frame, (uint8_t)(exchange.reply_length + 1), hal_send);
    /* A host that waits for an answer must not be called silent: LEVELS can take longer than a short heartbeat. */
    count_time(session);
    session->silent_ticks = 0;
    if (exchange.type == REQUEST_RUN && result == RESULT_OK)
        session_burst(session, &check);
}

void session_tick(struct session *session)
{
    count_time(session);
    if (session->armed && session->silent_ticks >= session->limits.heartbeat_ms * BOARD_TICKS_PER_MS) {
        session_disarm(session);
        session->frame[FRAME_BODY] = DISARMED_HEARTBEAT;
        session_send_notice(session, NOTICE_DISARMED, 1);
    }
}
