/* Requests for information: section 6 of the link protocol. */
#include <string.h>

#include "hal.h"
#include "session.h"
#include "wire.h"

/* Writes fields one behind the other. */
static void put_u8(struct exchange *exchange, uint8_t value)
{
    exchange->reply[exchange->reply_length++] = value;
}

static void put_u16(struct exchange *exchange, uint16_t value)
{
    wire_put_u16(exchange->reply + exchange->reply_length, value);
    exchange->reply_length += 2;
}

static void put_u32(struct exchange *exchange, uint32_t value)
{
    wire_put_u32(exchange->reply + exchange->reply_length, value);
    exchange->reply_length += 4;
}

static enum result identify(const struct session *session, struct exchange *exchange)
{
    uint8_t name_length;

    put_u8(exchange, 0x54);
    put_u8(exchange, 0x52);
    put_u8(exchange, 0x69);
    put_u8(exchange, 0x67);
    put_u8(exchange, PROTOCOL_MAJOR);
    put_u8(exchange, PROTOCOL_MINOR);
    put_u8(exchange, FIRMWARE_MAJOR);
    put_u8(exchange, FIRMWARE_MINOR);
    put_u32(exchange, session->session_number);
    put_u32(exchange, BOARD_TICK_PS);
    put_u32(exchange, BOARD_CLOCK_PPM);
    put_u16(exchange, BOARD_LOOK_TICKS);
    put_u16(exchange, BOARD_SKEW_TICKS);
    put_u16(exchange, BOARD_RECORD_TICKS);
    put_u16(exchange, BOARD_HOUSEKEEPING_TICKS);
    put_u32(exchange, BOARD_HOUSEKEEPING_PERIOD);
    put_u32(exchange, BOARD_STOP_BOUND);
    put_u32(exchange, BOARD_HOST_BOUND);
    put_u8(exchange, BOARD_ADC_BITS);
    put_u32(exchange, BOARD_REFERENCE_MV);
    put_u32(exchange, BOARD_REFERENCE_PPM);
    put_u32(exchange, BOARD_SAMPLE_TICKS);
    put_u16(exchange, BOARD_DISCHARGE_TICKS);
    put_u16(exchange, BOARD_RELEASE_TICKS);
    put_u16(exchange, BOARD_PULLUP_TICKS);
    put_u8(exchange, BOARD_PINS);
    put_u8(exchange, BOARD_SNAPSHOT_BYTES);
    put_u8(exchange, BOARD_MAX_STEPS);
    put_u16(exchange, BOARD_MAX_CHANGES);
    put_u8(exchange, BOARD_MAX_LEVELS);
    put_u8(exchange, BOARD_MAX_GAPS);
    put_u32(exchange, BOARD_MAX_BURST_MS);
    name_length = hal_board_name(exchange->reply + exchange->reply_length + 1);
    put_u8(exchange, name_length);
    exchange->reply_length = (uint8_t)(exchange->reply_length + name_length);
    return RESULT_OK;
}

static enum result pins(struct exchange *exchange)
{
    uint8_t pin = exchange->body[0];

    if (pin >= BOARD_PINS)
        return refuse_value(exchange, 0);
    put_u8(exchange, BOARD_PINS);
    put_u8(exchange, pin);
    for (; pin < BOARD_PINS && exchange->reply_length + 2 + BOARD_PIN_NAME_ROOM <= REPLY_LARGEST; pin++) {
        uint8_t *entry = exchange->reply + exchange->reply_length;

        entry[1] = hal_pin(pin, &entry[0], &entry[2]);
        exchange->reply_length = (uint8_t)(exchange->reply_length + 2 + entry[1]);
    }
    return RESULT_OK;
}

static enum result status(const struct session *session, struct exchange *exchange)
{
    put_u8(exchange, session->armed ? 1 : 0);
    put_u8(exchange, session->reset_cause);
    put_u32(exchange, session->receiver.accepted);
    put_u32(exchange, session->receiver.thrown_away);
    put_u32(exchange, hal_receive_overruns());
    put_u32(exchange, session->capture.run_number);
    if (session->capture.run_number != 0)
        exchange->reply_length =
            (uint8_t)(exchange->reply_length + session_put_done(session, exchange->reply + exchange->reply_length));
    return RESULT_OK;
}

static enum result inputs(struct exchange *exchange)
{
    put_u32(exchange, hal_ticks());
    hal_snapshot(exchange->reply + exchange->reply_length);
    exchange->reply_length += BOARD_SNAPSHOT_BYTES;
    return RESULT_OK;
}

static enum result levels(struct exchange *exchange)
{
    const uint32_t mask = wire_get_u32(exchange->body);
    const uint8_t samples = exchange->body[4];

    if (mask == 0 || (mask & ~(uint32_t)BOARD_ANALOG_MASK) != 0)
        return refuse_value(exchange, 0);
    if (samples < 1 || samples > 64)
        return refuse_value(exchange, 4);
    for (uint8_t analog_index = 0; analog_index < 32; analog_index++) {
        if ((mask & pin_bit(analog_index)) == 0)
            continue;
        hal_level(analog_index, samples, exchange->reply + exchange->reply_length);
        exchange->reply_length += LEVEL_ENTRY_BYTES;
    }
    return RESULT_OK;
}

static enum result leads(const struct session *session, struct exchange *exchange)
{
    const uint8_t *listed = exchange->body + 5;
    const uint8_t count = exchange->body[4];
    const enum result nonce = session_check_nonce(session, exchange);

    if (nonce != RESULT_OK)
        return nonce;
    if (count == 0 || count > BOARD_PINS)
        return refuse_value(exchange, 4);
    if (exchange->length != 5 + count)
        return RESULT_BAD_LENGTH;
    for (uint8_t i = 0; i < count; i++) {
        uint8_t capabilities = 0;
        uint8_t name[BOARD_PIN_NAME_ROOM];

        if (listed[i] < BOARD_PINS)
            hal_pin(listed[i], &capabilities, name);
        /* A pin that could be a line is refused even when it was not declared: its lead may sit on a command input. A select pin must not be let go of. */
        if ((capabilities & PIN_SENSE) == 0 || (capabilities & PIN_LINE) != 0 || limits_selects(&session->limits, listed[i]))
            return refuse_value(exchange, (uint8_t)(5 + i));
    }
    for (uint8_t i = 0; i < count; i++) {
        uint8_t *entry = exchange->reply + exchange->reply_length;

        entry[0] = listed[i];
        hal_lead(listed[i], &entry[1], &entry[2]);
        exchange->reply_length += 3;
    }
    return RESULT_OK;
}

enum result session_information(struct session *session, struct exchange *exchange)
{
    switch (exchange->type) {
    case REQUEST_IDENTIFY:
        return identify(session, exchange);
    case REQUEST_PINS:
        return pins(exchange);
    case REQUEST_STATUS:
        return status(session, exchange);
    case REQUEST_INPUTS:
        return inputs(exchange);
    case REQUEST_LEVELS:
        return levels(exchange);
    default:
        return leads(session, exchange);
    }
}
