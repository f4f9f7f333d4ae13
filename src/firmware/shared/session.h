/* The device's side of a session: takes frames, answers them, keeps the safety rules of section 4. One session a device. */
#ifndef SESSION_H
#define SESSION_H

#include <stdbool.h>
#include <stdint.h>

#include "capture.h"
#include "frame.h"
#include "limits.h"
#include "program.h"
#include "protocol.h"

#define FIRMWARE_MAJOR 0
#define FIRMWARE_MINOR 3

struct session {
    struct frame_receiver receiver;
    struct limits limits;
    struct rests rests;
    struct program program;
    struct capture capture;
    uint8_t frame[PAYLOAD_LARGEST]; /* the frame being sent: type, seq, body, room for the CRC */
    uint32_t session_number;        /* differs after every reset */
    uint32_t nonce;                 /* of this arming, never 0; the last one while disarmed */
    uint32_t last_ticks;            /* timer when time was last counted */
    uint32_t silent_ticks;          /* since the last valid frame, or the end of the last burst */
    uint8_t fine_pin;               /* of the next burst, whose change is to be stamped by hardware, or NO_PIN */
    uint8_t fine_level;             /* that it changes to: 0 or 1 */
    uint8_t reset_cause;
    uint8_t notice_seq;
    bool armed;
};

/* `boot_number` differs from that of every earlier start of this device; `reset_cause` has the bits of the BOOT notice. Sends BOOT. */
void session_start(struct session *session, uint32_t boot_number, uint8_t reset_cause);

/* One byte from the host. Answers, and runs a burst, when it completes a request. */
void session_receive(struct session *session, uint8_t byte);

/* Counts time and keeps the heartbeat; to be called again and again, at least once a second. */
void session_tick(struct session *session);

/* ---- between the files of the session ---- */

/* A request and the reply that is being written to it. `body` of the reply begins behind its result. */
struct exchange {
    uint8_t type;
    const uint8_t *body;
    uint8_t length;
    uint8_t *reply;
    uint8_t reply_length;
};
#define REPLY_LARGEST (BODY_LARGEST - 1)

/* Refuses with the offset of the field in the request's body. */
static inline enum result refuse_value(struct exchange *exchange, uint8_t field)
{
    exchange->reply[0] = field;
    exchange->reply_length = 1;
    return RESULT_BAD_VALUE;
}

enum result session_information(struct session *session, struct exchange *exchange);
enum result session_limits(struct session *session, struct exchange *exchange);
enum result session_records(struct session *session, struct exchange *exchange);
enum result session_fine(struct session *session, struct exchange *exchange);
enum result session_load(struct session *session, struct exchange *exchange);
enum result session_select(struct session *session, struct exchange *exchange);

/* Checks RUN. RESULT_OK: the number is stored as accepted and `check` says what to run. */
enum result session_accept_run(struct session *session, struct exchange *exchange, struct program_check *check);
/* Runs what was accepted, and sends DONE. */
void session_burst(struct session *session, const struct program_check *check);

void session_disarm(struct session *session);

/* RESULT_OK when armed under the nonce that stands at the start of the body. */
enum result session_check_nonce(const struct session *session, const struct exchange *exchange);

/* Writes the DONE body of the last accepted run; returns DONE_BODY_BYTES. */
uint8_t session_put_done(const struct session *session, uint8_t *body);

void session_send_notice(struct session *session, enum notice_type type, uint8_t body_length);

#endif
