/* The fake hardware behind hal.h, and a host that speaks to the session through it. */
#ifndef FAKE_BOARD_H
#define FAKE_BOARD_H

#include <stddef.h>

#include "capture.h"
#include "hal.h"
#include "session.h"

#define FRAMES_KEPT 64

struct sent_frame {
    uint8_t type;
    uint8_t seq;
    uint8_t body[BODY_LARGEST];
    uint8_t length;
};

/* What the device did, and what the test lets it see. */
struct fake_board {
    uint32_t ticks;
    uint32_t entropy;
    uint8_t levels[BOARD_SNAPSHOT_BYTES];
    uint32_t driven;            /* lines and select pins that are outputs */
    uint32_t driven_levels;
    unsigned bursts;            /* how many were begun */
    struct burst last_burst;
    unsigned frames_before_burst; /* sent completely before the last burst began */
    bool send_finished;         /* hal_send_finish was called behind the last byte */
    unsigned leads_driven;      /* lead checks made */
    unsigned levels_read;
    uint32_t level_ticks;       /* how long reading one level takes */

    /* How the next burst is to end. */
    uint8_t burst_outcome;
    uint8_t burst_pin;
    uint32_t burst_end;         /* 0: where the program ends */

    struct sent_frame frames[FRAMES_KEPT];
    unsigned frame_count;
};

/* The one pin with FINE, and the one with CROSSING. */
#define FAKE_FINE_PIN 12
#define FAKE_CROSSING_PIN 5

extern struct fake_board board;
extern struct session session;

/* A new device: reset for this cause. */
void fake_start(uint32_t boot_number, uint8_t reset_cause);

/* Sends one request as a frame, byte for byte, and returns the reply's result; the frame stays in board.frames. */
uint8_t ask(uint8_t type, const uint8_t *body, size_t length);
/* The last reply, its result at body[0]. */
const struct sent_frame *reply(void);
/* The last notice of this type, or NULL. */
const struct sent_frame *notice(uint8_t type);

void pass(uint32_t ticks); /* lets time go by, and the session see it */

/* ---- requests ---- */
uint8_t ask_line(uint8_t pin, uint8_t idle, uint32_t longest_on, uint32_t rest, uint32_t apart);
uint8_t ask_stop(uint8_t pin, uint8_t level, uint32_t forbids);
uint8_t ask_heartbeat(uint32_t ms);
/* ARM with the right digest; returns the nonce, 0 when it was refused. */
uint32_t arm(void);
uint8_t ask_u32(uint8_t type, uint32_t value);

struct step {
    uint32_t at;
    uint8_t action;
    uint32_t mask;
    uint8_t count;
};
uint8_t load(uint32_t nonce, const struct step *steps, uint8_t count);
uint32_t digest(const struct step *steps, uint8_t count);
uint8_t run(uint32_t nonce, uint32_t number, const struct step *steps, uint8_t count);

/* Lines 0 and 1 (idle high, 10000 ticks longest, 5000 rest, 0 apart from 1), line 2 (idle low), stop 8 (low, forbids 0), heartbeat 1000 ms; armed. */
uint32_t usual_arming(void);

#endif
