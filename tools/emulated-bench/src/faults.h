// Faults by name, as a user injects and repairs them.
#ifndef BENCH_FAULTS_H
#define BENCH_FAULTS_H

#include <stddef.h>
#include "board.h"

// Adds a fault: PART=MODE, PART:PIN=MODE, net:A+B=bridged, lead:TESTPOINT=open, lead:TESTPOINT=at-NET, lead:A+B=swapped, line:PIN=open,
// line:PIN=dead, motor:NET=dead. On failure writes what is wrong and what is possible into `message` and changes nothing. Call model_settle afterwards.
bool faults_inject(struct board *board, const char *spec, char *message, size_t size);

// Takes away one fault (written as it was injected) or "all".
bool faults_repair(struct board *board, const char *spec, char *message, size_t size);

// Sets every element's fault from the list.
void faults_apply(struct board *board);

// True when the section's fault holds its output still whatever the input says, or turns it round; *state comes in as what the
// input asks for and goes out as what the section does at once. An inverted section is not held: *state is turned only.
bool fault_holds_section(const struct section *section, bool *state);

#endif
