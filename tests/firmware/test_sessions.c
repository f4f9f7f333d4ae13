/* Requests for information, nonces, heartbeat, boot. */
#include "checks.h"
#include "fake_board.h"
#include "wire.h"

static void boot_is_told_with_its_cause_and_a_session_that_differs(void)
{
    uint32_t sessions[50];

    for (uint32_t boot = 0; boot < 50; boot++) {
        const struct sent_frame *sent;

        fake_start(boot + 7, 0x08);
        sent = notice(NOTICE_BOOT);
        CHECK(sent != NULL && sent->length == 5);
        CHECK_EQUAL(0x08, sent->body[0]);
        sessions[boot] = wire_get_u32(sent->body + 1);
        CHECK_EQUAL(session.session_number, sessions[boot]);
        for (uint32_t earlier = 0; earlier < boot; earlier++)
            CHECK(sessions[boot] != sessions[earlier]);
    }
}

static void after_a_reset_nothing_is_driven_or_armed(void)
{
    fake_start(1, RESET_POWER_ON);
    usual_arming();
    fake_start(2, 0x08);
    CHECK_EQUAL(0, board.driven);
    CHECK(!session.armed);
    CHECK_EQUAL(0, session.limits.line_count);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_STATUS, NULL, 0));
    CHECK_EQUAL(19, reply()->length); /* no DONE body: nothing was run */
    CHECK_EQUAL(0, reply()->body[1]);
    CHECK_EQUAL(0x08, reply()->body[2]);
    CHECK_EQUAL(0, wire_get_u32(reply()->body + 15));
}

static void identify_tells_the_board(void)
{
    const uint8_t *body;

    fake_start(9, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_IDENTIFY, NULL, 0));
    body = reply()->body + 1;
    CHECK(memcmp(body, "TRig\x01\x02", 6) == 0);
    CHECK_EQUAL(session.session_number, wire_get_u32(body + 8));
    CHECK_EQUAL(1000000, wire_get_u32(body + 12));
    CHECK_EQUAL(50, wire_get_u32(body + 16));
    CHECK_EQUAL(20, wire_get_u16(body + 20));
    CHECK_EQUAL(8, wire_get_u16(body + 22));
    CHECK_EQUAL(50, wire_get_u16(body + 24));
    CHECK_EQUAL(45, wire_get_u16(body + 26));
    CHECK_EQUAL(65536, wire_get_u32(body + 28));
    CHECK_EQUAL(300, wire_get_u32(body + 32));
    CHECK_EQUAL(66000, wire_get_u32(body + 36));
    CHECK_EQUAL(10, body[40]);
    CHECK_EQUAL(5000, wire_get_u32(body + 41));
    CHECK_EQUAL(50000, wire_get_u32(body + 45));
    CHECK_EQUAL(1000, wire_get_u32(body + 49));
    CHECK_EQUAL(800, wire_get_u16(body + 53));
    CHECK_EQUAL(3200, wire_get_u16(body + 55));
    CHECK_EQUAL(4800, wire_get_u16(body + 57));
    CHECK_EQUAL(16, body[59]);
    CHECK_EQUAL(2, body[60]);
    CHECK_EQUAL(8, body[61]);
    CHECK_EQUAL(40, wire_get_u16(body + 62));
    CHECK_EQUAL(6, body[64]);
    CHECK_EQUAL(8, body[65]);
    CHECK_EQUAL(20000, wire_get_u32(body + 66));
    CHECK_EQUAL(4, body[70]);
    CHECK(memcmp(body + 71, "fake", 4) == 0);
    CHECK_EQUAL(1 + 75, reply()->length);
}

static void pins_are_told_from_any_first_one(void)
{
    const uint8_t first = 14, beyond = 16;

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_PINS, &first, 1));
    CHECK_EQUAL(1 + 2 + 2 * 4, reply()->length);
    CHECK_EQUAL(16, reply()->body[1]);
    CHECK_EQUAL(14, reply()->body[2]);
    CHECK_EQUAL(PIN_SENSE | PIN_SELECT, reply()->body[3]);
    CHECK_EQUAL(2, reply()->body[4]);
    CHECK(memcmp(reply()->body + 5, "Po", 2) == 0);
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_PINS, &beyond, 1));
    CHECK_EQUAL(0, reply()->body[1]);
}

static void lengths_and_types_are_checked(void)
{
    static const struct {
        uint8_t type, shortest, longest;
    } requests[] = {
        {REQUEST_IDENTIFY, 0, 0}, {REQUEST_PINS, 1, 1}, {REQUEST_STATUS, 0, 0}, {REQUEST_INPUTS, 0, 0}, {REQUEST_LEVELS, 5, 5},
        {REQUEST_ALIVE, 0, 0}, {REQUEST_CLEAR_LIMITS, 0, 0}, {REQUEST_LINE, 14, 14}, {REQUEST_STOP, 6, 6}, {REQUEST_HEARTBEAT, 4, 4},
        {REQUEST_ARM, 4, 4}, {REQUEST_DISARM, 0, 0}, {REQUEST_RUN, 13, 13}, {REQUEST_CHANGES, 7, 7}, {REQUEST_LEVEL_RECORDS, 6, 6},
        {REQUEST_GAPS, 6, 6}, {REQUEST_SELECTS, 4, 4}, {REQUEST_SELECT, 8, 8}, {REQUEST_LEADS, 5, 244}, {REQUEST_LOAD, 6, 244},
        {REQUEST_FINE, 6, 6}, {REQUEST_FINE_RECORD, 4, 4},
    };
    static const uint8_t unknown[] = {0x08, 0x0F, 0x15, 0x23, 0x2F, 0x37, 0x6F};
    const uint8_t zeros[BODY_LARGEST] = {0};

    fake_start(1, RESET_POWER_ON);
    for (unsigned i = 0; i < sizeof requests / sizeof requests[0]; i++) {
        if (requests[i].shortest > 0)
            CHECK_EQUAL(RESULT_BAD_LENGTH, ask(requests[i].type, zeros, requests[i].shortest - 1u));
        if (requests[i].longest < BODY_LARGEST)
            CHECK_EQUAL(RESULT_BAD_LENGTH, ask(requests[i].type, zeros, requests[i].longest + 1u));
        CHECK(ask(requests[i].type, zeros, requests[i].shortest) != RESULT_BAD_LENGTH);
    }
    for (unsigned i = 0; i < sizeof unknown; i++)
        CHECK_EQUAL(RESULT_UNKNOWN_REQUEST, ask(unknown[i], NULL, 0));
}

static void levels_are_read_for_each_bit(void)
{
    const uint8_t good[5] = {0x0A, 0, 0, 0, 64};
    const uint8_t no_pin[5] = {0, 0, 0, 0, 1}, no_such_pin[5] = {0x10, 0, 0, 0, 1};
    const uint8_t no_samples[5] = {1, 0, 0, 0, 0}, too_many[5] = {1, 0, 0, 0, 65};

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_LEVELS, good, 5));
    CHECK_EQUAL(1 + 24, reply()->length);
    CHECK_EQUAL(1, reply()->body[1]);
    CHECK_EQUAL(64, reply()->body[2]);
    CHECK_EQUAL(3, reply()->body[13]);
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEVELS, no_pin, 5));
    CHECK_EQUAL(0, reply()->body[1]);
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEVELS, no_such_pin, 5));
    CHECK_EQUAL(0, reply()->body[1]);
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEVELS, no_samples, 5));
    CHECK_EQUAL(4, reply()->body[1]);
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEVELS, too_many, 5));
    CHECK_EQUAL(4, reply()->body[1]);
    CHECK_EQUAL(2, board.levels_read);
}

static void leads_are_checked_only_armed_and_never_on_pins_that_can_drive(void)
{
    uint8_t body[8] = {0, 0, 0, 0, 3, 5, 8, 13};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(RESULT_NOT_ARMED, ask(REQUEST_LEADS, body, 8));
    nonce = usual_arming();
    wire_put_u32(body, nonce + 1);
    CHECK_EQUAL(RESULT_WRONG_NONCE, ask(REQUEST_LEADS, body, 8));
    CHECK_EQUAL(0, board.leads_driven);
    wire_put_u32(body, nonce);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_LEADS, body, 8));
    CHECK_EQUAL(3, board.leads_driven);
    CHECK_EQUAL(1 + 9, reply()->length);
    CHECK_EQUAL(5, reply()->body[1]);
    CHECK_EQUAL(0, reply()->body[2]);
    CHECK_EQUAL(1, reply()->body[3]);
    CHECK_EQUAL(8, reply()->body[4]);
    CHECK_EQUAL(0, reply()->body[5]);
    CHECK_EQUAL(13, reply()->body[7]);
    CHECK_EQUAL(RESULT_BAD_LENGTH, ask(REQUEST_LEADS, body, 7));
    body[6] = 0; /* a declared line */
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEADS, body, 8));
    CHECK_EQUAL(6, reply()->body[1]);
    body[6] = 3; /* could be a line */
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEADS, body, 8));
    body[6] = 15; /* senses nothing */
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEADS, body, 8));
    body[6] = 16; /* is not there */
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEADS, body, 8));
    CHECK_EQUAL(3, board.leads_driven);
    body[4] = 0;
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEADS, body, 5));
    CHECK_EQUAL(4, reply()->body[1]);
    body[4] = 17; /* more than there are pins */
    CHECK_EQUAL(RESULT_BAD_VALUE, ask(REQUEST_LEADS, body, 5));
    CHECK_EQUAL(4, reply()->body[1]);
    body[4] = 16; /* as many: only the length is wrong */
    CHECK_EQUAL(RESULT_BAD_LENGTH, ask(REQUEST_LEADS, body, 5));
}

static void a_nonce_is_never_0_and_never_the_last_one(void)
{
    uint32_t last = 0;

    fake_start(1, RESET_POWER_ON);
    usual_arming();
    for (unsigned i = 0; i < 2000; i++) {
        const uint32_t nonce = arm();

        CHECK(nonce != 0);
        CHECK(nonce != last);
        last = nonce;
    }
}

static void a_nonce_changes_with_a_reset_and_with_the_instant(void)
{
    uint32_t first, second, third;

    fake_start(1, RESET_POWER_ON);
    first = usual_arming();
    fake_start(2, RESET_POWER_ON);
    second = usual_arming();
    fake_start(2, RESET_POWER_ON);
    board.entropy = 77;
    third = usual_arming();
    CHECK(first != second);
    CHECK(second != third);
}

static void the_heartbeat_disarms_a_device_that_hears_nothing(void)
{
    fake_start(1, RESET_POWER_ON);
    usual_arming();
    pass(999999);
    CHECK(session.armed);
    CHECK(notice(NOTICE_DISARMED) == NULL);
    pass(1);
    CHECK(!session.armed);
    CHECK(notice(NOTICE_DISARMED) != NULL && notice(NOTICE_DISARMED)->body[0] == DISARMED_HEARTBEAT);
    CHECK_EQUAL(0x07, board.driven); /* still at idle */
}

static void any_valid_request_feeds_the_heartbeat_and_noise_does_not(void)
{
    fake_start(1, RESET_POWER_ON);
    usual_arming();
    for (unsigned i = 0; i < 5; i++) {
        pass(600000);
        CHECK_EQUAL(RESULT_UNKNOWN_REQUEST, ask(0x6F, NULL, 0));
        pass(600000);
        CHECK_EQUAL(RESULT_OK, ask(REQUEST_ALIVE, NULL, 0));
    }
    CHECK(session.armed);
    pass(900000);
    for (unsigned i = 0; i < 1000; i++)
        session_receive(&session, (uint8_t)(i * 7));
    pass(100000);
    CHECK(!session.armed);
}

static void a_frame_that_comes_too_late_finds_the_device_disarmed(void)
{
    fake_start(1, RESET_POWER_ON);
    usual_arming();
    board.ticks += 1000000; /* nobody looked meanwhile */
    CHECK_EQUAL(RESULT_OK, ask_heartbeat(2000)); /* ARMED otherwise */
    CHECK(notice(NOTICE_DISARMED) != NULL);
}

static void a_host_that_waits_for_an_answer_is_not_silent(void)
{
    const uint8_t body[5] = {0x0F, 0, 0, 0, 64};

    fake_start(1, RESET_POWER_ON);
    usual_arming();
    board.level_ticks = 600000;
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_LEVELS, body, 5));
    session_tick(&session);
    CHECK(session.armed);
    pass(999999);
    CHECK(session.armed);
    pass(1);
    CHECK(!session.armed);
}

static void the_heartbeat_outlives_the_timer_going_round(void)
{
    fake_start(1, RESET_POWER_ON);
    board.ticks = 0xFFFFFF00UL;
    session_tick(&session);
    usual_arming();
    pass(0x200);
    CHECK(session.armed);
    pass(1000000 - 0x200);
    CHECK(!session.armed);
}

static uint8_t echoed[PAYLOAD_LARGEST];
static unsigned echoed_count;
static void echo(uint8_t byte) { echoed[echoed_count++] = byte; }

static void our_own_words_are_not_answered_and_are_no_sign_of_life(void)
{
    static const uint8_t types[] = {0x00, 0x70, 0x7F, 0x81, 0xA0, 0xF0, 0xFF};

    fake_start(1, RESET_POWER_ON);
    usual_arming();
    pass(999999);
    for (unsigned i = 0; i < sizeof types; i++) {
        uint8_t payload[PAYLOAD_LARGEST] = {types[i], 1};
        const unsigned before = board.frame_count;

        echoed_count = 0;
        frame_send(payload, 0, echo);
        for (unsigned k = 0; k < echoed_count; k++)
            session_receive(&session, echoed[k]);
        CHECK_EQUAL(before, board.frame_count);
    }
    CHECK_EQUAL(sizeof types, session.receiver.thrown_away);
    pass(1);
    CHECK(!session.armed);
}

static void status_counts_frames(void)
{
    fake_start(1, RESET_POWER_ON);
    ask(REQUEST_ALIVE, NULL, 0);
    session_receive(&session, 0x33);
    session_receive(&session, 0x00);
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_STATUS, NULL, 0));
    CHECK_EQUAL(2, wire_get_u32(reply()->body + 3));
    CHECK_EQUAL(1, wire_get_u32(reply()->body + 7));
    CHECK_EQUAL(3, wire_get_u32(reply()->body + 11));
    usual_arming();
    ask(REQUEST_STATUS, NULL, 0);
    CHECK_EQUAL(1, reply()->body[1]);
}

static void inputs_tell_time_and_levels(void)
{
    fake_start(1, RESET_POWER_ON);
    board.ticks = 123456;
    board.levels[0] = 0x5A;
    CHECK_EQUAL(RESULT_OK, ask(REQUEST_INPUTS, NULL, 0));
    CHECK_EQUAL(7, reply()->length);
    CHECK_EQUAL(123456, wire_get_u32(reply()->body + 1));
    CHECK_EQUAL(0x5A, reply()->body[5]);
    CHECK_EQUAL(0xFF, reply()->body[6]);
}

static void notices_count_by_themselves(void)
{
    fake_start(1, RESET_POWER_ON);
    CHECK_EQUAL(0, notice(NOTICE_BOOT)->seq);
    usual_arming();
    pass(2000000);
    CHECK_EQUAL(1, notice(NOTICE_DISARMED)->seq);
}

const struct test session_tests[] = {
    {"boot is told with its cause and a session that differs", boot_is_told_with_its_cause_and_a_session_that_differs},
    {"after a reset nothing is driven or armed", after_a_reset_nothing_is_driven_or_armed},
    {"identify tells the board", identify_tells_the_board},
    {"pins are told from any first one", pins_are_told_from_any_first_one},
    {"lengths and types are checked", lengths_and_types_are_checked},
    {"levels are read for each bit", levels_are_read_for_each_bit},
    {"leads are checked only armed, and never on pins that can drive", leads_are_checked_only_armed_and_never_on_pins_that_can_drive},
    {"a nonce is never 0 and never the last one", a_nonce_is_never_0_and_never_the_last_one},
    {"a nonce changes with a reset and with the instant", a_nonce_changes_with_a_reset_and_with_the_instant},
    {"the heartbeat disarms a device that hears nothing", the_heartbeat_disarms_a_device_that_hears_nothing},
    {"any valid request feeds the heartbeat, and noise does not", any_valid_request_feeds_the_heartbeat_and_noise_does_not},
    {"a frame that comes too late finds the device disarmed", a_frame_that_comes_too_late_finds_the_device_disarmed},
    {"a host that waits for an answer is not silent", a_host_that_waits_for_an_answer_is_not_silent},
    {"the heartbeat outlives the timer going round", the_heartbeat_outlives_the_timer_going_round},
    {"our own words are not answered and are no sign of life", our_own_words_are_not_answered_and_are_no_sign_of_life},
    {"status counts frames", status_counts_frames},
    {"inputs tell time and levels", inputs_tell_time_and_levels},
    {"notices count by themselves", notices_count_by_themselves},
    {NULL, NULL},
};
