/* FINE: which pins, for how long it holds, and what is read back. */
#include "checks.h"
#include "fake_board.h"
#include "wire.h"

static const struct step pulse[] = {{2000, ACTION_LINES, 4, 0}, {3000, ACTION_END, 0, 0}};

static uint8_t ask_fine(uint32_t nonce, uint8_t pin, uint8_t level)
{
    uint8_t body[6] = {0, 0, 0, 0, pin, level};

    wire_put_u32(body, nonce);
    return ask(REQUEST_FINE, body, sizeof body);
}

static uint8_t ask_record(uint32_t run_number) { return ask_u32(REQUEST_FINE_RECORD, run_number); }

static void only_a_pin_that_can_is_accepted(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_NOT_ARMED, ask_fine(0, FAKE_FINE_PIN, 1));
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_WRONG_NONCE, ask_fine(nonce ^ 1, FAKE_FINE_PIN, 1));
    CHECK_EQUAL(RESULT_BAD_VALUE, ask_fine(nonce, FAKE_CROSSING_PIN + 1, 1)); /* analog, but no CROSSING */
    CHECK_EQUAL(4, reply()->body[1]);
    CHECK_EQUAL(RESULT_BAD_VALUE, ask_fine(nonce, FAKE_FINE_PIN + 1, 1));
    CHECK_EQUAL(4, reply()->body[1]);
    CHECK_EQUAL(RESULT_BAD_VALUE, ask_fine(nonce, 200, 1)); /* no pin at all */
    CHECK_EQUAL(4, reply()->body[1]);
    CHECK_EQUAL(RESULT_BAD_VALUE, ask_fine(nonce, FAKE_FINE_PIN, 2));
    CHECK_EQUAL(5, reply()->body[1]);
    CHECK_EQUAL(NO_PIN, session.fine_pin);
    CHECK_EQUAL(RESULT_OK, ask_fine(nonce, FAKE_FINE_PIN, 1));
    CHECK_EQUAL(FAKE_FINE_PIN, session.fine_pin);
    CHECK_EQUAL(RESULT_OK, ask_fine(nonce, NO_PIN, 0));
    CHECK_EQUAL(NO_PIN, session.fine_pin);
}

static void it_holds_for_one_run_and_is_read_back(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_NO_SUCH_RUN, ask_record(7));
    CHECK_EQUAL(RESULT_OK, ask_fine(nonce, FAKE_FINE_PIN, 1));
    CHECK_EQUAL(RESULT_OK, run(nonce, 7, pulse, 2));
    CHECK_EQUAL(1, board.last_burst.fine_level);
    CHECK_EQUAL(RESULT_OK, ask_record(7));
    CHECK_EQUAL(1 + FINE_RECORD_BYTES, reply()->length);
    CHECK_EQUAL(FAKE_FINE_PIN, reply()->body[1]);
    CHECK_EQUAL(0x33, reply()->body[1 + FINE_RECORD_BYTES - 1]);
    CHECK_EQUAL(RESULT_NO_SUCH_RUN, ask_record(8));
    /* Not for the run after it. */
    pass(100000);
    CHECK_EQUAL(RESULT_OK, run(nonce, 8, pulse, 2));
    CHECK_EQUAL(RESULT_OK, ask_record(8));
    CHECK_EQUAL(1, reply()->length);
}

static void a_run_that_is_refused_does_not_use_it_up_and_disarming_does(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, ask_fine(nonce, FAKE_FINE_PIN, 0));
    CHECK_EQUAL(RESULT_BAD_VALUE, run(nonce, 0, pulse, 2));
    CHECK_EQUAL(FAKE_FINE_PIN, session.fine_pin);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_DISARM, NULL, 0));
    CHECK_EQUAL(NO_PIN, session.fine_pin);
    nonce = arm();
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 2));
    CHECK_EQUAL(RESULT_OK, ask_record(1));
    CHECK_EQUAL(1, reply()->length);
}

static const struct step pulse_and_measure[] = {{2000, ACTION_LINES, 4, 0}, {3000, ACTION_MEASURE, 1, 1}, {5000, ACTION_END, 0, 0}};

static void a_crossing_has_the_longer_record(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, ask_fine(nonce, FAKE_CROSSING_PIN, 0));
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 2));
    CHECK_EQUAL(RESULT_OK, ask_record(1));
    CHECK_EQUAL(1 + CROSSING_RECORD_BYTES, reply()->length);
    CHECK_EQUAL(FAKE_CROSSING_PIN, reply()->body[1]);
    /* The other kind keeps its length: a host of version 1.1 knows no other. */
    pass(100000);
    CHECK_EQUAL(RESULT_OK, ask_fine(nonce, FAKE_FINE_PIN, 0));
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, pulse, 2));
    CHECK_EQUAL(RESULT_OK, ask_record(2));
    CHECK_EQUAL(1 + FINE_RECORD_BYTES, reply()->length);
}

static void the_converter_cannot_measure_while_a_crossing_is_stamped(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, ask_fine(nonce, FAKE_CROSSING_PIN, 1));
    CHECK_EQUAL(RESULT_PROGRAM_REFUSED, run(nonce, 1, pulse_and_measure, 3));
    CHECK_EQUAL(1, reply()->body[1]);
    CHECK_EQUAL(REFUSAL_CROSSING, reply()->body[2]);
    CHECK_EQUAL(0, board.bursts);
    CHECK_EQUAL(FAKE_CROSSING_PIN, session.fine_pin); /* not used up */
    /* A limit that is broken too is told first: the whole program was checked by then. */
    CHECK_EQUAL(RESULT_PROGRAM_REFUSED, run(nonce, 1, (const struct step[]){{2000, ACTION_MEASURE, 1, 1}, {4000, ACTION_LINES, 8, 0}, {5000, ACTION_END, 0, 0}}, 3));
    CHECK_EQUAL(REFUSAL_UNDECLARED, reply()->body[2]);
    /* What lies behind END's step was loaded by another program: it does not count. */
    CHECK_EQUAL(RESULT_OK, load(nonce, pulse_and_measure, 3));
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 2));
    /* The other kind, and none, leave the converter alone. */
    pass(100000);
    CHECK_EQUAL(RESULT_OK, ask_fine(nonce, FAKE_FINE_PIN, 1));
    CHECK_EQUAL(RESULT_OK, run(nonce, 2, pulse_and_measure, 3));
    pass(100000);
    CHECK_EQUAL(RESULT_OK, run(nonce, 3, pulse_and_measure, 3));
}

const struct test fine_tests[] = {
    {"only a pin that can is accepted", only_a_pin_that_can_is_accepted},
    {"it holds for one run and is read back", it_holds_for_one_run_and_is_read_back},
    {"a run that is refused does not use it up, and disarming does", a_run_that_is_refused_does_not_use_it_up_and_disarming_does},
    {"a crossing has the longer record", a_crossing_has_the_longer_record},
    {"the converter cannot measure while a crossing is stamped", the_converter_cannot_measure_while_a_crossing_is_stamped},
    {NULL, NULL},
};
