/* Between burst.c and burst_loop.S. The assembly knows these fields by the offsets below. */
#ifndef BURST_LOOP_H
#define BURST_LOOP_H

#define LOOP_RECORDS 0     /* u16: where the first change record goes */
#define LOOP_RECORDS_END 2 /* u16: behind the last one */
#define LOOP_STEPS 4       /* u16: the first step, in wire form */
#define LOOP_HIGH 6        /* u16: bits 16..31 of the time */
#define LOOP_STOP_INVERT 8 /* u8: bits of the stop inputs' port that stop when low */
#define LOOP_STOP_MASK 9   /* u8: bits that are stop inputs */
#define LOOP_STOP_ARMED 10 /* u8: bits that are not in their stopping state; after a stop: those that went into it */
#define LOOP_IDLE 11       /* u16: the lines' ports with every line idle */
#define LOOP_END 13        /* u32: time of the end */

#ifndef __ASSEMBLER__
#include <stdint.h>

struct burst_loop {
    uint8_t *records;
    uint8_t *records_end;
    const uint8_t *steps;
    uint16_t high;
    uint8_t stop_invert;
    uint8_t stop_mask;
    uint8_t stop_armed;
    uint16_t idle;
    uint32_t end;
};

/* What the assembly runs on; also how it and burst_measure speak. */
extern struct burst_loop burst_loop;

/* Runs the steps until END, a stop input or a byte from the host. Interrupts are off. Returns OUTCOME_...;
   burst_loop.records is then behind the last record that was stored. */
uint8_t burst_loop_run(void);

/* Called by the assembly for a MEASURE step. Returns OUTCOME_...: OUTCOME_COMPLETE to go on; otherwise every line is idle already. */
uint8_t burst_measure(const uint8_t *step);
#endif

#endif
