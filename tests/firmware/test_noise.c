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
    {"a damaged run frame never runs", a_damaged_run_frame_never_runs},
    {NULL, NULL},
};
