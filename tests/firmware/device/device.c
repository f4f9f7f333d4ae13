#include "device.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <ucontext.h>

#include "hal.h"
#include "ports.h"
#include "session.h"

#define STACK_BYTES (256 * 1024)
#define SENT_ROOM 4096
#define RECEIVED_ROOM 4096

struct device {
    struct session session;
    ucontext_t firmware;
    ucontext_t simulation;
    uint32_t ticks;
    uint32_t entropy;
    uint32_t boot_number;
    uint8_t cause;
    uint32_t arguments[DEVICE_ARGUMENTS];
    enum device_request request;
    uint8_t answer[LEVEL_ENTRY_BYTES];
    int answer_length;
    const struct burst *burst;
    struct capture *capture;
    int received_count; /* from the host, and `received_taken` of them taken by the firmware */
    int received_taken;
    uint8_t received[RECEIVED_ROOM];
    int sent_count;
    uint8_t sent[SENT_ROOM];
    char name[BOARD_NAME_ROOM + 1];
    _Alignas(16) uint8_t stack[STACK_BYTES];
};

volatile uint8_t no_register;

/* The one that goes on in this thread now. */
static _Thread_local struct device *current;

static void ask(enum device_request request, uint32_t first, uint32_t second)
{
    struct device *device = current;

    device->request = request;
    device->arguments[0] = first;
    device->arguments[1] = second;
    swapcontext(&device->firmware, &device->simulation);
}

/* ---- hal.h ---- */

uint32_t hal_ticks(void) { return current->ticks; }
uint32_t hal_receive_overruns(void) { return 0; }
uint32_t hal_entropy(void) { return current->entropy++; }

void hal_send(uint8_t byte)
{
    if (current->sent_count == SENT_ROOM)
        abort();
    current->sent[current->sent_count++] = byte;
}

void hal_send_finish(void) { ask(DEVICE_SENDS_ALL, 0, 0); }

uint8_t hal_pin(uint8_t pin, uint8_t *capabilities, uint8_t *name)
{
    const struct port *port = &ports[pin >> 3];
    const uint8_t bit = (uint8_t)(1 << (pin & 7));

    *capabilities = (uint8_t)(((port->lines & bit) != 0 ? PIN_LINE : 0) | ((port->sensed & bit) != 0 ? PIN_SENSE : 0) |
                              ((port->analog & bit) != 0 ? PIN_ANALOG : 0) | ((port->stops & bit) != 0 ? PIN_STOP : 0) |
                              ((port->selects & bit) != 0 ? PIN_SELECT : 0));
    memcpy(name, pin_names[pin], BOARD_PIN_NAME_ROOM);
    return (uint8_t)strnlen((const char *)name, BOARD_PIN_NAME_ROOM);
}

uint8_t hal_board_name(uint8_t *name)
{
    memcpy(name, current->name, strlen(current->name));
    return (uint8_t)strlen(current->name);
}

void hal_snapshot(uint8_t snapshot[BOARD_SNAPSHOT_BYTES])
{
    ask(DEVICE_SNAPSHOT, 0, 0);
    memcpy(snapshot, current->answer, BOARD_SNAPSHOT_BYTES);
}

void hal_drive_idle(uint32_t lines, uint32_t idle_levels) { ask(DEVICE_DRIVES_IDLE, lines, idle_levels); }
void hal_select(uint32_t selects, uint32_t high) { ask(DEVICE_SELECTS, selects, high); }
void hal_release_lines(void) { ask(DEVICE_RELEASES, 0, 0); }

void hal_level(uint8_t analog_index, uint8_t samples, uint8_t *entry)
{
    ask(DEVICE_LEVEL, analog_index, samples);
    memcpy(entry, current->answer, LEVEL_ENTRY_BYTES);
}

void hal_lead(uint8_t pin, uint8_t *after_discharge, uint8_t *after_pullup)
{
    ask(DEVICE_LEAD, pin, 0);
    *after_discharge = current->answer[0];
    *after_pullup = current->answer[1];
}

void hal_burst(const struct burst *burst, struct capture *capture)
{
    current->burst = burst;
    current->capture = capture;
    ask(DEVICE_BURST, burst->lines_used, 0);
    current->burst = NULL;
    current->capture = NULL;
}

/* ---- the loop of main.c ---- */

static void run(void)
{
    struct session *session = &current->session;

    session_start(session, current->boot_number, current->cause);
    for (;;) {
        ask(DEVICE_WAITS, 0, 0);
        if (current->received_taken == current->received_count)
            session_tick(session);
        while (current->received_taken < current->received_count)
            session_receive(session, current->received[current->received_taken++]);
    }
}

/* ---- device.h ---- */

struct device *device_new(const char *name)
{
    struct device *device = calloc(1, sizeof *device);

    if (device != NULL)
        strncpy(device->name, name != NULL ? name : BOARD_NAME, BOARD_NAME_ROOM);
    return device;
}

void device_free(struct device *device) { free(device); }

void device_reset(struct device *device, uint32_t boot_number, uint8_t cause, uint32_t entropy)
{
    device->boot_number = boot_number;
    device->cause = cause;
    device->entropy = entropy;
    device->received_count = 0;
    device->received_taken = 0;
    device->sent_count = 0;
    device->burst = NULL;
    device->capture = NULL;
    memset(&device->session, 0, sizeof device->session);
    getcontext(&device->firmware);
    device->firmware.uc_stack.ss_sp = device->stack;
    device->firmware.uc_stack.ss_size = sizeof device->stack;
    device->firmware.uc_link = NULL;
    makecontext(&device->firmware, run, 0);
}

int device_go_on(struct device *device, uint32_t ticks, const uint8_t *answer, int length, uint32_t arguments[DEVICE_ARGUMENTS])
{
    if (length > (int)sizeof device->answer)
        abort();
    device->ticks = ticks;
    memcpy(device->answer, answer, (size_t)length);
    device->answer_length = length;
    current = device;
    swapcontext(&device->simulation, &device->firmware);
    current = NULL;
    memcpy(arguments, device->arguments, sizeof device->arguments);
    return (int)device->request;
}

void device_receive(struct device *device, const uint8_t *bytes, int count)
{
    if (device->received_taken == device->received_count)
        device->received_taken = device->received_count = 0;
    if (count > RECEIVED_ROOM - device->received_count)
        abort();
    memcpy(device->received + device->received_count, bytes, (size_t)count);
    device->received_count += count;
}

int device_take_sent(struct device *device, uint8_t *to, int room)
{
    const int count = device->sent_count;

    if (count > room)
        abort();
    memcpy(to, device->sent, (size_t)count);
    device->sent_count = 0;
    return count;
}

int device_program(const struct device *device, uint8_t *steps, int room)
{
    const struct program *program = device->burst->program;
    int count = 0;

    while (program->steps[count++][STEP_ACTION] != ACTION_END)
        ;
    if (count * STEP_BYTES > room)
        abort();
    memcpy(steps, program->steps, (size_t)count * STEP_BYTES);
    return count;
}

void device_put_capture(struct device *device, uint8_t outcome, uint8_t pin, uint32_t end, const uint8_t *changes, int change_count,
                        const uint8_t *levels, int level_count, const uint8_t *gaps, int gap_count, const uint8_t *snapshot)
{
    struct capture *capture = device->capture;

    if (change_count > BOARD_MAX_CHANGES || level_count > BOARD_MAX_LEVELS || gap_count > BOARD_MAX_GAPS)
        abort();
    capture->outcome = outcome;
    capture->pin = pin;
    capture->end = end;
    capture->change_count = (uint16_t)change_count;
    memcpy(capture->changes, changes, (size_t)change_count * CHANGE_RECORD_BYTES);
    capture->level_count = (uint8_t)level_count;
    memcpy(capture->levels, levels, (size_t)level_count * LEVEL_RECORD_BYTES);
    capture->gap_count = (uint8_t)gap_count;
    memcpy(capture->gaps, gaps, (size_t)gap_count * GAP_RECORD_BYTES);
    memcpy(capture->snapshot, snapshot, BOARD_SNAPSHOT_BYTES);
}

void device_limits(const struct device *device, uint32_t *lines, uint32_t *stops, int *line_count, int *stop_count)
{
    const struct limits *limits = &device->session.limits;

    *line_count = limits->line_count;
    *stop_count = limits->stop_count;
    for (uint8_t i = 0; i < limits->line_count; i++, lines += DEVICE_LINE_WORDS) {
        lines[0] = limits->lines[i].pin;
        lines[1] = limits->lines[i].idle_level;
        lines[2] = limits->lines[i].longest_on;
        lines[3] = limits->lines[i].rest;
        lines[4] = limits->lines[i].apart;
    }
    for (uint8_t i = 0; i < limits->stop_count; i++, stops += DEVICE_STOP_WORDS) {
        stops[0] = limits->stops[i].pin;
        stops[1] = limits->stops[i].stopping_level;
        stops[2] = limits->stops[i].forbids;
    }
}

int device_armed(const struct device *device) { return device->session.armed; }
uint32_t device_heartbeat_ms(const struct device *device) { return device->session.limits.heartbeat_ms; }
uint32_t device_nonce(const struct device *device) { return device->session.nonce; }
uint32_t device_session(const struct device *device) { return device->session.session_number; }
uint32_t device_run(const struct device *device) { return device->session.capture.run_number; }

int device_pin(int pin, uint8_t *capabilities, uint8_t *name)
{
    return pin < BOARD_PINS ? hal_pin((uint8_t)pin, capabilities, name) : 0;
}
