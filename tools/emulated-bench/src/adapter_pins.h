// The chips that an I/O adapter can have: pin names (as printed on common boards) and where they are in the chip.
#ifndef BENCH_ADAPTER_PINS_H
#define BENCH_ADAPTER_PINS_H

#include <stdbool.h>
#include <stdint.h>

struct adapter_chip {
	const char *name;       // as simavr and the compiler call it
	uint32_t elf_machine;   // what the linker writes into the low bits of an ELF file's flags
	uint16_t sram_start;    // data address
	const struct pin_run *runs;
	int run_count;
	const char *analog_ports; // one letter for each eight channels of the converter
	int analog_count, analog_with_port; // those from the second number on lead to the converter alone
	const char *pin_names;  // for people
};

// NULL: the bench knows no chip of that name.
const struct adapter_chip *adapter_chip_find(const char *name);

// All names, for people, separated by blanks.
extern const char adapter_chip_names[];

// port: 0 = A … 11 = L (there is no I), -1: a pin of the converter alone; analog: converter channel or -1. False: no such pin.
bool adapter_pin_find(const struct adapter_chip *chip, const char *name, int *port, int *bit, int *analog);

#endif
