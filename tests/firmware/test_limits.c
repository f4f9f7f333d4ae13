/* Limits: declaring, refusing, digest, arming. */
#include "checks.h"
#include "crc32.h"
#include "fake_board.h"
#include "wire.h"

static void check_bad_value(uint8_t result, uint8_t offset)
{
    CHECK_EQUAL(RESULT_BAD_VALUE, result);
    CHECK_EQUAL(2, reply()->length);
    CHECK_EQUAL(offset, reply()->body[1]);
}

static void a_line_needs_a_line_pin_an_idle_level_and_sensible_neighbours(void)
{
    fake_start(1, RESET_POWER_ON);
    check_bad_value(ask_line(4, 0, 1, 1, 0), 0);
    check_bad_value(ask_line(16, 0, 1, 1, 0), 0);
    check_bad_value(ask_line(255, 0, 1, 1, 0), 0);
    check_bad_value(ask_line(0, 2, 1, 1, 0), 1);
    check_bad_value(ask_line(0, 0, 1, 1, 0x01), 10); /* apart from itself */
    check_bad_value(ask_line(0, 0, 1, 1, 0x10), 10); /* from a pin that is no line */
    CHECK_EQUAL(0, session.limits.line_count);
    CHECK_EQUAL(RESULT_OK, ask_line(0, 1, 1, 1, 0x0E));
    CHECK_EQUAL(1, session.limits.line_count);
}

static void a_stop_needs_a_stop_pin_a_level_and_lines(void)
{
    fake_start(1, RESET_POWER_ON);
    check_bad_value(ask_stop(7, 0, 1), 0);
    check_bad_value(ask_stop(200, 0, 1), 0);
    check_bad_value(ask_stop(8, 2, 1), 1);
    check_bad_value(ask_stop(8, 0, 0x10), 2);
    CHECK_EQUAL(0, session.limits.stop_count);
    CHECK_EQUAL(RESULT_OK, ask_stop(8, 1, 0x0F));
}

static void a_heartbeat_is_100_to_60000_ms(void)
{
    fake_start(1, RESET_POWER_ON);
    check_bad_value(ask_heartbeat(99), 0);
    check_bad_value(ask_heartbeat(60001), 0);
    CHECK_EQUAL(0, session.limits.heartbeat_ms);
    CHECK_EQUAL(RESULT_OK, ask_heartbeat(100));
    CHECK_EQUAL(RESULT_OK, ask_heartbeat(60000));
    CHECK_EQUAL(60000, session.limits.heartbeat_ms);
}

static void a_full_table_has_no_room_but_replaces(void)
{
    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_OK, ask_line(3, 0, 1, 1, 0));
    CHECK_EQUAL(RESULT_OK, ask_line(0, 0, 1, 1, 0));
    CHECK_EQUAL(RESULT_OK, ask_line(2, 0, 1, 1, 0));
    CHECK_EQUAL(RESULT_NO_ROOM, ask_line(1, 0, 1, 1, 0));
    CHECK_EQUAL(RESULT_OK, ask_line(2, 1, 77, 1, 0));
    CHECK_EQUAL(3, session.limits.line_count);
    CHECK_EQUAL(77, limits_line(&session.limits, 2)->longest_on);
    CHECK(limits_line(&session.limits, 1) == NULL);
    CHECK_EQUAL(RESULT_OK, ask_stop(9, 0, 1));
    CHECK_EQUAL(RESULT_OK, ask_stop(8, 0, 1));
    CHECK_EQUAL(RESULT_NO_ROOM, ask_stop(10, 0, 1));
    CHECK_EQUAL(RESULT_OK, ask_stop(9, 1, 2));
    CHECK_EQUAL(2, session.limits.stop_count);
}

static void the_digest_is_over_ascending_pins_in_wire_form(void)
{
    uint8_t table[2 * LINE_BODY_BYTES + 2 * STOP_BODY_BYTES + 4] = {0};

    fake_start(1, RESET_POWER_ON);
    /* With nothing declared: the CRC of four zeros, as in the vectors. */
    CHECK_EQUAL(0x2144DF1CUL, limits_digest(&session.limits));

    ask_line(2, 1, 0x01020304, 0x05060708, 0x01);
    ask_line(0, 0, 9, 10, 0);
    ask_stop(9, 1, 0x05);
    ask_stop(8, 0, 0x04);
    ask_heartbeat(1000);
    table[0] = 0;
    wire_put_u32(table + 2, 9);
    wire_put_u32(table + 6, 10);
    table[14] = 2;
    table[15] = 1;
    wire_put_u32(table + 16, 0x01020304);
    wire_put_u32(table + 20, 0x05060708);
    wire_put_u32(table + 24, 0x01);
    table[28] = 8;
    wire_put_u32(table + 30, 0x04);
    table[34] = 9;
    table[35] = 1;
    wire_put_u32(table + 36, 0x05);
    wire_put_u32(table + 40, 1000);
    CHECK_EQUAL(crc32_finish(crc32_add(CRC32_START, table, sizeof table)), limits_digest(&session.limits));
}

static void every_limit_changes_the_digest(void)
{
    uint32_t digests[8];

    fake_start(1, RESET_POWER_ON);
    ask_line(0, 1, 10, 20, 2);
    ask_stop(8, 0, 1);
    ask_heartbeat(500);
    digests[0] = limits_digest(&session.limits);
    ask_line(0, 0, 10, 20, 2);
    digests[1] = limits_digest(&session.limits);
    ask_line(0, 1, 11, 20, 2);
    digests[2] = limits_digest(&session.limits);
    ask_line(0, 1, 10, 21, 2);
    digests[3] = limits_digest(&session.limits);
    ask_line(0, 1, 10, 20, 0);
    digests[4] = limits_digest(&session.limits);
    ask_line(0, 1, 10, 20, 2);
    CHECK_EQUAL(digests[0], limits_digest(&session.limits));
    ask_stop(8, 1, 1);
    digests[5] = limits_digest(&session.limits);
    ask_stop(8, 0, 3);
    digests[6] = limits_digest(&session.limits);
    ask_stop(8, 0, 1);
    ask_heartbeat(501);
    digests[7] = limits_digest(&session.limits);
    for (unsigned i = 0; i < 8; i++) {
        for (unsigned j = 0; j < i; j++)
            CHECK(digests[i] != digests[j]);
    }
}

static void arming_drives_the_declared_lines_at_idle_and_gives_a_nonce(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(0, board.driven);
    nonce = usual_arming();
    CHECK(nonce != 0);
    CHECK(session.armed);
    CHECK_EQUAL(0x07, board.driven);
    CHECK_EQUAL(0x03, board.driven_levels);
}

static void arming_needs_the_right_digest_a_line_and_a_heartbeat(void)
{
    fake_start(1, RESET_POWER_ON);
    check_bad_value(ask_u32(REQUEST_ARM, limits_digest(&session.limits)), 0);
    ask_line(0, 1, 1, 1, 0);
    check_bad_value(ask_u32(REQUEST_ARM, limits_digest(&session.limits)), 0);
    ask_u32(REQUEST_CLEAR_LIMITS, 0);
    CHECK_EQUAL(RESULT_BAD_LENGTH, reply()->body[0]);
    ask(REQUEST_CLEAR_LIMITS, NULL, 0);
    ask_heartbeat(1000);
    check_bad_value(ask_u32(REQUEST_ARM, limits_digest(&session.limits)), 0);
    ask_line(0, 1, 1, 1, 0);
    CHECK_EQUAL(RESULT_LIMITS_DIFFER, ask_u32(REQUEST_ARM, limits_digest(&session.limits) ^ 1));
    CHECK_EQUAL(limits_digest(&session.limits), wire_get_u32(reply()->body + 1));
    CHECK(!session.armed);
    CHECK_EQUAL(0, board.driven);
    CHECK(arm() != 0);
}

static void limits_stand_still_while_armed(void)
{
    uint32_t before;

    fake_start(1, RESET_POWER_ON);
    usual_arming();
    before = limits_digest(&session.limits);
    CHECK_EQUAL(RESULT_ARMED, ask_line(0, 1, 99999, 0, 0));
    CHECK_EQUAL(RESULT_ARMED, ask_stop(8, 0, 0));
    CHECK_EQUAL(RESULT_ARMED, ask_heartbeat(60000));
    CHECK_EQUAL(before, limits_digest(&session.limits));
    ask(REQUEST_DISARM, NULL, 0);
    CHECK_EQUAL(RESULT_OK, ask_heartbeat(60000));
}

static void disarmed_lines_stay_driven_until_the_limits_are_cleared(void)
{
    fake_start(1, RESET_POWER_ON);
    usual_arming();
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_DISARM, NULL, 0));
    CHECK(!session.armed);
    CHECK_EQUAL(0x07, board.driven);
    /* Another idle level is told: to the board behind the line that would be a command, so the pin keeps the one that it was armed with. */
    CHECK_EQUAL(RESULT_OK, ask_line(2, 1, 10000, 5000, 0));
    CHECK_EQUAL(0x03, board.driven_levels);
    CHECK_EQUAL(0x07, board.driven);
    /* Only ARM, which needs the digest, drives what is idle now. */
    arm();
    CHECK_EQUAL(0x07, board.driven_levels);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_CLEAR_LIMITS, NULL, 0));
    CHECK_EQUAL(0, board.driven);
    CHECK_EQUAL(0, session.limits.line_count);
    CHECK_EQUAL(0, session.limits.stop_count);
    CHECK_EQUAL(0, session.limits.heartbeat_ms);
    /* Declaring drives nothing. */
    ask_line(0, 1, 1, 1, 0);
    CHECK_EQUAL(0, board.driven);
}

static void a_line_declared_anew_is_not_touched_before_arming(void)
{
    fake_start(1, RESET_POWER_ON);
    ask_line(0, 1, 10, 10, 0);
    ask_heartbeat(1000);
    arm();
    ask(REQUEST_DISARM, NULL, 0);
    CHECK_EQUAL(RESULT_OK, ask_line(1, 1, 10, 10, 0));
    CHECK_EQUAL(0x01, board.driven);
    CHECK_EQUAL(0x01, board.driven_levels); /* a high level on an input would be its pull-up */
    arm();
    CHECK_EQUAL(0x03, board.driven);
    CHECK_EQUAL(0x03, board.driven_levels);
}

static void clearing_limits_disarms(void)
{
    fake_start(1, RESET_POWER_ON);
    usual_arming();
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_CLEAR_LIMITS, NULL, 0));
    CHECK(!session.armed);
    CHECK_EQUAL(0, board.driven);
}

static void a_failed_arming_disarms_too(void)
{
    fake_start(1, RESET_POWER_ON);
    usual_arming();
    CHECK_EQUAL(RESULT_LIMITS_DIFFER, ask_u32(REQUEST_ARM, limits_digest(&session.limits) ^ 0x80000000UL));
    CHECK(!session.armed);
}

const struct test limit_tests[] = {
    {"a line needs a line pin, an idle level and sensible neighbours", a_line_needs_a_line_pin_an_idle_level_and_sensible_neighbours},
    {"a stop needs a stop pin, a level and lines", a_stop_needs_a_stop_pin_a_level_and_lines},
    {"a heartbeat is 100 to 60000 ms", a_heartbeat_is_100_to_60000_ms},
    {"a full table has no room, but replaces", a_full_table_has_no_room_but_replaces},
    {"the digest is over ascending pins in wire form", the_digest_is_over_ascending_pins_in_wire_form},
    {"every limit changes the digest", every_limit_changes_the_digest},
    {"arming drives the declared lines at idle and gives a nonce", arming_drives_the_declared_lines_at_idle_and_gives_a_nonce},
    {"arming needs the right digest, a line and a heartbeat", arming_needs_the_right_digest_a_line_and_a_heartbeat},
    {"limits stand still while armed", limits_stand_still_while_armed},
    {"disarmed lines stay driven until the limits are cleared", disarmed_lines_stay_driven_until_the_limits_are_cleared},
    {"a line declared anew is not touched before arming", a_line_declared_anew_is_not_touched_before_arming},
    {"clearing limits disarms", clearing_limits_disarms},
    {"a failed arming disarms too", a_failed_arming_disarms_too},
    {NULL, NULL},
};
