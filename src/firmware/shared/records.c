/* Reading the capture of the last accepted run: CHANGES, LEVEL_RECORDS, GAPS, FINE_RECORD. */
#include <string.h>

#include "session.h"
#include "wire.h"

enum { RECORDS_RUN = 0, RECORDS_FIRST = 4 };

/* Answers with as many records as were asked for, are there, and fit into a frame. */
static enum result put_records(struct exchange *exchange, const uint8_t *records, uint8_t record_bytes, uint16_t total,
                               uint16_t first, uint8_t count)
{
    const uint8_t fitting = REPLY_LARGEST / record_bytes;

    if (first > total)
        return refuse_value(exchange, RECORDS_FIRST);
    if (count > total - first)
        count = (uint8_t)(total - first);
    if (count > fitting)
        count = fitting;
    exchange->reply_length = (uint8_t)(count * record_bytes);
    memcpy(exchange->reply, records + (size_t)first * record_bytes, exchange->reply_length);
    return RESULT_OK;
}

enum result session_records(struct session *session, struct exchange *exchange)
{
    const struct capture *capture = &session->capture;
    const uint8_t *body = exchange->body;
    const uint32_t run_number = wire_get_u32(body + RECORDS_RUN);

    if (run_number == 0 || run_number != capture->run_number)
        return RESULT_NO_SUCH_RUN;
    switch (exchange->type) {
    case REQUEST_CHANGES:
        return put_records(exchange, capture->changes[0], CHANGE_RECORD_BYTES, capture->change_count,
                           wire_get_u16(body + RECORDS_FIRST), body[6]);
    case REQUEST_LEVEL_RECORDS:
        return put_records(exchange, capture->levels[0], LEVEL_RECORD_BYTES, capture->level_count, body[RECORDS_FIRST], body[5]);
    case REQUEST_FINE_RECORD:
        /* One record, or none. */
        return capture->fine_pin == NO_PIN ? RESULT_OK : put_records(exchange, capture->fine, capture->fine_bytes, 1, 0, 1);
    default:
        return put_records(exchange, capture->gaps[0], GAP_RECORD_BYTES, capture->gap_count, body[RECORDS_FIRST], body[5]);
    }
}
