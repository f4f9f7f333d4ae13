/* What the source in avr/ needs to know of the ATmega328P: its ports, and figures of the code that is compiled for it. */
#ifndef CHIP_H
#define CHIP_H

#include <avr/io.h>

/* STOP pins are this port; a look reads it last. */
#define STOP_LEVELS PINB
#define STOP_FIRST_PIN 8

/* Bytes come every 320 cycles and are taken in fewer; more than a few wait only while a frame is answered, when a host is silent. A power of two
   up to 256. */
#define RECEIVE_RING_BYTES 64

/* From the read of a look's last port to the read of TCNT1: the mask, COMPARE, the taken branch, the first lds. */
#define STAMP_OFFSET 8

/* From burst_measure's last reading of the time to the first look after it by the shortest way, less 1: `to` is before that look. */
#define GAP_TAIL 201

/* Bits of port D that a look takes: not the serial port's, which say nothing of the board. Bits 6 and 7 of ports B (crystal) and C (reset, no pin)
   read 0 always: value from memory. */
#define PORT_D_SENSED 0xFC

/* The timer's capture input leads to a pin (fine.c). That of the ATmega2560 leads to none on the usual boards. */
#define HAS_FINE

#ifdef __ASSEMBLER__
#include "burst_loop.h"
#include "protocol.h"

/* r18..r20 the look in hand, r2..r4 the latest one: ports D B C. r13 and r7 are ports D and B with every line idle; r17 and r21 what they are from the next
   LINES step on. */
#define LOOK_STOPS r19

.macro LOAD_IDLE
    lds  r13, burst_loop + LOOP_IDLE
    lds  r7, burst_loop + LOOP_IDLE + 1
.endm

.macro DRIVE_IDLE
    out  _SFR_IO_ADDR(PORTD), r13   ; 1
    out  _SFR_IO_ADDR(PORTB), r7    ; 1
.endm

.macro DRIVE_NEXT
    out  _SFR_IO_ADDR(PORTD), r17   ; 1   lines on both ports change one cycle apart
    out  _SFR_IO_ADDR(PORTB), r21   ; 1
.endm

.macro PREPARE_NEXT
    ldd  r24, Z+STEP_MASK           ; 2
    mov  r17, r13                   ; 1
    eor  r17, r24                   ; 1
    ldd  r24, Z+STEP_MASK+1         ; 2
    mov  r21, r7                    ; 1
    eor  r21, r24                   ; 1
.endm

.macro LOOK
    in   r18, _SFR_IO_ADDR(PIND)    ; 1
    in   r20, _SFR_IO_ADDR(PINC)    ; 1
    in   r19, _SFR_IO_ADDR(PINB)    ; 1
    andi r18, PORT_D_SENSED         ; 1
.endm

.macro COMPARE
    cp   r18, r2                    ; 1
    cpc  r19, r3                    ; 1
    cpc  r20, r4                    ; 1   Z: nothing changed
.endm

.macro KEEP
    movw r2, r18                    ; 1
    mov  r4, r20                    ; 1
.endm

.macro STORE_LOOK
    st   Y+, r18                    ; 2
    st   Y+, r19                    ; 2
    st   Y+, r20                    ; 2
.endm
#else

#include <stdint.h>

/* LINE pins are bits of port D and, from pin 8 on, of port B. */
static inline uint16_t lines_levels(void) { return (uint16_t)(PORTD | (PORTB << 8)); }
static inline void lines_make_outputs(uint16_t lines)
{
    DDRD |= (uint8_t)lines;
    DDRB |= (uint8_t)(lines >> 8);
}
static inline void lines_drive(uint16_t levels)
{
    PORTD = (uint8_t)levels;
    PORTB = (uint8_t)(levels >> 8);
}
#endif

#endif
