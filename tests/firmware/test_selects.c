/* Select pins: what may be one, when they move, and that no line ever becomes one. */
#include "checks.h"
#include "crc32.h"
#include "fake_board.h"
#include "wire.h"

#define SELECT_PIN 3 /* a LINE pin that usual_arming leaves free, so that a program could name it */
#define SELECT_BIT 0x08u
#define IDLE_LEVELS 0x03u /* of usual_arming */

static uint8_t ask_selects(uint32_t mask) { return ask_u32(REQUEST_SELECTS, mask); }

static uint8_t ask_select(uint32_t nonce, uint32_t high)
{
    uint8_t body[8];

    wire_put_u32(body, nonce);
    wire_put_u32(body + 4, high);
    return ask(REQUEST_SELECT, body, sizeof body);
}

static void check_bad_value(uint8_t result, uint8_t offset)
{
    CHECK_EQUAL(RESULT_BAD_VALUE, result);
    CHECK_EQUAL(offset, reply()->body[1]);
}

/* usual_arming with one select pin. */
static uint32_t arming_with_a_select_pin(void)
{
    CHECK_EQUAL(RESULT_OK, ask_selects(SELECT_BIT));
    return usual_arming();
}

static void a_select_pin_is_no_line_no_stop_and_named_by_none(void)
{
    fake_start(1, RESET_POWER_ON);
    check_bad_value(ask_selects(0x10), 0);   /* a pin that cannot be one */
    check_bad_value(ask_selects(0x8000), 0); /* a pin that can do nothing */
    check_bad_value(ask_selects(0x80000008UL), 0);
    ask_line(0, 1, 1, 1, 0x02);
    check_bad_value(ask_selects(0x01), 0); /* a line */
    check_bad_value(ask_selects(0x02), 0); /* named as kept apart */
    ask_stop(8, 0, 0x04);
    check_bad_value(ask_selects(0x04), 0); /* named by a stop */
    check_bad_value(ask_selects(0x100), 0); /* that stop */
    CHECK_EQUAL(0, session.limits.selects);
    CHECK_EQUAL(RESULT_OK, ask_selects(SELECT_BIT));
    check_bad_value(ask_selects(SELECT_BIT | 0x01), 0);
    CHECK_EQUAL(SELECT_BIT, session.limits.selects); /* what is refused changes nothing */
    CHECK_EQUAL(RESULT_OK, ask_selects(0));
    CHECK_EQUAL(0, session.limits.selects);
}

static void a_line_or_stop_does_not_name_a_select_pin(void)
{
    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_OK, ask_selects(SELECT_BIT | 0x200));
    check_bad_value(ask_line(SELECT_PIN, 1, 1, 1, 0), 0);
    check_bad_value(ask_line(0, 1, 1, 1, SELECT_BIT), 10);
    check_bad_value(ask_stop(8, 0, SELECT_BIT), 2);
    check_bad_value(ask_stop(9, 0, 0), 0);
    CHECK_EQUAL(0, session.limits.line_count);
    CHECK_EQUAL(0, session.limits.stop_count);
}

static void select_pins_enter_the_digest_behind_the_heartbeat_and_only_when_there_are_some(void)
{
    uint8_t table[LINE_BODY_BYTES + 4 + 4] = {0, 1};
    uint32_t without;

    fake_start(1, RESET_POWER_ON);
    ask_line(0, 1, 5, 6, 0);
    ask_heartbeat(1000);
    wire_put_u32(table + 2, 5);
    wire_put_u32(table + 6, 6);
    wire_put_u32(table + LINE_BODY_BYTES, 1000);
    wire_put_u32(table + LINE_BODY_BYTES + 4, SELECT_BIT);
    without = limits_digest(&session.limits);
    CHECK_EQUAL(crc32_finish(crc32_add(CRC32_START, table, LINE_BODY_BYTES + 4)), without);
    ask_selects(SELECT_BIT);
    CHECK_EQUAL(crc32_finish(crc32_add(CRC32_START, table, sizeof table)), limits_digest(&session.limits));
    CHECK_EQUAL(RESULT_LIMITS_DIFFER, ask_u32(REQUEST_ARM, without));
    ask_selects(0);
    CHECK_EQUAL(without, limits_digest(&session.limits));
}

static void arming_drives_select_pins_low_and_select_moves_only_them(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_OK, ask_selects(SELECT_BIT));
    CHECK_EQUAL(0, board.driven); /* declaring drives nothing */
    nonce = usual_arming();
    CHECK_EQUAL(0x07 | SELECT_BIT, board.driven);
    CHECK_EQUAL(IDLE_LEVELS, board.driven_levels);
    CHECK_EQUAL(RESULT_OK, ask_select(nonce, SELECT_BIT));
    CHECK_EQUAL(0x07 | SELECT_BIT, board.driven);
    CHECK_EQUAL(IDLE_LEVELS | SELECT_BIT, board.driven_levels);
    CHECK_EQUAL(RESULT_OK, ask_select(nonce, SELECT_BIT)); /* repeated: the same */
    CHECK_EQUAL(IDLE_LEVELS | SELECT_BIT, board.driven_levels);
    CHECK_EQUAL(RESULT_OK, ask_select(nonce, 0));
    CHECK_EQUAL(IDLE_LEVELS, board.driven_levels);
}

static void select_needs_arming_the_nonce_and_declared_pins(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    ask_selects(SELECT_BIT);
    CHECK_EQUAL(RESULT_NOT_ARMED, ask_select(0, SELECT_BIT));
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_WRONG_NONCE, ask_select(nonce + 1, SELECT_BIT));
    check_bad_value(ask_select(nonce, 0x01), 4); /* a line */
    check_bad_value(ask_select(nonce, SELECT_BIT | 0x04), 4);
    check_bad_value(ask_select(nonce, 0x10), 4);
    CHECK_EQUAL(IDLE_LEVELS, board.driven_levels);
    CHECK_EQUAL(RESULT_OK, ask_select(nonce, SELECT_BIT));
    check_bad_value(ask_select(nonce, SELECT_BIT | 0x01), 4);
    CHECK_EQUAL(IDLE_LEVELS | SELECT_BIT, board.driven_levels);
}

static void whatever_disarms_leaves_select_pins_driven_low(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = arming_with_a_select_pin();
    ask_select(nonce, SELECT_BIT);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_DISARM, NULL, 0));
    CHECK_EQUAL(0x07 | SELECT_BIT, board.driven);
    CHECK_EQUAL(IDLE_LEVELS, board.driven_levels);
    CHECK_EQUAL(RESULT_NOT_ARMED, ask_select(nonce, SELECT_BIT));

    /* The heartbeat. */
    ask_select(arm(), SELECT_BIT);
    CHECK_EQUAL(IDLE_LEVELS | SELECT_BIT, board.driven_levels);
    pass(1000 * BOARD_TICKS_PER_MS);
    CHECK(!session.armed);
    CHECK_EQUAL(IDLE_LEVELS, board.driven_levels);

    /* An arming that fails, and one that does not: its pins begin low. */
    ask_select(arm(), SELECT_BIT);
    CHECK_EQUAL(RESULT_LIMITS_DIFFER, ask_u32(REQUEST_ARM, limits_digest(&session.limits) ^ 1));
    CHECK_EQUAL(IDLE_LEVELS, board.driven_levels);
    ask_select(arm(), SELECT_BIT);
    arm();
    CHECK_EQUAL(IDLE_LEVELS, board.driven_levels);

    /* CLEAR_LIMITS lets go of them, a reset too. */
    ask(REQUEST_CLEAR_LIMITS, NULL, 0);
    CHECK_EQUAL(0, board.driven);
    CHECK_EQUAL(0, session.limits.selects);
    fake_start(2, 0x08);
    CHECK_EQUAL(0, board.driven);
    CHECK_EQUAL(0, session.limits.selects);
}

static void a_burst_keeps_select_pins_where_they_are(void)
{
    static const struct step pulse[] = {{2000, ACTION_LINES, 1, 0}, {3000, ACTION_LINES, 0, 0}, {4000, ACTION_END, 0, 0}};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = arming_with_a_select_pin();
    ask_select(nonce, SELECT_BIT);
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, pulse, 3));
    /* A burst drives `lines` alone: no step can have the bit of a select pin. */
    CHECK_EQUAL(0x07, board.last_burst.lines);
    CHECK_EQUAL(IDLE_LEVELS, board.last_burst.idle_levels);
    CHECK_EQUAL(IDLE_LEVELS | SELECT_BIT, board.driven_levels);
}

static void a_lead_check_does_not_let_go_of_a_select_pin(void)
{
    uint8_t body[7] = {0, 0, 0, 0, 2, 13, 12};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_OK, ask_selects(0x1000)); /* pin 12, which is no LINE */
    nonce = usual_arming();
    wire_put_u32(body, nonce);
    check_bad_value(ask(REQUEST_LEADS, body, sizeof body), 6);
    CHECK_EQUAL(0, board.leads_driven);
    body[6] = 14;
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_LEADS, body, sizeof body));
}

static void a_program_that_names_a_select_pin_is_refused(void)
{
    static const struct step steps[] = {{2000, ACTION_LINES, 1, 0}, {3000, ACTION_LINES, SELECT_BIT, 0}, {4000, ACTION_END, 0, 0}};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = arming_with_a_select_pin();
    CHECK_EQUAL(RESULT_PROGRAM_REFUSED, run(nonce, 1, steps, 3));
    CHECK_EQUAL(1, reply()->body[1]);
    CHECK_EQUAL(REFUSAL_UNDECLARED, reply()->body[2]);
    CHECK_EQUAL(0, board.bursts);
}

static void select_pins_stand_still_while_armed(void)
{
    fake_start(1, RESET_POWER_ON);
    arming_with_a_select_pin();
    CHECK_EQUAL(RESULT_ARMED, ask_selects(0));
    CHECK_EQUAL(RESULT_ARMED, ask_selects(0x01));
    CHECK_EQUAL(SELECT_BIT, session.limits.selects);
    CHECK(session.armed);
}

/* Who speaks the protocol without a fault, and knows the nonce: the way from a line to a select pin leads through CLEAR_LIMITS, which lets go of it. */
static void no_order_of_good_requests_makes_a_select_pin_of_a_declared_line(void)
{
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = arming_with_a_select_pin();
    CHECK_EQUAL(RESULT_ARMED, ask_selects(0x01));
    check_bad_value(ask_select(nonce, 0x01), 4);
    ask(REQUEST_DISARM, NULL, 0);
    check_bad_value(ask_selects(0x01), 0);
    check_bad_value(ask_selects(SELECT_BIT | 0x01), 0);
    nonce = arm();
    check_bad_value(ask_select(nonce, 0x01), 4);
    CHECK_EQUAL(IDLE_LEVELS, board.driven_levels);
    CHECK_EQUAL(0x07 | SELECT_BIT, board.driven);
    ask(REQUEST_CLEAR_LIMITS, NULL, 0);
    CHECK_EQUAL(0, board.driven);
    CHECK_EQUAL(RESULT_OK, ask_selects(0x01));
    CHECK_EQUAL(0, board.driven);
}

const struct test select_tests[] = {
    {"a select pin is no line, no stop, and named by none", a_select_pin_is_no_line_no_stop_and_named_by_none},
    {"a line or stop does not name a select pin", a_line_or_stop_does_not_name_a_select_pin},
    {"select pins enter the digest behind the heartbeat, and only when there are some",
     select_pins_enter_the_digest_behind_the_heartbeat_and_only_when_there_are_some},
    {"arming drives select pins low, and SELECT moves only them", arming_drives_select_pins_low_and_select_moves_only_them},
    {"SELECT needs arming, the nonce, and declared pins", select_needs_arming_the_nonce_and_declared_pins},
    {"whatever disarms leaves select pins driven low", whatever_disarms_leaves_select_pins_driven_low},
    {"a burst keeps select pins where they are", a_burst_keeps_select_pins_where_they_are},
    {"a lead check does not let go of a select pin", a_lead_check_does_not_let_go_of_a_select_pin},
    {"a program that names a select pin is refused", a_program_that_names_a_select_pin_is_refused},
    {"select pins stand still while armed", select_pins_stand_still_while_armed},
    {"no order of good requests makes a select pin of a declared line", no_order_of_good_requests_makes_a_select_pin_of_a_declared_line},
    {NULL, NULL},
};
