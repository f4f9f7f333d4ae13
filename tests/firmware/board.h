/* A board for the host-side tests: small tables, so that their ends are reached, and figures that make limits easy to work out by hand. */
#ifndef BOARD_H
#define BOARD_H

#include <stdint.h>

#define BOARD_PINS 16
#define BOARD_SNAPSHOT_BYTES 2
#define BOARD_PIN_NAME_ROOM 3
#define BOARD_LINE_PINS 0x0000000FUL /* pins 0..3 */
#define BOARD_LINE_PIN_END 4
#define BOARD_SELECT_PINS 0x00007F0FUL /* all but the analog ones and the last, which can do nothing */
#define BOARD_MAX_LINES 3
#define BOARD_MAX_STOPS 2
#define BOARD_ANALOG_MASK 0x0000000FUL /* pins 4..7 */
#define BOARD_NAME_ROOM 8

#define BOARD_MAX_STEPS 8
#define BOARD_MAX_CHANGES 40
#define BOARD_MAX_LEVELS 6
#define BOARD_MAX_GAPS 8

#define BOARD_TICK_PS 1000000UL
#define BOARD_TICKS_PER_MS 1000UL
#define BOARD_CLOCK_PPM 50UL
#define BOARD_HOUSEKEEPING_PERIOD 65536UL
#define BOARD_MAX_BURST_MS 20000UL
#define BOARD_LOOK_TICKS 20
#define BOARD_SKEW_TICKS 8
#define BOARD_RECORD_TICKS 50
#define BOARD_HOUSEKEEPING_TICKS 45
#define BOARD_STOP_BOUND 300UL
#define BOARD_HOST_BOUND 66000UL
#define BOARD_ADC_BITS 10
#define BOARD_REFERENCE_MV 5000UL
#define BOARD_REFERENCE_PPM 50000UL
#define BOARD_SAMPLE_TICKS 1000UL
#define BOARD_DISCHARGE_TICKS 800
#define BOARD_RELEASE_TICKS 3200
#define BOARD_PULLUP_TICKS 4800

#define BOARD_FLASH
#define BOARD_FLASH_U32(address) (*(address))

#endif
