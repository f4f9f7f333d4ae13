/* Garbage must never arm, drive or run. Seeds are fixed, and told on failure. */
#include "checks.h"
#include "fake_board.h"
#include "wire.h"

static uint32_t state;

/* xorshift32 (Marsaglia, Journal of Statistical Software 8(14), 2003). */
static uint32_t random_u32(void)
{
    state ^= state << 13;
    state ^= state >> 17;
    state ^= state << 5;
    return state;
}

static void check_untouched(uint32_t seed)
{
    CHECK(!session.armed);
    CHECK_EQUAL(0, board.driven);
    CHECK_EQUAL(0, board.bursts);
    CHECK_EQUAL(0, board.leads_driven);
    if (checks_failed_here != 0)
        fprintf(stderr, "  seed %u\n", (unsigned)seed);
}

static void random_bytes_change_nothing(void)
{
    for (uint32_t seed = 1; seed <= 10; seed++) {
        fake_start(seed, RESET_POWER_ON);
        state = seed;
        for (unsigned i = 0; i < 100000; i++) {
            /* Delimiters often enough that every length of frame comes. */
            session_receive(&session, random_u32() % 16 == 0 ? 0 : (uint8_t)random_u32());
        }
        CHECK(session.receiver.thrown_away > 1000);
        check_untouched(seed);
    }
}

static uint8_t sent[512];
static unsigned sent_count;
static void collect(uint8_t byte) { sent[sent_count++] = byte; }

static void good_frames_of_random_content_do_not_drive_without_arming(void)
{
    for (uint32_t seed = 1; seed <= 10; seed++) {
        fake_start(seed, RESET_POWER_ON);
        state = seed * 2654435761u;
        for (unsigned i = 0; i < 3000; i++) {
            uint8_t payload[PAYLOAD_LARGEST];
            const uint8_t length = (uint8_t)(random_u32() % (BODY_LARGEST + 1));

            payload[0] = (uint8_t)(random_u32() % 0x38);
            payload[1] = (uint8_t)i;
            for (unsigned k = 0; k < length; k++)
                payload[2 + k] = (uint8_t)random_u32();
            sent_count = 0;
            frame_send(payload, length, collect);
            for (unsigned k = 0; k < sent_count; k++)
                session_receive(&session, sent[k]);
        }
        check_untouched(seed);
    }
}

/* Good frames of a host that knows the nonce: whatever they declare and select, no line of the arming leaves its idle level outside a burst, none becomes a
   select pin without having been let go of, and a burst gets each line's idle level as it was declared. */
static void a_hostile_host_makes_no_select_pin_of_an_armed_line(void)
{
    static const uint8_t types[] = {REQUEST_SELECTS, REQUEST_SELECTS, REQUEST_SELECT, REQUEST_SELECT,       REQUEST_SELECT, REQUEST_LINE,
                                    REQUEST_STOP,    REQUEST_ARM,     REQUEST_ARM,    REQUEST_CLEAR_LIMITS, REQUEST_DISARM, REQUEST_RUN};
    unsigned selected = 0, refused = 0, cleared = 0;

    for (uint32_t seed = 1; seed <= 10; seed++) {
        uint32_t was_line = 0;

        fake_start(seed, RESET_POWER_ON);
        state = seed * 2654435761u;
        for (unsigned i = 0; i < 3000; i++) {
            uint8_t payload[PAYLOAD_LARGEST] = {types[random_u32() % sizeof types], (uint8_t)i};
            uint8_t *const body = payload + 2;
            uint8_t length = 0;

            if (random_u32() % 16 == 0) {
                ask(REQUEST_CLEAR_LIMITS, NULL, 0);
                ask_u32(REQUEST_SELECTS, 0x08);
                CHECK(usual_arming() != 0);
                was_line = 0;
                cleared++;
            }
            wire_put_u32(body, session.nonce);
            switch (payload[0]) {
            case REQUEST_SELECTS:
                wire_put_u32(body, random_u32() % 16);
                length = 4;
                break;
            case REQUEST_SELECT:
                wire_put_u32(body + 4, random_u32() % 16);
                length = 8;
                break;
            case REQUEST_LINE:
                body[0] = (uint8_t)(random_u32() % 5);
                body[1] = (uint8_t)(random_u32() % 2);
                wire_put_u32(body + 2, random_u32());
                wire_put_u32(body + 6, random_u32());
                wire_put_u32(body + 10, random_u32() % 16);
                length = LINE_BODY_BYTES;
                break;
            case REQUEST_STOP:
                body[0] = (uint8_t)(8 + random_u32() % 5);
                body[1] = (uint8_t)(random_u32() % 2);
                wire_put_u32(body + 2, random_u32() % 16);
                length = STOP_BODY_BYTES;
                break;
            case REQUEST_ARM:
                wire_put_u32(body, limits_digest(&session.limits));
                length = 4;
                break;
            case REQUEST_RUN: {
                const struct step steps[] = {{2000, ACTION_LINES, random_u32() % 16, 0}, {3000, ACTION_END, 0, 0}};

                if (session.armed)
                    run(session.nonce, session.capture.run_number + 1, steps, 2);
                continue;
            }
            default:
                break;
            }
            sent_count = 0;
            frame_send(payload, length, collect);
            for (unsigned k = 0; k < sent_count; k++)
                session_receive(&session, sent[k]);
            if (payload[0] == REQUEST_SELECT && reply()->body[0] == RESULT_OK)
                selected++;
            if ((payload[0] == REQUEST_SELECTS || payload[0] == REQUEST_SELECT) && reply()->body[0] == RESULT_BAD_VALUE)
                refused++;

            /* Let go of, a pin may become either; until then a line stays one. */
            if (payload[0] == REQUEST_CLEAR_LIMITS) {
                CHECK_EQUAL(0, board.driven);
                was_line = 0;
            }
            was_line |= limits_lines(&session.limits);
            const uint32_t selects = session.limits.selects;
            CHECK_EQUAL(0, was_line & selects);
            if (session.armed) {
                CHECK_EQUAL(limits_idle_levels(&session.limits), board.driven_levels & limits_lines(&session.limits));
                CHECK_EQUAL(0, (limits_lines(&session.limits) | selects) & ~board.driven);
                CHECK_EQUAL(0, board.driven_levels & ~(limits_lines(&session.limits) | selects));
            } else {
                CHECK_EQUAL(0, board.driven_levels & board.driven & selects);
            }
            if (board.bursts != 0)
                CHECK_EQUAL(0, board.last_burst.lines_used & ~board.last_burst.lines);
        }
        if (checks_failed_here != 0)
            fprintf(stderr, "  seed %u\n", (unsigned)seed);
    }
    /* An attack that was refused at the door would prove nothing. */
    CHECK(selected > 100 && refused > 100 && cleared > 100);
}

/* An armed device, a true RUN, and one byte of it wrong or missing: never a burst. */
static void a_damaged_run_frame_never_runs(void)
{
    static const struct step pulse[] = {{2000, ACTION_LINES, 1, 0}, {3000, ACTION_END, 0, 0}};
    uint8_t payload[PAYLOAD_LARGEST] = {REQUEST_RUN, 5};
    uint32_t nonce;
    unsigned length;

    fake_start(1, RESET_POWER_ON);
    nonce = usual_arming();
    CHECK_EQUAL(RESULT_OK, load(nonce, pulse, 2));
    wire_put_u32(payload + 2, nonce);
    wire_put_u32(payload + 6, 1);
    payload[10] = 2;
    wire_put_u32(payload + 11, digest(pulse, 2));
    sent_count = 0;
    frame_send(payload, 13, collect);
    length = sent_count;
    /* Between the delimiters: each byte replaced by each other value, and each byte left out. */
    for (unsigned at = 1; at + 1 < length; at++) {
        for (unsigned value = 0; value < 256; value++) {
            if (value == sent[at])
                continue;
            for (unsigned k = 0; k < length; k++)
                session_receive(&session, k == at ? (uint8_t)value : sent[k]);
        }
        for (unsigned k = 0; k < length; k++) {
            if (k != at)
                session_receive(&session, sent[k]);
        }
    }
    CHECK_EQUAL(0, board.bursts);
    for (unsigned k = 0; k < length; k++)
        session_receive(&session, sent[k]);
    CHECK_EQUAL(1, board.bursts);
}

const struct test noise_tests[] = {
    {"random bytes change nothing", random_bytes_change_nothing},
    {"good frames of random content do not drive without arming", good_frames_of_random_content_do_not_drive_without_arming},
    {"a hostile host makes no select pin of an armed line", a_hostile_host_makes_no_select_pin_of_an_armed_line},
    {"a damaged run frame never runs", a_damaged_run_frame_never_runs},
    {NULL, NULL},
};
