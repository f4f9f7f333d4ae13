/* Reading a capture in parts. */
#include "checks.h"
#include "fake_board.h"
#include "wire.h"

static const struct step pulse[] = {{2000, ACTION_LINES, 4, 0}, {3000, ACTION_END, 0, 0}};

static void records_are_read_in_parts(void)
{
    uint8_t changes[7] = {9, 0, 0, 0, 1, 0, 255};
    uint8_t others[6] = {9, 0, 0, 0, 0, 255};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_NO_SUCH_RUN, ask(REQUEST_CHANGES, changes, 7));
    memset(changes, 0, 4);
    CHECK_EQUAL(RESULT_NO_SUCH_RUN, ask(REQUEST_CHANGES, changes, 7));
    changes[0] = 9;
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, run(nonce, 9, pulse, 2));
    ask(REQUEST_DISARM, NULL, 0); /* records stay */
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_CHANGES, changes, 7));
    CHECK_EQUAL(1 + 2 * 6, reply()->length);
    CHECK_EQUAL(100, wire_get_u32(reply()->body + 1));
    CHECK_EQUAL(200, wire_get_u32(reply()->body + 7));
    CHECK_EQUAL(2, reply()->body[11]);
    changes[6] = 1;
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_CHANGES, changes, 7));
    CHECK_EQUAL(1 + 6, reply()->length);
    changes[4] = 3;
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_CHANGES, changes, 7));
    CHECK_EQUAL(1, reply()->length);
    changes[4] = 4;
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_CHANGES, changes, 7));
    CHECK_EQUAL(4, reply()->body[1]);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_LEVEL_RECORDS, others, 6));
    CHECK_EQUAL(1 + 16, reply()->length);
    CHECK_EQUAL(0x11, reply()->body[16]);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_GAPS, others, 6));
    CHECK_EQUAL(1 + 9, reply()->length);
    CHECK_EQUAL(0x22, reply()->body[9]);
    others[0] = 8;
    CHECK_EQUAL(RESULT_NO_SUCH_RUN, ask(REQUEST_GAPS, others, 6));
}

static void a_frame_holds_no_more_records_than_fit(void)
{
    uint8_t body[7] = {9, 0, 0, 0, 0, 0, 255};

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_OK, run(usual_arming(), 9, pulse, 2));
    session.capture.change_count = BOARD_MAX_CHANGES; /* 40 records of 6 bytes are 240: 40 fit into 243 */
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_CHANGES, body, 7));
    CHECK_EQUAL(1 + 240, reply()->length);
    session.capture.level_count = BOARD_MAX_LEVELS;
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_LEVEL_RECORDS, body, 6));
    CHECK_EQUAL(1, reply()->length); /* body[5] is count: 0 */
}

const struct test record_tests[] = {
    {"records are read in parts", records_are_read_in_parts},
    {"a frame holds no more records than fit", a_frame_holds_no_more_records_than_fit},
    {NULL, NULL},
};
