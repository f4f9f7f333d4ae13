/* What the source in avr/ needs to know of the ATmega2560: its ports, and figures of the code that is compiled for it. */
#ifndef CHIP_H
#define CHIP_H

#include <avr/io.h>

/* STOP pins are this port; a look reads it last. */
#define STOP_LEVELS PINL
#define STOP_FIRST_PIN 40

/* A whole frame and more; a power of two up to 256. */
#define RECEIVE_RING_BYTES 256

/* From the read of a look's last port to the read of TCNT1: COMPARE, the taken branch, the first lds. */
#define STAMP_OFFSET 10

/* From burst_measure's last reading of the time to the first look after it by the shortest way, less 1: `to` is before that look. */
#define GAP_TAIL 208

#ifdef __ASSEMBLER__
#include "burst_loop.h"
#include "protocol.h"

/* r18..r23 the look in hand, r2..r7 the latest one: ports A B C F K L. r13 and r17 are port A with every line idle, and from the next LINES step on. */
#define LOOK_STOPS r23

.macro LOAD_IDLE
    lds  r13, burst_loop + LOOP_IDLE
.endm

.macro DRIVE_IDLE
    out  _SFR_IO_ADDR(PORTA), r13   ; 1
.endm

.macro DRIVE_NEXT
    out  _SFR_IO_ADDR(PORTA), r17   ; 1   all lines change at once
.endm

.macro PREPARE_NEXT
    ldd  r24, Z+STEP_MASK           ; 2
    mov  r17, r13                   ; 1
    eor  r17, r24                   ; 1
.endm

.macro LOOK
    in   r18, _SFR_IO_ADDR(PINA)    ; 1
    in   r19, _SFR_IO_ADDR(PINB)    ; 1
    in   r20, _SFR_IO_ADDR(PINC)    ; 1
    in   r21, _SFR_IO_ADDR(PINF)    ; 1
    lds  r22, PINK                  ; 2
    lds  r23, PINL                  ; 2
.endm

.macro COMPARE
    cp   r18, r2                    ; 1
    cpc  r19, r3                    ; 1
    cpc  r20, r4                    ; 1
    cpc  r21, r5                    ; 1
    cpc  r22, r6                    ; 1
    cpc  r23, r7                    ; 1   Z: nothing changed
.endm

.macro KEEP
    movw r2, r18                    ; 1
    movw r4, r20                    ; 1
    movw r6, r22                    ; 1
.endm

.macro STORE_LOOK
    st   Y+, r18                    ; 2
    st   Y+, r19                    ; 2
    st   Y+, r20                    ; 2
    st   Y+, r21                    ; 2
    st   Y+, r22                    ; 2
    st   Y+, r23                    ; 2
.endm
#else

#include <stdint.h>

/* LINE pins are port A, bit for bit: pins 0..7. */
static inline uint16_t lines_levels(void) { return PORTA; }
static inline void lines_drive(uint16_t levels) { PORTA = (uint8_t)levels; }
static inline void lines_make_outputs(uint16_t lines) { DDRA |= (uint8_t)lines; }
#endif

#endif
