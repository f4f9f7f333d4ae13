/* Bursts: getting the sampling loop ready, MEASURE steps, and putting the capture in order. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <stddef.h>

#include "burst_loop.h"
#include "chip.h"
#include "converter.h"
#ifdef HAS_FINE
#include "fine.h"
#endif
#include "hal.h"
#include "timer.h"
#include "uart.h"
#include "wire.h"

/* A look before a MEASURE may be this much older than the step's instant. */
#define GAP_LEAD (BOARD_LOOK_TICKS + BOARD_RECORD_TICKS + BOARD_HOUSEKEEPING_TICKS)

struct burst_loop burst_loop;
static struct capture *capture_in_hand;

/* A program for a burst that must not begin, because the host has said something already. */
static const uint8_t end_at_once[STEP_BYTES] = {200};

static void set_stops(const struct burst *burst)
{
    uint8_t ending = 0; /* stop inputs that forbid a line of this program */

    burst_loop.stop_mask = 0;
    burst_loop.stop_invert = 0;
    for (uint8_t i = 0; i < burst->limits->stop_count; i++) {
        const struct stop *stop = &burst->limits->stops[i];
        const uint8_t bit = (uint8_t)(1 << (stop->pin - STOP_FIRST_PIN));

        burst_loop.stop_mask |= bit;
        if (stop->stopping_level == 0)
            burst_loop.stop_invert |= bit;
        if ((stop->forbids & burst->lines_used) != 0)
            ending |= bit;
    }
    /* An input that is in its stopping state from the start ends the burst only if it forbids a line of the program; then the first look
       ends it, should the input have come to that state since RUN was checked. */
    burst_loop.stop_armed = (uint8_t)~((STOP_LEVELS ^ burst_loop.stop_invert) & burst_loop.stop_mask) | ending;
}

static uint8_t lowest_bit(uint8_t bits)
{
    uint8_t number = 0;

    while ((bits & 1) == 0) {
        bits >>= 1;
        number++;
    }
    return number;
}

static void add_gap(struct capture *capture, uint32_t from, uint32_t to, enum gap_reason why)
{
    uint8_t *record = capture->gaps[capture->gap_count++];

    wire_put_u32(record, from);
    wire_put_u32(record + 4, to);
    record[8] = (uint8_t)why;
}

/* Counts the records, and sets their stamps to when the last port was read. */
static void finish_changes(struct capture *capture)
{
    const uint16_t stored = (uint16_t)(burst_loop.records - capture->changes[0]) / CHANGE_RECORD_BYTES;

    for (uint16_t i = 0; i < stored; i++)
        wire_put_u32(capture->changes[i], wire_get_u32(capture->changes[i]) - STAMP_OFFSET);
    capture->change_count = stored;
    if (stored > BOARD_MAX_CHANGES) {
        /* From the last change that found room on, nothing is known for sure. */
        capture->change_count = BOARD_MAX_CHANGES;
        add_gap(capture, wire_get_u32(capture->changes[BOARD_MAX_CHANGES - 1]), capture->end, GAP_CHANGE_ROOM);
    }
}

void hal_burst(const struct burst *burst, struct capture *capture)
{
    bool host_spoke;

#ifdef HAS_FINE
    if (capture->fine_pin != NO_PIN)
        fine_begin(capture->fine_pin, burst->fine_level);
#endif
    cli();
    /* The burst polls the overflow flag itself. On silicon its interrupt would only wait for sei(); the emulator's table of waiting
       interrupts overruns after 64 overflows (262 ms) and then loses the receiver's. */
    TIMSK1 = 0;
    wdt_reset();
    host_spoke = uart_has_byte();
    capture->level_count = 0;
    capture->gap_count = 0;
    capture_in_hand = capture;
    burst_loop.records = capture->changes[0];
    burst_loop.records_end = capture->changes[BOARD_MAX_CHANGES + 1];
    burst_loop.steps = host_spoke ? end_at_once : burst->program->steps[0];
    /* What else is on the lines' ports stays as it is. */
    burst_loop.idle = (uint16_t)((lines_levels() & ~burst->lines) | burst->idle_levels);
    set_stops(burst);

    capture->outcome = burst_loop_run();
#ifdef HAS_FINE
    if (capture->fine_pin != NO_PIN)
        capture->fine_bytes = fine_record(capture->fine_pin, burst->fine_level, capture->fine);
#endif
    timer_go_on(burst_loop.high);
    TIMSK1 = 1 << TOIE1;
    sei();
#ifdef HAS_FINE
    if (capture->fine_pin != NO_PIN)
        fine_end(capture->fine_pin);
#endif

    if (host_spoke && capture->outcome == OUTCOME_COMPLETE)
        capture->outcome = OUTCOME_HOST_BYTE;
    capture->pin = NO_PIN;
    if (capture->outcome == OUTCOME_STOP)
        capture->pin = (uint8_t)(STOP_FIRST_PIN + lowest_bit(burst_loop.stop_armed));
    capture->end = burst_loop.end;
    if (capture->outcome != OUTCOME_COMPLETE && capture->gap_count != 0) {
        /* When the burst ended inside a MEASURE, no look came after the gap. */
        uint8_t *const to = capture->gaps[capture->gap_count - 1] + 4;

        if (wire_get_u32(to) > capture->end)
            wire_put_u32(to, capture->end);
    }
    finish_changes(capture);
    hal_snapshot(capture->snapshot);
}

/* One turn of waiting inside a MEASURE: stop inputs, housekeeping, a byte from the host. */
static inline uint8_t watch(void)
{
    const uint8_t stopping = (STOP_LEVELS ^ burst_loop.stop_invert) & burst_loop.stop_mask;

    if ((stopping & burst_loop.stop_armed) != 0) {
        lines_drive(burst_loop.idle);
        burst_loop.stop_armed &= stopping;
        return OUTCOME_STOP;
    }
    burst_loop.stop_armed = (uint8_t)~stopping;
    if ((TIFR1 & (1 << TOV1)) != 0) {
        TIFR1 = 1 << TOV1;
        burst_loop.high++;
        wdt_reset();
    }
    if ((UCSR0A & (1 << RXC0)) != 0) {
        lines_drive(burst_loop.idle);
        return OUTCOME_HOST_BYTE;
    }
    return OUTCOME_COMPLETE;
}

/* Not inlined, so that count_cycles.py finds it. */
static uint32_t __attribute__((noinline)) burst_ticks(void)
{
    return timer_extend(burst_loop.high);
}

/* Number of the lowest bit set in `mask`, which is not 0. Without a loop, so that the time between two looks at the stop inputs can be
   counted. */
static inline uint8_t lowest_channel(uint16_t mask)
{
    uint8_t bits = (uint8_t)mask;
    uint8_t number = 0;

    if (bits == 0) {
        bits = (uint8_t)(mask >> 8);
        number = 8;
    }
    if ((bits & 0x0F) == 0) {
        bits >>= 4;
        number += 4;
    }
    if ((bits & 0x03) == 0) {
        bits >>= 2;
        number += 2;
    }
    return (bits & 0x01) == 0 ? number + 1 : number;
}

uint8_t burst_measure(const uint8_t *step)
{
    const uint8_t count = step[STEP_COUNT];
    uint16_t mask = wire_get_u16(step + STEP_MASK);
    uint8_t outcome;

    do {
        const uint8_t channel = lowest_channel(mask);
        uint8_t *const record = capture_in_hand->levels[capture_in_hand->level_count];
        uint8_t left = count;
        struct readings readings;

        converter_select(channel);
        wire_put_u32(record, burst_ticks());
        readings_clear(&readings);
        do {
            converter_start();
            do {
                outcome = watch();
            } while (outcome == OUTCOME_COMPLETE && converter_is_busy());
            readings_add(&readings, converter_result());
        } while (outcome == OUTCOME_COMPLETE && --left != 0);
        if (outcome == OUTCOME_COMPLETE) {
            readings_put(&readings, channel, count, record + 4);
            capture_in_hand->level_count++;
        }
        mask &= mask - 1;
    } while (outcome == OUTCOME_COMPLETE && mask != 0);
    add_gap(capture_in_hand, wire_get_u32(step + STEP_AT) - GAP_LEAD, burst_ticks() + GAP_TAIL, GAP_MEASURING);
    return outcome;
}
