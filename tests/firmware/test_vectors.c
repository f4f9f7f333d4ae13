/* firmware-notes/vectors/link.txt, line by line. The `changes` lines are for hosts: a device stores stamps and leaves their meaning to the host. */
#include <stdlib.h>

#include "checks.h"
#include "cobs.h"
#include "crc32.h"
#include "frame.h"

#ifndef VECTORS
#error "VECTORS must be the path of link.txt"
#endif

#define LARGEST 600

static uint8_t emitted[LARGEST];
static size_t emitted_count;

static void emit(uint8_t byte)
{
    CHECK(emitted_count < LARGEST);
    emitted[emitted_count++] = byte;
}

static size_t from_hex(const char *text, uint8_t *bytes)
{
    size_t count = 0;

    if (strcmp(text, "-") == 0)
        return 0;
    for (; text[0] != '\0' && text[1] != '\0'; text += 2) {
        const char pair[3] = {text[0], text[1], '\0'};

        bytes[count++] = (uint8_t)strtoul(pair, NULL, 16);
    }
    return count;
}

static void check_bytes(const uint8_t *expected, size_t expected_count, const uint8_t *found, size_t found_count)
{
    CHECK_EQUAL(expected_count, found_count);
    if (expected_count == found_count)
        CHECK(memcmp(expected, found, expected_count) == 0);
}

static void check_decoding(const char *encoded_text, const char *plain_text)
{
    uint8_t encoded[LARGEST], plain[LARGEST];
    const size_t encoded_count = from_hex(encoded_text, encoded);
    const size_t plain_count = from_hex(plain_text, plain);
    const int16_t length = cobs_decode(encoded, (uint16_t)encoded_count);

    CHECK(length >= 0);
    if (length >= 0)
        check_bytes(plain, plain_count, encoded, (size_t)length);
}

static void check_encoding(const char *plain_text, const char *encoded_text)
{
    uint8_t encoded[LARGEST], plain[LARGEST];
    const size_t encoded_count = from_hex(encoded_text, encoded);
    const size_t plain_count = from_hex(plain_text, plain);

    emitted_count = 0;
    cobs_encode(plain, (uint16_t)plain_count, emit);
    check_bytes(encoded, encoded_count, emitted, emitted_count);
}

static void check_crc(const char *data_text, const char *value_text)
{
    uint8_t data[LARGEST];
    const size_t count = from_hex(data_text, data);

    CHECK_EQUAL(strtoul(value_text, NULL, 16), crc32_finish(crc32_add(CRC32_START, data, (uint16_t)count)));
}

/* Gives bytes to a receiver; returns how many frames it took for good. */
static unsigned receive_all(struct frame_receiver *receiver, const uint8_t *bytes, size_t count)
{
    unsigned frames = 0;

    for (size_t i = 0; i < count; i++)
        frames += frame_receive(receiver, bytes[i]) ? 1 : 0;
    return frames;
}

static void check_frame(const char *type_text, const char *seq_text, const char *body_text, const char *wire_text)
{
    uint8_t wire[LARGEST], body[LARGEST], payload[PAYLOAD_LARGEST];
    const size_t wire_count = from_hex(wire_text, wire);
    const size_t body_count = from_hex(body_text, body);
    struct frame_receiver receiver = {.accepted = 0};

    payload[0] = (uint8_t)strtoul(type_text, NULL, 16);
    payload[1] = (uint8_t)strtoul(seq_text, NULL, 16);
    memcpy(payload + 2, body, body_count);
    emitted_count = 0;
    frame_send(payload, (uint8_t)body_count, emit);
    check_bytes(wire, wire_count, emitted, emitted_count);

    CHECK_EQUAL(1, receive_all(&receiver, wire, wire_count));
    CHECK_EQUAL(strtoul(type_text, NULL, 16), frame_type(&receiver));
    CHECK_EQUAL(strtoul(seq_text, NULL, 16), frame_seq(&receiver));
    check_bytes(body, body_count, frame_body(&receiver), frame_body_length(&receiver));
    CHECK_EQUAL(1, receiver.accepted);
    CHECK_EQUAL(0, receiver.thrown_away);
}

static void check_rejected(const char *why, const char *wire_text)
{
    uint8_t wire[LARGEST];
    const size_t count = from_hex(wire_text, wire);
    struct frame_receiver receiver = {.accepted = 0};

    CHECK_EQUAL(0, receive_all(&receiver, wire, count));
    /* An encoded empty packet is one byte long: it is something, and it is thrown away. */
    CHECK_EQUAL(1, receiver.thrown_away);
    CHECK_EQUAL(0, receiver.accepted);
    if (strcmp(why, "cobs") == 0)
        CHECK_EQUAL((uint16_t)COBS_BROKEN, (uint16_t)cobs_decode(wire + 1, (uint16_t)(count - 2)));
    else if (strcmp(why, "long") == 0)
        CHECK(count - 2 > ENCODED_LARGEST || cobs_decode(wire + 1, (uint16_t)(count - 2)) > PAYLOAD_LARGEST);
    else if (strcmp(why, "short") == 0)
        CHECK(cobs_decode(wire + 1, (uint16_t)(count - 2)) < PAYLOAD_SMALLEST);
    else
        CHECK(strcmp(why, "crc") == 0 && cobs_decode(wire + 1, (uint16_t)(count - 2)) >= PAYLOAD_SMALLEST);
}

static void every_vector_holds(void)
{
    static char line[8 * LARGEST];
    unsigned cobs = 0, uncobs = 0, crcs = 0, frames = 0, rejects = 0, changes = 0, number = 0;
    FILE *file = fopen(VECTORS, "r");

    CHECK(file != NULL);
    if (file == NULL)
        return;
    while (fgets(line, sizeof line, file) != NULL) {
        char *fields[12] = {0};
        unsigned count = 0;
        const unsigned failed_before = checks_failed_here;

        number++;
        for (char *field = strtok(line, " \t\r\n"); field != NULL && count < 12; field = strtok(NULL, " \t\r\n"))
            fields[count++] = field;
        if (count == 0 || fields[0][0] == '#')
            continue;
        if (strcmp(fields[0], "cobs") == 0 && count == 3) {
            check_encoding(fields[1], fields[2]);
            check_decoding(fields[2], fields[1]);
            cobs++;
        } else if (strcmp(fields[0], "uncobs") == 0 && count == 3) {
            check_decoding(fields[1], fields[2]);
            uncobs++;
        } else if (strcmp(fields[0], "crc32") == 0 && count == 3) {
            check_crc(fields[1], fields[2]);
            crcs++;
        } else if (strcmp(fields[0], "frame") == 0 && count == 6) {
            check_frame(fields[2], fields[3], fields[4], fields[5]);
            frames++;
        } else if (strcmp(fields[0], "reject") == 0 && count == 3) {
            check_rejected(fields[1], fields[2]);
            rejects++;
        } else if (strcmp(fields[0], "changes") == 0 && count == 10) {
            changes++;
        } else {
            CHECK(!"a line of a known kind with its fields");
        }
        if (checks_failed_here != failed_before)
            fprintf(stderr, "  in line %u of the vectors\n", number);
    }
    fclose(file);
    /* A file that lost its lines must not pass. */
    CHECK(cobs >= 14 && uncobs >= 1 && crcs >= 6 && frames >= 17 && rejects >= 13 && changes >= 15);
}

static void a_zero_inside_encoded_bytes_is_broken(void)
{
    uint8_t inside_a_run[] = {0x03, 0x11, 0x00};
    uint8_t as_code[] = {0x02, 0x11, 0x00, 0x01};

    CHECK_EQUAL((uint16_t)COBS_BROKEN, (uint16_t)cobs_decode(inside_a_run, sizeof inside_a_run));
    CHECK_EQUAL((uint16_t)COBS_BROKEN, (uint16_t)cobs_decode(as_code, sizeof as_code));
}

static void every_length_survives_encoding_and_decoding(void)
{
    for (unsigned length = 0; length <= 520; length++) {
        for (unsigned zero_every = 0; zero_every <= 260; zero_every += 13) {
            uint8_t plain[LARGEST], encoded[LARGEST];

            for (unsigned i = 0; i < length; i++)
                plain[i] = zero_every != 0 && i % zero_every == 0 ? 0 : (uint8_t)(1 + i % 255);
            emitted_count = 0;
            cobs_encode(plain, (uint16_t)length, emit);
            CHECK(memchr(emitted, 0, emitted_count) == NULL);
            CHECK(emitted_count <= length + 1 + length / 254);
            memcpy(encoded, emitted, emitted_count);
            CHECK_EQUAL(length, cobs_decode(encoded, (uint16_t)emitted_count));
            CHECK(memcmp(plain, encoded, length) == 0);
        }
    }
}

static void a_good_frame_follows_noise(void)
{
    struct frame_receiver receiver = {.accepted = 0};
    uint8_t payload[PAYLOAD_LARGEST] = {0x07, 0x01};

    emitted_count = 0;
    frame_send(payload, 0, emit);
    /* A scrap without delimiters, an overlong stretch, then a frame: its own leading delimiter saves it. */
    for (unsigned i = 0; i < 1000; i++)
        CHECK(!frame_receive(&receiver, 0x55));
    CHECK_EQUAL(1, receive_all(&receiver, emitted, emitted_count));
    CHECK_EQUAL(1, receiver.thrown_away);
    CHECK_EQUAL(1, receiver.accepted);
    /* Delimiters in a row are nothing. */
    for (unsigned i = 0; i < 5; i++)
        CHECK(!frame_receive(&receiver, 0));
    CHECK_EQUAL(1, receiver.thrown_away);
}

static void what_is_discarded_counts_once_and_only_if_there_was_something(void)
{
    struct frame_receiver receiver = {.accepted = 0};
    uint8_t payload[PAYLOAD_LARGEST] = {0x07, 0x01};

    emitted_count = 0;
    frame_send(payload, 0, emit);
    frame_discard(&receiver);
    CHECK(!frame_receive(&receiver, 0));
    CHECK_EQUAL(0, receiver.thrown_away);

    frame_discard(&receiver);
    CHECK_EQUAL(0, receive_all(&receiver, emitted + 1, emitted_count - 1)); /* without its leading delimiter: lost */
    CHECK_EQUAL(1, receiver.thrown_away);
    CHECK_EQUAL(1, receive_all(&receiver, emitted, emitted_count));
    CHECK_EQUAL(1, receiver.accepted);
}

const struct test vector_tests[] = {
    {"every vector holds", every_vector_holds},
    {"a zero inside encoded bytes is broken", a_zero_inside_encoded_bytes_is_broken},
    {"every length survives encoding and decoding", every_length_survives_encoding_and_decoding},
    {"a good frame follows noise", a_good_frame_follows_noise},
    {"what is discarded counts once, and only if there was something", what_is_discarded_counts_once_and_only_if_there_was_something},
    {NULL, NULL},
};
