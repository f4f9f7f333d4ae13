/* The sampling loop of a burst. Interrupts are off; every path is counted in cycles, because the link protocol promises the host
   how far apart two looks can be. The number behind an instruction is its cycles (where the chips differ: ATmega2560, ATmega328P); firmware-notes/timing.md
   adds them up, and tests/firmware/count_cycles.py checks the sums against the linked program.

   A turn of the loop: a look at all ports; if it differs from the one before, a record; then one poll of the timer's flags, and at most
   one service each of housekeeping (every 65536 ticks) and a step.

   r2..r7, r13, r17, r18..r23   the chip's: levels of the latest look and of the look in hand, the lines' ports with every line idle, and from the next LINES
             step on (chip.h)
   r8:r9     bits 16..31 of the time
   r10       stop inputs: bits that stop when low (inverted before the mask)
   r11       stop inputs: mask
   r12       stop inputs that are not in their stopping state
   r14:r15   end of the room for records
   r16       flags of the timer that matter now: TOV1, and OCF1A while a step falls into this period
   r28:r29   Y: where the next record goes
   r30:r31   Z: next step
   r0, r24..r27 free; r1 is 0 as everywhere; T is set when the burst is to end behind the record in hand */

#include <avr/io.h>

#include "board.h"
#include "burst_loop.h"
#include "chip.h"
#include "protocol.h"

#define ADDRESS(register) _SFR_IO_ADDR(register)

/* The chip's LOAD_IDLE, DRIVE_IDLE, DRIVE_NEXT and PREPARE_NEXT switch its lines. LOOK reads its ports, the one with the stop inputs last; COMPARE sets Z when the latest look was the same; KEEP makes the look in hand the
   latest one; STORE_LOOK stores it. Time from the last port's read to TCNT1's read is the same in all paths: STAMP_OFFSET in chip.h. */

/* Sorts out the stop inputs of the look in hand; branches when one of them went to its stopping state. */
.macro STOPS stopped
    mov  r0, LOOK_STOPS             ; 1
    eor  r0, r10                    ; 1
    and  r0, r11                    ; 1   in their stopping state now
    and  r12, r0                    ; 1   and not before
    brne \stopped                   ; 1   (2 when taken)
    mov  r12, r0                    ; 1
    com  r12                        ; 1
.endm

/* Stores the look in hand with the stamp r24:r25, if there is room. */
.macro STORE
    cp   r28, r14                   ; 1
    cpc  r29, r15                   ; 1
    breq 1f                         ; 1   (2 when there is no room)
    st   Y+, r24                    ; 2
    st   Y+, r25                    ; 2
    /* Bits 16..31, one more if TCNT1 went round before it was read and nobody has counted that yet. When the flag was set only
       after the reading, TCNT1's top bit is still 1. */
    movw r26, r8                    ; 1
    in   r0, ADDRESS(TIFR1)         ; 1
    com  r25                        ; 1
    lsl  r25                        ; 1   C: top bit was 0
    sbrs r0, TOV1                   ; 1   (2, and then
    clc                             ; 1    0)
    adc  r26, r1                    ; 1
    adc  r27, r1                    ; 1
    st   Y+, r26                    ; 2
    st   Y+, r27                    ; 2
    STORE_LOOK                      ; 12, 6
1:
.endm

.section .text.burst_loop_run, "ax", @progbits
.global burst_loop_run
.type burst_loop_run, @function
burst_loop_run:
    push r2
    push r3
    push r4
    push r5
    push r6
    push r7
    push r8
    push r9
    push r10
    push r11
    push r12
    push r13
    push r14
    push r15
    push r16
    push r17
    push r28
    push r29

    lds  r28, burst_loop + LOOP_RECORDS
    lds  r29, burst_loop + LOOP_RECORDS + 1
    lds  r14, burst_loop + LOOP_RECORDS_END
    lds  r15, burst_loop + LOOP_RECORDS_END + 1
    lds  r30, burst_loop + LOOP_STEPS
    lds  r31, burst_loop + LOOP_STEPS + 1
    lds  r10, burst_loop + LOOP_STOP_INVERT
    lds  r11, burst_loop + LOOP_STOP_MASK
    lds  r12, burst_loop + LOOP_STOP_ARMED
    LOAD_IDLE
    clr  r8
    clr  r9
    clt

    /* Time 0. The flags are cleared behind it; the first step is 1600 ticks away at least. */
    sts  TCNT1H, r1
    sts  TCNT1L, r1
    ldi  r24, (1 << TOV1) | (1 << OCF1A) | (1 << ICF1)
    out  ADDRESS(TIFR1), r24
    rcall set_compare

    LOOK
    COMPARE
    rjmp changed                    ; 2   as long as a taken brne: the first look is always stored

    /* ---- a look that differs ---- */
stopped:
    DRIVE_IDLE                      ; 1, 2   all lines idle
    set                             ; 1
    rjmp record                     ; 2
changed:
    lds  r24, TCNT1L                ; 2
    lds  r25, TCNT1H                ; 2
    STOPS stopped                   ; 7   first of all
record:
    KEEP                            ; 3, 2
    STORE                           ; 31, 25
    brts to_ended_by_stop           ; 1
    rjmp poll                       ; 2
to_ended_by_stop:
    rjmp ended_by_stop

    /* ---- nothing happens: 19 cycles a turn, 12 ---- */
look:
    LOOK                            ; 8, 4
    COMPARE                         ; 6, 3
    brne changed                    ; 1   (2 when taken)
poll:
    in   r24, ADDRESS(TIFR1)        ; 1
    and  r24, r16                   ; 1
    breq look                       ; 2   (1 when not)

    sbrs r24, TOV1                  ; 2   (1 when only a step is due)
    rjmp step                       ; 2

    /* ---- housekeeping: every 65536 ticks ---- */
housekeeping_due:
    ldi  r24, 1 << TOV1             ; 1
    out  ADDRESS(TIFR1), r24        ; 1
    sec                             ; 1
    adc  r8, r1                     ; 1
    adc  r9, r1                     ; 1
    wdr                             ; 1
    lds  r24, UCSR0A                ; 2
    sbrc r24, RXC0                  ; 2
    rjmp host_byte
    /* Does the next step fall into this period? */
    ldd  r24, Z+STEP_AT+2           ; 2
    ldd  r25, Z+STEP_AT+3           ; 2
    cp   r8, r24                    ; 1
    cpc  r9, r25                    ; 1
    brlo look                       ; 1   (2 when it does not)
    brne step                       ; 1   its period is over: both flags were pending at once
    ldi  r24, 1 << OCF1A            ; 1
    out  ADDRESS(TIFR1), r24        ; 1   may have been set in an earlier period
    ldi  r16, (1 << TOV1) | (1 << OCF1A) ; 1
    ldd  r24, Z+STEP_AT             ; 2
    ldd  r25, Z+STEP_AT+1           ; 2
    lds  r26, TCNT1L                ; 2
    lds  r27, TCNT1H                ; 2
    cp   r26, r24                   ; 1
    cpc  r27, r25                   ; 1
    brsh step                       ; 1   its time has passed while we came here
    sbic ADDRESS(TIFR1), TOV1       ; 2
    rjmp step                       ;     TCNT1 went round a moment ago: passed, too
    rjmp look                       ; 2

    /* ---- a step: OCF1A was set in its own period, so its time has come ---- */
step:
    ldd  r24, Z+STEP_ACTION         ; 2
    cpi  r24, ACTION_LINES          ; 1
    brne other_step                 ; 1
    DRIVE_NEXT                      ; 1, 2
    adiw r30, STEP_BYTES            ; 2
    PREPARE_NEXT                    ; 4, 8
    ldd  r24, Z+STEP_AT             ; 2
    ldd  r25, Z+STEP_AT+1           ; 2
    sts  OCR1AH, r25                ; 2
    sts  OCR1AL, r24                ; 2
    ldd  r24, Z+STEP_AT+2           ; 2
    ldd  r25, Z+STEP_AT+3           ; 2
    cp   r8, r24                    ; 1
    cpc  r9, r25                    ; 1
    brlo step_later                 ; 1
    /* In this period still. Steps are 320 ticks apart, so its time cannot have passed by now: only the old flag goes. */
    ldi  r24, 1 << OCF1A            ; 1
    out  ADDRESS(TIFR1), r24        ; 1
    rjmp look                       ; 2
step_later:
    ldi  r16, 1 << TOV1             ; 1
    rjmp look                       ; 2

    /* ---- steps that are not LINES ---- */
other_step:
    cpi  r24, ACTION_MEASURE
    breq measure
    DRIVE_IDLE                      ;     END
    ldi  r24, OUTCOME_COMPLETE
    rjmp finish
measure:
    sts  burst_loop + LOOP_HIGH, r8
    sts  burst_loop + LOOP_HIGH + 1, r9
    sts  burst_loop + LOOP_STOP_ARMED, r12
    push r30
    push r31
    movw r24, r30
    call burst_measure
    pop  r31
    pop  r30
    lds  r8, burst_loop + LOOP_HIGH
    lds  r9, burst_loop + LOOP_HIGH + 1
    lds  r12, burst_loop + LOOP_STOP_ARMED
    cpi  r24, OUTCOME_COMPLETE
    breq go_on_after_gap
    rjmp finish
go_on_after_gap:
    clt                             ;     compiled code may have used T
    adiw r30, STEP_BYTES
    /* An overflow that is older than this look by more than housekeeping_ticks must not wait for the next poll: the host could
       not tell that it was still to be counted. */
    sbis ADDRESS(TIFR1), TOV1
    rjmp counted
    ldi  r24, 1 << TOV1
    out  ADDRESS(TIFR1), r24
    sec
    adc  r8, r1
    adc  r9, r1
counted:
    rcall set_compare
    /* The first look after the gap. Its stop inputs matter even when the look equals the one before the gap, because burst_measure has
       followed them meanwhile. The next step is not due yet: sample_ticks is long enough for all of this. */
    LOOK
    COMPARE                         ; 6, 3
    in   r27, ADDRESS(SREG)         ; 1   Z for later
    nop                             ; 1   the stamp comes as late as behind a taken brne
    lds  r24, TCNT1L
    lds  r25, TCNT1H
    STOPS stopped_after_gap
look_after_gap:
    sbrc r27, SREG_Z
    rjmp after_gap
record_after_gap:
    KEEP
    STORE
after_gap:
    brtc 1f
    rjmp ended_by_stop
1:  rjmp poll
stopped_after_gap:
    DRIVE_IDLE
    set
    rjmp look_after_gap

    /* The next step's time into OCR1A and its lines into r17; OCF1A matters if it falls into this period. */
set_compare:
    PREPARE_NEXT
    ldd  r24, Z+STEP_AT
    ldd  r25, Z+STEP_AT+1
    sts  OCR1AH, r25
    sts  OCR1AL, r24
    ldi  r16, 1 << TOV1
    ldd  r24, Z+STEP_AT+2
    ldd  r25, Z+STEP_AT+3
    cp   r8, r24
    cpc  r9, r25
    brlo 1f
    ldi  r24, 1 << OCF1A
    out  ADDRESS(TIFR1), r24
    ldi  r16, (1 << TOV1) | (1 << OCF1A)
1:  ret

    /* ---- the end ---- */
host_byte:
    DRIVE_IDLE
    ldi  r24, OUTCOME_HOST_BYTE
    rjmp finish
ended_by_stop:
    ldi  r24, OUTCOME_STOP

finish:
    /* Time of the end; every line was idle a moment before. r18 and r19 are free now. */
    lds  r18, TCNT1L
    lds  r19, TCNT1H
    movw r26, r8
    in   r0, ADDRESS(TIFR1)
    mov  r25, r19
    com  r25
    lsl  r25
    sbrs r0, TOV1
    clc
    adc  r26, r1
    adc  r27, r1
    sts  burst_loop + LOOP_END, r18
    sts  burst_loop + LOOP_END + 1, r19
    sts  burst_loop + LOOP_END + 2, r26
    sts  burst_loop + LOOP_END + 3, r27
    sts  burst_loop + LOOP_HIGH, r8
    sts  burst_loop + LOOP_HIGH + 1, r9
    sts  burst_loop + LOOP_STOP_ARMED, r12
    sts  burst_loop + LOOP_RECORDS, r28
    sts  burst_loop + LOOP_RECORDS + 1, r29
    ldi  r25, 0

    pop  r29
    pop  r28
    pop  r17
    pop  r16
    pop  r15
    pop  r14
    pop  r13
    pop  r12
    pop  r11
    pop  r10
    pop  r9
    pop  r8
    pop  r7
    pop  r6
    pop  r5
    pop  r4
    pop  r3
    pop  r2
    ret
.size burst_loop_run, . - burst_loop_run
