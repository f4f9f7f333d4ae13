#include "fake_board.h"

#include <string.h>

#include "checks.h"
#include "cobs.h"
#include "crc32.h"
#include "wire.h"

struct fake_board board;
struct session session;

static uint8_t collected[ENCODED_LARGEST + 8];
static unsigned collected_count;
static uint8_t next_seq;

/* ---- hal.h ---- */

uint32_t hal_ticks(void) { return board.ticks; }
uint32_t hal_receive_overruns(void) { return 3; }
uint32_t hal_entropy(void) { return board.entropy; }

void hal_send(uint8_t byte)
{
    struct sent_frame *frame;
    int16_t length;

    board.send_finished = false;
    if (byte != 0) {
        CHECK(collected_count < sizeof collected);
        collected[collected_count++] = byte;
        return;
    }
    if (collected_count == 0)
        return;
    length = cobs_decode(collected, (uint16_t)collected_count);
    collected_count = 0;
    CHECK(length >= PAYLOAD_SMALLEST && length <= PAYLOAD_LARGEST);
    CHECK_EQUAL(wire_get_u32(collected + length - 4), crc32_finish(crc32_add(CRC32_START, collected, (uint16_t)(length - 4))));
    frame = &board.frames[board.frame_count++ % FRAMES_KEPT];
    frame->type = collected[0];
    frame->seq = collected[1];
    frame->length = (uint8_t)(length - PAYLOAD_SMALLEST);
    memcpy(frame->body, collected + 2, frame->length);
}

void hal_send_finish(void) { board.send_finished = true; }

uint8_t hal_pin(uint8_t pin, uint8_t *capabilities, uint8_t *name)
{
    static const uint8_t by_nibble[4] = {PIN_LINE | PIN_SENSE | PIN_SELECT, PIN_SENSE | PIN_ANALOG, PIN_SENSE | PIN_STOP | PIN_SELECT,
                                         PIN_SENSE | PIN_SELECT};

    CHECK(pin < BOARD_PINS);
    *capabilities = pin == 15 ? 0 : by_nibble[pin >> 2];
    if (pin == FAKE_FINE_PIN)
        *capabilities |= PIN_FINE;
    if (pin == FAKE_CROSSING_PIN)
        *capabilities |= PIN_CROSSING;
    name[0] = 'P';
    name[1] = (uint8_t)('a' + pin);
    return 2;
}

uint8_t hal_board_name(uint8_t *name)
{
    memcpy(name, "fake", 4);
    return 4;
}

void hal_snapshot(uint8_t snapshot[BOARD_SNAPSHOT_BYTES]) { memcpy(snapshot, board.levels, BOARD_SNAPSHOT_BYTES); }

void hal_drive_idle(uint32_t lines, uint32_t idle_levels)
{
    board.driven |= lines;
    board.driven_levels = (board.driven_levels & ~lines) | idle_levels;
}

void hal_select(uint32_t selects, uint32_t high)
{
    CHECK_EQUAL(0, high & ~selects);
    board.driven |= selects;
    board.driven_levels = (board.driven_levels & ~selects) | high;
}

void hal_release_lines(void) { board.driven = board.driven_levels = 0; }

void hal_level(uint8_t analog_index, uint8_t samples, uint8_t *entry)
{
    board.levels_read++;
    board.ticks += board.level_ticks;
    memset(entry, 0, LEVEL_ENTRY_BYTES);
    entry[0] = analog_index;
    entry[1] = samples;
}

void hal_lead(uint8_t pin, uint8_t *after_discharge, uint8_t *after_pullup)
{
    CHECK(pin >= BOARD_LINE_PIN_END);
    board.leads_driven++;
    *after_discharge = 0;
    *after_pullup = pin & 1;
}

/* A burst that stores three changes, one level, one gap. */
void hal_burst(const struct burst *burst, struct capture *capture)
{
    board.bursts++;
    board.last_burst = *burst;
    board.frames_before_burst = board.frame_count;
    CHECK(board.send_finished);
    capture->outcome = board.burst_outcome;
    capture->pin = board.burst_pin;
    capture->end = board.burst_end;
    if (capture->end == 0) {
        for (unsigned i = 0; i < BOARD_MAX_STEPS; i++) {
            if (burst->program->steps[i][STEP_ACTION] == ACTION_END) {
                capture->end = wire_get_u32(burst->program->steps[i]);
                break;
            }
        }
    }
    capture->change_count = 3;
    for (unsigned i = 0; i < 3; i++) {
        wire_put_u32(capture->changes[i], 100 * i);
        capture->changes[i][4] = (uint8_t)i;
        capture->changes[i][5] = 0xA0;
    }
    capture->level_count = 1;
    memset(capture->levels[0], 0x11, LEVEL_RECORD_BYTES);
    if (capture->fine_pin != NO_PIN) {
        capture->fine_bytes = capture->fine_pin == FAKE_CROSSING_PIN ? CROSSING_RECORD_BYTES : FINE_RECORD_BYTES;
        memset(capture->fine, 0x33, capture->fine_bytes);
        capture->fine[0] = capture->fine_pin;
    }
    capture->gap_count = 1;
    memset(capture->gaps[0], 0x22, GAP_RECORD_BYTES);
    memcpy(capture->snapshot, board.levels, BOARD_SNAPSHOT_BYTES);
    board.ticks = capture->end;
}

/* ---- the host ---- */

static void receive(uint8_t byte) { session_receive(&session, byte); }

void fake_start(uint32_t boot_number, uint8_t reset_cause)
{
    memset(&board, 0, sizeof board);
    board.burst_pin = NO_PIN;
    board.levels[1] = 0xFF; /* stop inputs are high: healthy */
    collected_count = 0;
    session_start(&session, boot_number, reset_cause);
}

const struct sent_frame *reply(void)
{
    for (unsigned i = board.frame_count; i-- > 0 && board.frame_count - i <= FRAMES_KEPT;) {
        if (board.frames[i % FRAMES_KEPT].type < NOTICE_BOOT)
            return &board.frames[i % FRAMES_KEPT];
    }
    return NULL;
}

const struct sent_frame *notice(uint8_t type)
{
    for (unsigned i = board.frame_count; i-- > 0 && board.frame_count - i <= FRAMES_KEPT;) {
        if (board.frames[i % FRAMES_KEPT].type == type)
            return &board.frames[i % FRAMES_KEPT];
    }
    return NULL;
}

uint8_t ask(uint8_t type, const uint8_t *body, size_t length)
{
    uint8_t payload[PAYLOAD_LARGEST];
    const unsigned before = board.frame_count;

    payload[0] = type;
    payload[1] = ++next_seq;
    if (length != 0)
        memcpy(payload + 2, body, length);
    frame_send(payload, (uint8_t)length, receive);
    CHECK(board.frame_count > before);
    CHECK_EQUAL(type | REPLY_BIT, reply()->type);
    CHECK_EQUAL(next_seq, reply()->seq);
    return reply()->body[0];
}

void pass(uint32_t ticks)
{
    board.ticks += ticks;
    session_tick(&session);
}

uint8_t ask_u32(uint8_t type, uint32_t value)
{
    uint8_t body[4];

    wire_put_u32(body, value);
    return ask(type, body, sizeof body);
}

uint8_t ask_line(uint8_t pin, uint8_t idle, uint32_t longest_on, uint32_t rest, uint32_t apart)
{
    uint8_t body[LINE_BODY_BYTES] = {pin, idle};

    wire_put_u32(body + 2, longest_on);
    wire_put_u32(body + 6, rest);
    wire_put_u32(body + 10, apart);
    return ask(REQUEST_LINE, body, sizeof body);
}

uint8_t ask_stop(uint8_t pin, uint8_t level, uint32_t forbids)
{
    uint8_t body[STOP_BODY_BYTES] = {pin, level};

    wire_put_u32(body + 2, forbids);
    return ask(REQUEST_STOP, body, sizeof body);
}

uint8_t ask_heartbeat(uint32_t ms) { return ask_u32(REQUEST_HEARTBEAT, ms); }

uint32_t arm(void)
{
    return ask_u32(REQUEST_ARM, limits_digest(&session.limits)) == RESULT_OK ? wire_get_u32(reply()->body + 1) : 0;
}

static void put_steps(uint8_t *to, const struct step *steps, uint8_t count)
{
    for (uint8_t i = 0; i < count; i++, to += STEP_BYTES) {
        wire_put_u32(to + STEP_AT, steps[i].at);
        to[STEP_ACTION] = steps[i].action;
        wire_put_u32(to + STEP_MASK, steps[i].mask);
        to[STEP_COUNT] = steps[i].count;
    }
}

uint8_t load(uint32_t nonce, const struct step *steps, uint8_t count)
{
    uint8_t body[BODY_LARGEST];

    wire_put_u32(body, nonce);
    body[4] = 0;
    body[5] = count;
    put_steps(body + 6, steps, count);
    return ask(REQUEST_LOAD, body, (size_t)6 + (size_t)count * STEP_BYTES);
}

uint32_t digest(const struct step *steps, uint8_t count)
{
    uint8_t bytes[BOARD_MAX_STEPS * STEP_BYTES];

    put_steps(bytes, steps, count);
    return crc32_finish(crc32_add(CRC32_START, bytes, (uint16_t)(count * STEP_BYTES)));
}

uint8_t run(uint32_t nonce, uint32_t number, const struct step *steps, uint8_t count)
{
    uint8_t body[13];

    CHECK_EQUAL(RESULT_OK, load(nonce, steps, count));
    wire_put_u32(body, nonce);
    wire_put_u32(body + 4, number);
    body[8] = count;
    wire_put_u32(body + 9, digest(steps, count));
    return ask(REQUEST_RUN, body, sizeof body);
}

uint32_t usual_arming(void)
{
    CHECK_EQUAL(RESULT_OK, ask_line(0, 1, 10000, 5000, 0x02));
    CHECK_EQUAL(RESULT_OK, ask_line(1, 1, 10000, 5000, 0));
    CHECK_EQUAL(RESULT_OK, ask_line(2, 0, 10000, 5000, 0));
    CHECK_EQUAL(RESULT_OK, ask_stop(8, 0, 0x01));
    CHECK_EQUAL(RESULT_OK, ask_heartbeat(1000));
    return arm();
}
