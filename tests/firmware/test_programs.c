/* Programs: each refusal, at its edge from both sides. Limits: see usual_arming. */
#include "checks.h"
#include "fake_board.h"
#include "wire.h"

#define COUNT(steps) ((uint8_t)(sizeof(steps) / sizeof((steps)[0])))
#define EXPECT(why, at_step, ...)                                       \
    do {                                                                \
        const struct step steps_[] = {__VA_ARGS__};                     \
        expect(why, at_step, steps_, COUNT(steps_), __LINE__);          \
    } while (0)

static uint32_t run_number;

/* RUN on a fresh device; a run number that was refused must not count as accepted, and nothing may be run. */
static void expect(enum refusal why, uint8_t step, const struct step *steps, uint8_t count, int line)
{
    const unsigned failed_before = checks_failed_here;
    uint32_t nonce;
    uint8_t result;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    result = run(nonce, ++run_number, steps, count);
    if (why == REFUSAL_NONE) {
        CHECK_EQUAL(RESULT_OK, result);
        CHECK_EQUAL(1, board.bursts);
        CHECK_EQUAL(steps[count - 1].at, wire_get_u32(reply()->body + 1));
        CHECK_EQUAL(run_number, session.capture.run_number);
    } else {
        CHECK_EQUAL(RESULT_PROGRAM_REFUSED, result);
        CHECK_EQUAL(step, reply()->body[1]);
        CHECK_EQUAL(why, reply()->body[2]);
        CHECK_EQUAL(0, board.bursts);
        CHECK_EQUAL(0, session.capture.run_number);
    }
    if (checks_failed_here != failed_before)
        fprintf(stderr, "  in the case of line %d\n", line);
}

static void the_first_step_is_not_before_1600(void)
{
    EXPECT(REFUSAL_NONE, 0, {1600, ACTION_LINES, 1, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_ORDER, 0, {1599, ACTION_LINES, 1, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_ORDER, 0, {0, ACTION_END, 0, 0});
    EXPECT(REFUSAL_NONE, 0, {1600, ACTION_END, 0, 0});
}

static void steps_are_320_ticks_apart(void)
{
    EXPECT(REFUSAL_NONE, 0, {1600, ACTION_LINES, 1, 0}, {1920, ACTION_END, 0, 0});
    EXPECT(REFUSAL_ORDER, 1, {1600, ACTION_LINES, 1, 0}, {1919, ACTION_END, 0, 0});
    EXPECT(REFUSAL_ORDER, 1, {5000, ACTION_LINES, 1, 0}, {4000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_ORDER, 1, {5000, ACTION_LINES, 1, 0}, {5000, ACTION_END, 0, 0});
}

static void a_measure_takes_its_conversions(void)
{
    /* 2 pins, 3 times, 1000 ticks each. */
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_MEASURE, 0x05, 3}, {8000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_ORDER, 1, {2000, ACTION_MEASURE, 0x05, 3}, {7999, ACTION_END, 0, 0});
    EXPECT(REFUSAL_ORDER, 1, {2000, ACTION_MEASURE, 0x01, 255}, {256999, ACTION_END, 0, 0});
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_MEASURE, 0x01, 255}, {257000, ACTION_END, 0, 0});
}

static void actions_and_fields_are_checked(void)
{
    EXPECT(REFUSAL_FIELD, 0, {1600, 3, 0, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_FIELD, 0, {1600, 255, 0, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_FIELD, 0, {1600, ACTION_LINES, 1, 1}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_FIELD, 1, {1600, ACTION_LINES, 1, 0}, {5000, ACTION_END, 1, 0});
    EXPECT(REFUSAL_FIELD, 1, {1600, ACTION_LINES, 1, 0}, {5000, ACTION_END, 0, 1});
    EXPECT(REFUSAL_FIELD, 0, {1600, ACTION_MEASURE, 0, 1}, {9000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_FIELD, 0, {1600, ACTION_MEASURE, 1, 0}, {9000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_FIELD, 0, {1600, ACTION_MEASURE, 0x10, 1}, {9000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_FIELD, 0, {1600, ACTION_MEASURE, 0x80000001UL, 1}, {9000, ACTION_END, 0, 0});
}

static void end_comes_last_and_once(void)
{
    EXPECT(REFUSAL_END, 0, {1600, ACTION_LINES, 1, 0});
    EXPECT(REFUSAL_END, 0, {1600, ACTION_MEASURE, 1, 1});
    EXPECT(REFUSAL_END, 0, {1600, ACTION_END, 0, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_END, 1, {1600, ACTION_LINES, 1, 0}, {3000, ACTION_END, 0, 0}, {5000, ACTION_LINES, 0, 0});
}

static void a_line_is_on_no_longer_than_its_longest(void)
{
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_LINES, 1, 0}, {12000, ACTION_LINES, 0, 0}, {20000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_LONGEST_ON, 1, {2000, ACTION_LINES, 1, 0}, {12001, ACTION_LINES, 0, 0}, {20000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_LINES, 1, 0}, {12000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_LONGEST_ON, 1, {2000, ACTION_LINES, 1, 0}, {12001, ACTION_END, 0, 0});
    /* It stays on while another one comes and goes, and through a MEASURE. */
    EXPECT(REFUSAL_LONGEST_ON, 3, {2000, ACTION_LINES, 1, 0}, {5000, ACTION_LINES, 5, 0}, {8000, ACTION_LINES, 1, 0},
           {12001, ACTION_END, 0, 0});
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_LINES, 1, 0}, {5000, ACTION_LINES, 5, 0}, {8000, ACTION_LINES, 1, 0}, {12000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_LONGEST_ON, 2, {2000, ACTION_LINES, 1, 0}, {5000, ACTION_MEASURE, 1, 1}, {12001, ACTION_END, 0, 0});
    /* The later one counts from when it came on. */
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_LINES, 1, 0}, {7000, ACTION_LINES, 4, 0}, {17000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_LONGEST_ON, 2, {2000, ACTION_LINES, 1, 0}, {7000, ACTION_LINES, 4, 0}, {17001, ACTION_END, 0, 0});
}

static void lines_kept_apart_are_not_on_together_whoever_named_whom(void)
{
    EXPECT(REFUSAL_KEPT_APART, 0, {2000, ACTION_LINES, 3, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_KEPT_APART, 1, {2000, ACTION_LINES, 2, 0}, {4000, ACTION_LINES, 3, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_LINES, 1, 0}, {4000, ACTION_LINES, 2, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_LINES, 5, 0}, {4000, ACTION_LINES, 6, 0}, {5000, ACTION_END, 0, 0});
}

static void a_line_gets_its_rest(void)
{
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_LINES, 1, 0}, {3000, ACTION_LINES, 0, 0}, {8000, ACTION_LINES, 1, 0}, {9000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_REST, 2, {2000, ACTION_LINES, 1, 0}, {3000, ACTION_LINES, 0, 0}, {7999, ACTION_LINES, 1, 0}, {9000, ACTION_END, 0, 0});
    /* Another line's turn is rest, too; and each line has its own. */
    EXPECT(REFUSAL_REST, 2, {2000, ACTION_LINES, 1, 0}, {3000, ACTION_LINES, 4, 0}, {7999, ACTION_LINES, 1, 0}, {9000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_LINES, 1, 0}, {3000, ACTION_LINES, 4, 0}, {8000, ACTION_LINES, 1, 0}, {9000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_LINES, 1, 0}, {3000, ACTION_LINES, 2, 0}, {4000, ACTION_LINES, 4, 0}, {9000, ACTION_END, 0, 0});
}

static void only_declared_lines_are_switched(void)
{
    EXPECT(REFUSAL_UNDECLARED, 0, {2000, ACTION_LINES, 8, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_UNDECLARED, 0, {2000, ACTION_LINES, 0x80000000UL, 0}, {5000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_UNDECLARED, 1, {2000, ACTION_LINES, 1, 0}, {4000, ACTION_LINES, 0x11, 0}, {5000, ACTION_END, 0, 0});
}

static void a_burst_is_at_most_half_the_heartbeat(void)
{
    EXPECT(REFUSAL_NONE, 0, {500000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_TOO_LONG, 0, {500001, ACTION_END, 0, 0});
    EXPECT(REFUSAL_TOO_LONG, 0, {0xFFFFFFFFUL, ACTION_END, 0, 0});
    EXPECT(REFUSAL_TOO_LONG, 1, {499900, ACTION_MEASURE, 1, 1}, {500900, ACTION_END, 0, 0});
}

static void half_of_an_odd_heartbeat_is_not_rounded_and_the_board_has_its_own_longest(void)
{
    const struct step half[] = {{50500, ACTION_END, 0, 0}};
    const struct step longer[] = {{50501, ACTION_END, 0, 0}};
    const struct step longest[] = {{20000000, ACTION_END, 0, 0}};
    const struct step too_long[] = {{20000001, ACTION_END, 0, 0}};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    ask_line(0, 1, 10, 10, 0);
    ask_heartbeat(101);
    nonce = arm();
    CHECK_EQUAL(RESULT_PROGRAM_REFUSED, run(nonce, 1, longer, 1));
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, half, 1));

    fake_start(1, RESET_POWER_ON);
    ask_line(0, 1, 10, 10, 0);
    ask_heartbeat(60000);
    nonce = arm();
    CHECK_EQUAL(RESULT_PROGRAM_REFUSED, run(nonce, 1, too_long, 1));
    CHECK_EQUAL(REFUSAL_TOO_LONG, reply()->body[2]);
    CHECK_EQUAL(RESULT_OK, run(nonce, 1, longest, 1));
}

static void the_digest_covers_every_step(void)
{
    const struct step steps[] = {{2000, ACTION_LINES, 1, 0}, {5000, ACTION_END, 0, 0}};
    uint32_t nonce;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    for (unsigned byte = 0; byte < 2 * STEP_BYTES; byte++) {
        uint8_t body[13];

        CHECK_EQUAL(RESULT_OK, load(nonce, steps, 2));
        session.program.steps[byte / STEP_BYTES][byte % STEP_BYTES] ^= 0x40;
        wire_put_u32(body, nonce);
        wire_put_u32(body + 4, 1);
        body[8] = 2;
        wire_put_u32(body + 9, digest(steps, 2));
        CHECK_EQUAL(RESULT_PROGRAM_REFUSED, ask(REQUEST_RUN, body, sizeof body));
        CHECK_EQUAL(0, reply()->body[1]);
        CHECK_EQUAL(REFUSAL_DIGEST, reply()->body[2]);
    }
    CHECK_EQUAL(0, board.bursts);
}

static void levels_need_room(void)
{
    /* Room for 6. */
    EXPECT(REFUSAL_NONE, 0, {2000, ACTION_MEASURE, 0x0F, 1}, {6000, ACTION_MEASURE, 0x03, 1}, {9000, ACTION_END, 0, 0});
    EXPECT(REFUSAL_LEVEL_ROOM, 1, {2000, ACTION_MEASURE, 0x0F, 1}, {6000, ACTION_MEASURE, 0x07, 1}, {9000, ACTION_END, 0, 0});
}

const struct test program_tests[] = {
    {"the first step is not before 1600", the_first_step_is_not_before_1600},
    {"steps are 320 ticks apart", steps_are_320_ticks_apart},
    {"a measure takes its conversions", a_measure_takes_its_conversions},
    {"actions and fields are checked", actions_and_fields_are_checked},
    {"end comes last and once", end_comes_last_and_once},
    {"a line is on no longer than its longest", a_line_is_on_no_longer_than_its_longest},
    {"lines kept apart are not on together, whoever named whom", lines_kept_apart_are_not_on_together_whoever_named_whom},
    {"a line gets its rest", a_line_gets_its_rest},
    {"only declared lines are switched", only_declared_lines_are_switched},
    {"a burst is at most half the heartbeat", a_burst_is_at_most_half_the_heartbeat},
    {"half of an odd heartbeat is not rounded, and the board has its own longest",
     half_of_an_odd_heartbeat_is_not_rounded_and_the_board_has_its_own_longest},
    {"the digest covers every step", the_digest_covers_every_step},
    {"levels need room", levels_need_room},
    {NULL, NULL},
};
