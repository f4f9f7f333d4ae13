/* Frames of section 2:

                +------+-----+----------------+-------------------+
    payload     | type | seq | body 0..244 B  | CRC-32 (4 bytes)  |        6..250 bytes
                +------+-----+----------------+-------------------+
                    |  COBS
                    v
    wire        | 0x00 | COBS(payload): no zero byte inside | 0x00 |                                          */
#ifndef FRAME_H
#define FRAME_H

#include <stdbool.h>
#include <stdint.h>

#include "protocol.h"

struct frame_receiver {
    uint8_t bytes[ENCODED_LARGEST]; /* encoded while collecting, the payload once a frame is there */
    uint16_t collected;             /* encoded bytes since the last delimiter; while discarding: not 0 once any came */
    uint8_t payload_length;         /* of the last good frame */
    bool discarding;                /* everything up to the next delimiter is thrown away */
    uint32_t accepted;              /* frames that passed every check */
    uint32_t thrown_away;           /* frames, or scraps of them, that did not */
};

/* Takes one byte off the wire. Returns true when it completes a good frame, which stays readable until the next call. */
bool frame_receive(struct frame_receiver *receiver, uint8_t byte);

/* Throws away what was collected and what comes up to the next delimiter; if there was anything, it counts as one frame. */
void frame_discard(struct frame_receiver *receiver);

static inline uint8_t frame_type(const struct frame_receiver *receiver) { return receiver->bytes[0]; }
static inline uint8_t frame_seq(const struct frame_receiver *receiver) { return receiver->bytes[1]; }
static inline const uint8_t *frame_body(const struct frame_receiver *receiver) { return receiver->bytes + 2; }
static inline uint8_t frame_body_length(const struct frame_receiver *receiver)
{
    return (uint8_t)(receiver->payload_length - PAYLOAD_SMALLEST);
}

/* `payload` holds type, seq and `body_length` bytes of body, with four bytes of room behind them for the CRC.
   Everything goes to `emit`, both delimiters included. */
void frame_send(uint8_t *payload, uint8_t body_length, void (*emit)(uint8_t byte));

#endif
