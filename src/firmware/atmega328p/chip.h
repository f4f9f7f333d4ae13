/* What the source in avr/ needs to know of the ATmega328P: its ports, and figures of the code that is compiled for it. */
#ifndef CHIP_H
#define CHIP_H

#include <avr/io.h>

/* LINE pins are this port, bit for bit (pins 0 and 1 are the serial port and no LINE), so that one `out` switches all lines. */
#define LINE_PORT PORTD
#define LINE_DIRECTION DDRD

/* STOP pins are this port; a look reads it last. */
#define STOP_LEVELS PINB
#define STOP_FIRST_PIN 8

/* Bytes come every 320 cycles and are taken in fewer; more than a few wait only while a frame is answered, when a host is silent. A power of two
   up to 256. */
#define RECEIVE_RING_BYTES 64

/* From the read of a look's last port to the read of TCNT1: the mask, COMPARE, the taken branch, the first lds. */
#define STAMP_OFFSET 8

/* From burst_measure's last reading of the time to the first look after it by the shortest way, less 1: `to` is before that look. */
#define GAP_TAIL 197

/* Bits of port D that a look takes: not the serial port's, which say nothing of the board. Bits 6 and 7 of ports B (crystal) and C (reset, no pin)
   read 0 always: value from memory. */
#define PORT_D_SENSED 0xFC

#ifdef __ASSEMBLER__
/* r18..r20 the look in hand, r2..r4 the latest one: ports D B C. */
#define LOOK_STOPS r19

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
#endif

#endif
