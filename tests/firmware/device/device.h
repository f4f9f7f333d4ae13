/* A device for a simulation: the firmware runs on a stack of its own until it wants something of its hardware, then stands still until whoever simulates that goes on with it.
   So time may pass for the simulation in the middle of whatever the firmware does, and nothing ever calls back. */
#ifndef DEVICE_H
#define DEVICE_H

#include <stdint.h>

struct device;

/* What the firmware stands still for. */
enum device_request {
    DEVICE_WAITS,       /* for bytes from the host, or for time to pass */
    DEVICE_SENDS_ALL,   /* until the last byte has left the wire */
    DEVICE_SNAPSHOT,    /* answer: the snapshot */
    DEVICE_DRIVES_IDLE, /* lines, levels */
    DEVICE_SELECTS,     /* pins, high ones */
    DEVICE_RELEASES,
    DEVICE_LEVEL,       /* analog index, samples; answer: the level entry */
    DEVICE_LEAD,        /* pin; answer: after discharge, after pull-up */
    DEVICE_BURST        /* lines used; device_put_capture tells what came of it */
};

#define DEVICE_ARGUMENTS 2
#define DEVICE_LINE_WORDS 5 /* pin, idle level, longest on, rest, apart */
#define DEVICE_STOP_WORDS 3 /* pin, stopping level, forbids */

/* `name`: of the board, instead of its own; NULL for that. */
struct device *device_new(const char *name);
void device_free(struct device *device);

/* Begins at the beginning, wherever the firmware was. */
void device_reset(struct device *device, uint32_t boot_number, uint8_t cause, uint32_t entropy);

/* Lets the firmware go on to its next request, at this time of its timer. */
int device_go_on(struct device *device, uint32_t ticks, const uint8_t *answer, int length, uint32_t arguments[DEVICE_ARGUMENTS]);

/* Bytes from the host: the firmware takes them when it goes on from DEVICE_WAITS, one after the other, as far as it gets until its next request. */
void device_receive(struct device *device, const uint8_t *bytes, int count);

/* What was sent since it was taken last; returns how many bytes. */
int device_take_sent(struct device *device, uint8_t *to, int room);

/* During DEVICE_BURST. */
int device_program(const struct device *device, uint8_t *steps, int room);
void device_put_capture(struct device *device, uint8_t outcome, uint8_t pin, uint32_t end, const uint8_t *changes, int change_count,
                        const uint8_t *levels, int level_count, const uint8_t *gaps, int gap_count, const uint8_t *snapshot);

/* The limits that it holds: lines, then stops; returns how many of each. */
void device_limits(const struct device *device, uint32_t *lines, uint32_t *stops, int *line_count, int *stop_count);

int device_armed(const struct device *device);
uint32_t device_heartbeat_ms(const struct device *device);
uint32_t device_nonce(const struct device *device);
uint32_t device_session(const struct device *device);
uint32_t device_run(const struct device *device);

/* Capabilities and name of a pin; returns the name's length, 0 when there is no such pin. */
int device_pin(int pin, uint8_t *capabilities, uint8_t *name);

#endif
