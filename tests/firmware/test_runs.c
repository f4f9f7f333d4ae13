/* LOAD and RUN: nonce, run number, stop inputs, rest, what comes after a burst. */
#include "checks.h"
#include "fake_board.h"
#include "wire.h"

static const struct step pulse[] = {{2000, ACTION_LINES, 1, 0}, {3000, ACTION_LINES, 0, 0}, {4000, ACTION_END, 0, 0}};
static const struct step other_pulse[] = {{2000, ACTION_LINES, 4, 0}, {3000, ACTION_END, 0, 0}};

static void a_run_is_answered_first_then_run_then_told(void)
{
    uint32_t nonce;
    const struct sent_frame *done;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    board.levels[0] = 0x3C;
    CHECK_EQUAL(RESULT_OK, run(nonce, 7, pulse, 3));
    CHECK_EQUAL(4000, wire_get_u32(reply()->body + 1));
    CHECK_EQUAL(1, board.bursts);
    CHECK_EQUAL(0x07, board.last_burst.lines);
    CHECK_EQUAL(0x03, board.last_burst.idle_levels);
    CHECK_EQUAL(0x01, board.last_burst.lines_used);
    done = notice(NOTICE_DONE);
    CHECK(done != NULL && done->length == DONE_BODY_BYTES);
    CHECK_EQUAL(board.frames_before_burst + 1, board.frame_count);
    CHECK_EQUAL(7, wire_get_u32(done->body));
    CHECK_EQUAL(OUTCOME_COMPLETE, done->body[4]);
    CHECK_EQUAL(NO_PIN, done->body[5]);
    CHECK_EQUAL(4000, wire_get_u32(done->body + 6));
    CHECK_EQUAL(3, wire_get_u16(done->body + 10));
    CHECK_EQUAL(1, done->body[12]);
    CHECK_EQUAL(1, done->body[13]);
    CHECK_EQUAL(0x3C, done->body[14]);
    /* STATUS tells the same to a host that missed it. */
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_STATUS, NULL, 0));
    CHECK_EQUAL(19 + DONE_BODY_BYTES, reply()->length);
    CHECK_EQUAL(7, wire_get_u32(reply()->body + 15));
    CHECK(memcmp(notice(NOTICE_DONE)->body, reply()->body + 19, DONE_BODY_BYTES) == 0);
}

static void a_run_number_runs_once(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, run(nonce, 7, other_pulse, 2));
    pass(100000);
    CHECK_EQUAL(RESULT_ALREADY_RUN, run(nonce, 7, other_pulse, 2));
    CHECK_EQUAL(1, reply()->length);
    /* Not after another arming either, and not with another program. */
    nonce = arm();
    CHECK_EQUAL(RESULT_ALREADY_RUN, run(nonce, 7, pulse, 3));
    CHECK_EQUAL(1, board.bursts);
    CHECK_EQUAL(RESULT_OK, run(nonce, 8, other_pulse, 2));
    CHECK_EQUAL(2, board.bursts);
    /* Nor does an older number, although another one ran in between. */
    pass(100000);
    CHECK_EQUAL(RESULT_ALREADY_RUN, run(nonce, 7, other_pulse, 2));
    CHECK_EQUAL(RESULT_ALREADY_RUN, run(nonce, 1, other_pulse, 2));
    CHECK_EQUAL(2, board.bursts);
    CHECK_EQUAL(RESULT_OK, run(nonce, 0xFFFFFFFFUL, other_pulse, 2));
    CHECK_EQUAL(3, board.bursts);
}

static void a_run_needs_the_nonce_of_this_arming(void)
{
    uint8_t body[13] = {0};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_NOT_ARMED, ask(REQUEST_RUN, body, sizeof body));
    CHECK_EQUAL(RESULT_NOT_ARMED, load(0, pulse, 3));
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_WRONG_NONCE, load(nonce ^ 1, pulse, 3));
    CHECK_EQUAL(RESULT_OK, load(nonce, pulse, 3));
    wire_put_u32(body, nonce ^ 0x80000000UL);
    wire_put_u32(body + 4, 1);
    body[8] = 3;
    wire_put_u32(body + 9, digest(pulse, 3));
    CHECK_EQUAL(RESULT_WRONG_NONCE, ask(REQUEST_RUN, body, sizeof body));
    wire_put_u32(body, 0);
    CHECK_EQUAL(RESULT_WRONG_NONCE, ask(REQUEST_RUN, body, sizeof body));
    CHECK_EQUAL(0, board.bursts);
    /* The nonce dies with the arming; and so does the program. */
    wire_put_u32(body, nonce);
    ask(REQUEST_DISARM, NULL, 0);
    CHECK_EQUAL(RESULT_NOT_ARMED, ask(REQUEST_RUN, body, sizeof body));
    CHECK_EQUAL(RESULT_NOT_ARMED, load(nonce, pulse, 3));
    CHECK(arm() != nonce);
    CHECK_EQUAL(RESULT_WRONG_NONCE, ask(REQUEST_RUN, body, sizeof body));
    wire_put_u32(body, session.nonce);
    CHECK_EQUAL(RESULT_PROGRAM_REFUSED, ask(REQUEST_RUN, body, sizeof body));
    CHECK_EQUAL(REFUSAL_DIGEST, reply()->body[2]);
    CHECK_EQUAL(0, board.bursts);
}

static void loading_is_kept_inside_the_table(void)
{
    uint8_t body[6 + 2 * STEP_BYTES] = {0};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    wire_put_u32(body, nonce);
    body[4] = 8;
    body[5] = 1;
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LOAD, body, 16));
    CHECK_EQUAL(4, reply()->body[1]);
    body[4] = 7;
    body[5] = 2;
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LOAD, body, 26));
    CHECK_EQUAL(5, reply()->body[1]);
    body[5] = 0;
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LOAD, body, 6));
    CHECK_EQUAL(5, reply()->body[1]);
    body[5] = 1;
    CHECK_EQUAL(RESULT_BAD_LENGTH, ask(REQUEST_LOAD, body, 15));
    CHECK_EQUAL(RESULT_BAD_LENGTH, ask(REQUEST_LOAD, body, 17));
    memset(body + 6, 0x77, STEP_BYTES);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_LOAD, body, 16));
    CHECK_EQUAL(0x77, session.program.steps[7][9]);
    CHECK_EQUAL(0, session.program.steps[6][9]);
}

static void run_fields_are_checked(void)
{
    uint8_t body[13] = {0};

    fake_start(1, RESET_POWER_ON);
    wire_put_u32(body, usual_arming());
    body[8] = 3;
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_RUN, body, sizeof body));
    CHECK_EQUAL(4, reply()->body[1]);
    body[4] = 1;
    body[8] = 0;
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_RUN, body, sizeof body));
    CHECK_EQUAL(8, reply()->body[1]);
    body[8] = 9;
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_RUN, body, sizeof body));
    CHECK_EQUAL(8, reply()->body[1]);
}

static void an_active_stop_refuses_the_lines_that_it_forbids_and_no_others(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    board.levels[1] = 0xFE;
    CHECK_EQUAL(RESULT_STOP_ACTIVE, run(nonce, 1, pulse, 3));
    CHECK_EQUAL(8, reply()->body[1]);
    CHECK_EQUAL(0, board.bursts);
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, other_pulse, 2));
    board.levels[1] = 0xFF;
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, pulse, 3));
}

static void every_stop_is_looked_at(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    ask_line(0, 1, 10000, 5000, 0);
    ask_stop(8, 0, 0x01);
    ask_stop(11, 0, 0x01);
    ask_heartbeat(1000);
    nonce = arm();
    board.levels[1] = 0xF7;
    CHECK_EQUAL(RESULT_STOP_ACTIVE, run(nonce, 1, pulse, 3));
    CHECK_EQUAL(11, reply()->body[1]);
    board.levels[1] = 0xF6; /* the lower pin is told */
    CHECK_EQUAL(RESULT_STOP_ACTIVE, run(nonce, 1, pulse, 3));
    CHECK_EQUAL(8, reply()->body[1]);
    board.levels[1] = 0xFF;
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3));
}

static void a_stop_can_be_active_high(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    ask_line(0, 1, 10000, 5000, 0);
    ask_stop(10, 1, 0x01);
    ask_heartbeat(1000);
    nonce = arm();
    CHECK_EQUAL(RESULT_STOP_ACTIVE, run(nonce, 1, pulse, 3));
    CHECK_EQUAL(10, reply()->body[1]);
    board.levels[1] = 0xFB;
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3));
}

static void a_line_rests_between_bursts(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3)); /* off at 3000, end at 4000 */
    /* Off for 1000; 5000 needed, 2000 of them pass before the first step. */
    CHECK_EQUAL(RESULT_RESTING, run(nonce, 2, pulse, 3));
    CHECK_EQUAL(0, reply()->body[1]);
    CHECK_EQUAL(4000, wire_get_u32(reply()->body + 2));
    pass(1999);
    CHECK_EQUAL(RESULT_RESTING, run(nonce, 2, pulse, 3));
    CHECK_EQUAL(2001, wire_get_u32(reply()->body + 2));
    /* Another line is fresh, and the burst for it is rest for this one. */
    pass(1);
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, other_pulse, 2));
    CHECK_EQUAL(RESULT_OK, run(nonce, 3, pulse, 3));
    CHECK_EQUAL(3, board.bursts);
}

static void a_rest_is_enough_to_the_tick(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3));
    pass(2000);
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, pulse, 3));
}

static void a_burst_that_ended_early_starts_the_rest_at_its_end(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    board.burst_outcome = OUTCOME_STOP;
    board.burst_pin = 8;
    board.burst_end = 2500; /* while the line was on */
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3));
    CHECK_EQUAL(OUTCOME_STOP, notice(NOTICE_DONE)->body[4]);
    CHECK_EQUAL(8, notice(NOTICE_DONE)->body[5]);
    CHECK_EQUAL(RESULT_RESTING, run(nonce, 2, pulse, 3));
    CHECK_EQUAL(5000, wire_get_u32(reply()->body + 2));
    /* A burst that ended before it switched anything leaves the line as rested as it was. */
    pass(3000);
    board.burst_end = 1700;
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, pulse, 3));
    pass(300);
    board.burst_end = 0;
    CHECK_EQUAL(RESULT_OK, run(nonce, 3, pulse, 3));
}

static void clearing_limits_or_a_reset_does_not_shorten_a_rest(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3));
    ask(REQUEST_CLEAR_LIMITS, NULL, 0);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_RESTING, run(nonce, 2, pulse, 3));

    fake_start(2, 0x08); /* watchdog: nobody knows what was on */
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_RESTING, run(nonce, 1, pulse, 3));
    CHECK_EQUAL(5000, wire_get_u32(reply()->body + 2));
    fake_start(3, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3));
}

static void a_long_idle_line_stays_rested_when_counting_ends(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    ask_line(0, 1, 10000, 0xFFFFFFF0UL, 0);
    ask_heartbeat(1000);
    nonce = arm();
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3));
    for (unsigned i = 0; i < 5; i++) {
        pass(0x3FFFFFFFUL);
        nonce = arm();
    }
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, pulse, 3));
}

static void the_heartbeat_starts_afresh_behind_a_burst(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    pass(900000);
    board.burst_end = 400000;
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, other_pulse, 2));
    CHECK(session.armed);
    pass(999999);
    CHECK(session.armed);
    pass(1);
    CHECK(!session.armed);
}

static uint8_t wire[32];
static unsigned wire_count;
static void collect(uint8_t byte) { wire[wire_count++] = byte; }

/* A good ALIVE frame whose leading delimiter is missing; returns true when it was answered. */
static bool answers_a_frame_without_leading_delimiter(void)
{
    uint8_t payload[PAYLOAD_LARGEST] = {REQUEST_ALIVE, 1};
    const unsigned before = board.frame_count;

    wire_count = 0;
    frame_send(payload, 0, collect);
    for (unsigned i = 1; i < wire_count; i++)
        session_receive(&session, wire[i]);
    return board.frame_count != before;
}

static void bytes_that_ended_a_burst_are_thrown_away_up_to_a_delimiter(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, other_pulse, 2));
    CHECK(answers_a_frame_without_leading_delimiter());
    pass(5000);
    board.burst_outcome = OUTCOME_HOST_BYTE;
    board.burst_end = 2500;
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, other_pulse, 2));
    CHECK_EQUAL(OUTCOME_HOST_BYTE, notice(NOTICE_DONE)->body[4]);
    CHECK(!answers_a_frame_without_leading_delimiter());
    CHECK_EQUAL(1, session.receiver.thrown_away);
    CHECK(answers_a_frame_without_leading_delimiter());
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_DISARM, NULL, 0));
}

static void the_burst_of_another_line_is_rest(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3));       /* off for 1000 at its end */
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, other_pulse, 2)); /* 3000 more; 2000 before the first step */
    CHECK_EQUAL(RESULT_OK, run(nonce, 3, pulse, 3));
}

static void every_line_that_is_used_rests(void)
{
    static const struct step both[] = {{2000, ACTION_LINES, 5, 0}, {3000, ACTION_END, 0, 0}};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, other_pulse, 2));
    CHECK_EQUAL(RESULT_RESTING, run(nonce, 2, both, 2));
    CHECK_EQUAL(2, reply()->body[1]);
    CHECK_EQUAL(5000, wire_get_u32(reply()->body + 2));
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, pulse, 3));
}

const struct test run_tests[] = {
    {"a run is answered first, then run, then told", a_run_is_answered_first_then_run_then_told},
    {"a run number runs once", a_run_number_runs_once},
    {"a run needs the nonce of this arming", a_run_needs_the_nonce_of_this_arming},
    {"loading is kept inside the table", loading_is_kept_inside_the_table},
    {"run fields are checked", run_fields_are_checked},
    {"an active stop refuses the lines that it forbids, and no others", an_active_stop_refuses_the_lines_that_it_forbids_and_no_others},
    {"every stop is looked at", every_stop_is_looked_at},
    {"a stop can be active high", a_stop_can_be_active_high},
    {"a line rests between bursts", a_line_rests_between_bursts},
    {"a rest is enough to the tick", a_rest_is_enough_to_the_tick},
    {"a burst that ended early starts the rest at its end", a_burst_that_ended_early_starts_the_rest_at_its_end},
    {"clearing limits or a reset does not shorten a rest", clearing_limits_or_a_reset_does_not_shorten_a_rest},
    {"a long idle line stays rested when counting ends", a_long_idle_line_stays_rested_when_counting_ends},
    {"the heartbeat starts afresh behind a burst", the_heartbeat_starts_afresh_behind_a_burst},
    {"bytes that ended a burst are thrown away up to a delimiter", bytes_that_ended_a_burst_are_thrown_away_up_to_a_delimiter},
    {"the burst of another line is rest", the_burst_of_another_line_is_rest},
    {"every line that is used rests", every_line_that_is_used_rests},
    {NULL, NULL},
};
