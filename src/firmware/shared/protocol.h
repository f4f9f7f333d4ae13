/* Numbers of the link protocol, version 1.2. firmware-notes/link-protocol.md is normative; this file follows it. */
#ifndef PROTOCOL_H
#define PROTOCOL_H

#define PROTOCOL_MAJOR 1
#define PROTOCOL_MINOR 2

/* Section 2: payload = type, seq, body, CRC-32. */
#define PAYLOAD_SMALLEST 6
#define PAYLOAD_LARGEST 250
#define BODY_LARGEST 244
#define ENCODED_LARGEST 252

#define REQUEST_SMALLEST 0x01
#define REQUEST_LARGEST 0x6F
#define REPLY_BIT 0x80

/* Section 5. */
#define PIN_LINE 0x01
#define PIN_SENSE 0x02
#define PIN_ANALOG 0x04
#define PIN_STOP 0x08
#define PIN_SELECT 0x10
#define PIN_FINE 0x20
#define PIN_CROSSING 0x40

/* Section 7. */
#define LINE_BODY_BYTES 14
#define STOP_BODY_BYTES 6
#define HEARTBEAT_SHORTEST_MS 100UL
#define HEARTBEAT_LONGEST_MS 60000UL

/* Section 8. */
#define STEP_BYTES 10
#define STEP_AT 0
#define STEP_ACTION 4
#define STEP_MASK 5
#define STEP_COUNT 9
#define FIRST_STEP_EARLIEST 1600UL /* ticks */
#define STEP_SPACING 320UL         /* ticks */

#define ACTION_END 0
#define ACTION_LINES 1
#define ACTION_MEASURE 2

/* Section 9. */
#define OUTCOME_COMPLETE 0
#define OUTCOME_STOP 1
#define OUTCOME_HOST_BYTE 2
#define NO_PIN 0xFF

#define LEVEL_ENTRY_BYTES 12
#define LEVEL_RECORD_BYTES 16
#define GAP_RECORD_BYTES 9
#define FINE_RECORD_BYTES 15     /* section 11; of a pin with FINE */
#define CROSSING_RECORD_BYTES 23 /* of a pin with CROSSING */
#define RESET_POWER_ON 0x01

#ifndef __ASSEMBLER__ /* actions and outcomes above are macros, because assembly needs them */

enum request_type {
    REQUEST_IDENTIFY = 0x01,
    REQUEST_PINS = 0x02,
    REQUEST_STATUS = 0x03,
    REQUEST_INPUTS = 0x04,
    REQUEST_LEVELS = 0x05,
    REQUEST_LEADS = 0x06,
    REQUEST_ALIVE = 0x07,
    REQUEST_CLEAR_LIMITS = 0x10,
    REQUEST_LINE = 0x11,
    REQUEST_STOP = 0x12,
    REQUEST_HEARTBEAT = 0x13,
    REQUEST_SELECTS = 0x14,
    REQUEST_ARM = 0x20,
    REQUEST_DISARM = 0x21,
    REQUEST_SELECT = 0x22,
    REQUEST_LOAD = 0x30,
    REQUEST_RUN = 0x31,
    REQUEST_CHANGES = 0x32,
    REQUEST_LEVEL_RECORDS = 0x33,
    REQUEST_GAPS = 0x34,
    REQUEST_FINE = 0x35,
    REQUEST_FINE_RECORD = 0x36
};

enum notice_type { NOTICE_BOOT = 0xF0, NOTICE_DONE = 0xF1, NOTICE_DISARMED = 0xF2 };

/* Section 3. */
enum result {
    RESULT_OK = 0,
    RESULT_UNKNOWN_REQUEST = 1,
    RESULT_BAD_LENGTH = 2,
    RESULT_BAD_VALUE = 3,
    RESULT_NOT_ARMED = 4,
    RESULT_WRONG_NONCE = 5,
    RESULT_ARMED = 6,
    RESULT_LIMITS_DIFFER = 7,
    RESULT_PROGRAM_REFUSED = 8,
    RESULT_STOP_ACTIVE = 9,
    RESULT_RESTING = 10,
    RESULT_ALREADY_RUN = 11,
    RESULT_NO_ROOM = 12,
    RESULT_NO_SUCH_RUN = 13
};

enum refusal {
    REFUSAL_NONE = 0,
    REFUSAL_ORDER = 1,
    REFUSAL_FIELD = 2,
    REFUSAL_END = 3,
    REFUSAL_LONGEST_ON = 4,
    REFUSAL_KEPT_APART = 5,
    REFUSAL_REST = 6,
    REFUSAL_UNDECLARED = 7,
    REFUSAL_TOO_LONG = 8,
    REFUSAL_DIGEST = 9,
    REFUSAL_LEVEL_ROOM = 10,
    REFUSAL_CROSSING = 11
};

enum gap_reason { GAP_MEASURING = 1, GAP_CHANGE_ROOM = 2 };

enum disarm_reason { DISARMED_HEARTBEAT = 1 };

#endif

#endif
