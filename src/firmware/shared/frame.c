#include "frame.h"

#include "cobs.h"
#include "crc32.h"
#include "wire.h"

static bool payload_is_good(const uint8_t *payload, int16_t length)
{
    uint16_t before_crc;

    if (length < PAYLOAD_SMALLEST || length > PAYLOAD_LARGEST)
        return false;
    before_crc = (uint16_t)(length - 4);
    return crc32_finish(crc32_add(CRC32_START, payload, before_crc)) == wire_get_u32(payload + before_crc);
}

bool frame_receive(struct frame_receiver *receiver, uint8_t byte)
{
    uint16_t encoded_length;
    int16_t payload_length;

    if (byte != 0) {
        if (receiver->discarding)
            receiver->collected = 1;
        else if (receiver->collected == ENCODED_LARGEST)
            receiver->discarding = true;
        else
            receiver->bytes[receiver->collected++] = byte;
        return false;
    }

    encoded_length = receiver->collected;
    receiver->collected = 0;
    if (encoded_length == 0) {
        receiver->discarding = false;
        return false;
    }
    payload_length = receiver->discarding ? COBS_BROKEN : cobs_decode(receiver->bytes, encoded_length);
    receiver->discarding = false;
    if (!payload_is_good(receiver->bytes, payload_length)) {
        receiver->thrown_away++;
        return false;
    }
    receiver->accepted++;
    receiver->payload_length = (uint8_t)payload_length;
    return true;
}

void frame_discard(struct frame_receiver *receiver)
{
    receiver->discarding = true;
}

void frame_send(uint8_t *payload, uint8_t body_length, void (*emit)(uint8_t byte))
{
    const uint16_t before_crc = (uint16_t)body_length + 2;

    wire_put_u32(payload + before_crc, crc32_finish(crc32_add(CRC32_START, payload, before_crc)));
    emit(0);
    cobs_encode(payload, (uint16_t)(before_crc + 4), emit);
    emit(0);
}
