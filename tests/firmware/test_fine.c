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

const struct test fine_tests[] = {
    {"only a pin that can is accepted", only_a_pin_that_can_is_accepted},
    {"it holds for one run and is read back", it_holds_for_one_run_and_is_read_back},
    {"a run that is refused does not use it up, and disarming does", a_run_that_is_refused_does_not_use_it_up_and_disarming_does},
    {NULL, NULL},
};
