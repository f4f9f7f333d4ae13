/* ATmega2560 board, 16 MHz. Timing figures are counted in firmware-notes/timing.md. */
#ifndef BOARD_H
#define BOARD_H

/* ---- pins: snapshot bytes are ports A, B, C, F, K, L ---- */
#define BOARD_PINS 48
#define BOARD_SNAPSHOT_BYTES 6
#define BOARD_PIN_NAME_ROOM 3
#define BOARD_LINE_PINS 0x000000FFUL /* port A */
#define BOARD_LINE_PIN_END 8         /* one more than the highest LINE pin */
#define BOARD_SELECT_PINS 0x00FF7FFFUL /* ports A, B, C without the lamp's pin */
#define BOARD_MAX_LINES 8
#define BOARD_MAX_STOPS 8            /* port L */
#define BOARD_ANALOG_MASK 0x0000FFFFUL
#define BOARD_NAME "ATmega2560 16 MHz"
#define BOARD_NAME_ROOM 24

/* ---- room ---- */
#define BOARD_MAX_STEPS 48
#define BOARD_MAX_CHANGES 480
#define BOARD_MAX_LEVELS 48
#define BOARD_MAX_GAPS 48

/* ---- time ---- */
#define BOARD_TICK_PS 62500UL
#define BOARD_TICKS_PER_MS 16000UL
#define BOARD_CLOCK_PPM 5000UL /* ceramic resonator, ±0.5 %: value from memory */
#define BOARD_HOUSEKEEPING_PERIOD 65536UL
#define BOARD_MAX_BURST_MS 30000UL

/* Counted from burst_loop.S and burst.c; `make count` checks them. */
#define BOARD_LOOK_TICKS 19
#define BOARD_SKEW_TICKS 9
#define BOARD_RECORD_TICKS 52
#define BOARD_HOUSEKEEPING_TICKS 48
#define BOARD_STOP_BOUND 470UL
#define BOARD_HOST_BOUND 66000UL

/* ---- converter ---- */
#define BOARD_ADC_BITS 10
#define BOARD_REFERENCE_MV 5000UL   /* AVCC */
#define BOARD_REFERENCE_PPM 50000UL /* a 5 V supply is ±5 %: common practice */
#define BOARD_SAMPLE_TICKS 2900UL

/* ---- lead check ---- */
#define BOARD_DISCHARGE_TICKS 800 /* 50 us */
#define BOARD_RELEASE_TICKS 3200  /* 200 us: 100 kohm with 200 pF of lead has settled ten times over */
#define BOARD_PULLUP_TICKS 4800   /* 300 us: the pull-up has 20 to 50 kohm */

#ifndef __ASSEMBLER__
#include <avr/pgmspace.h>
#define BOARD_FLASH PROGMEM
#define BOARD_FLASH_U32(address) pgm_read_dword(address)
#endif

#endif
