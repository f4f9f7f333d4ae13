#include "adapter_pins.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>

// A run of consecutive pin numbers; common practice for these board forms.
struct pin_run {
	int first, last;
	char port;
	int first_bit, step;
};

static const struct pin_run mega2560_runs[] = {
	{ 10, 13, 'B', 4, 1 },
	{ 22, 29, 'A', 0, 1 },
	{ 30, 37, 'C', 7, -1 },
	{ 38, 38, 'D', 7, 1 },
	{ 39, 41, 'G', 2, -1 },
	{ 42, 49, 'L', 7, -1 },
	{ 50, 53, 'B', 3, -1 },
};

// D0 and D1 are the serial port.
static const struct pin_run mega328p_runs[] = {
	{ 2, 7, 'D', 2, 1 },
	{ 8, 13, 'B', 0, 1 },
};

#define RUNS(table) .runs = table, .run_count = sizeof table / sizeof table[0]

static const struct adapter_chip chips[] = {
	{ .name = "atmega2560", .elf_machine = 6, .sram_start = 0x200, RUNS(mega2560_runs), .analog_ports = "FK",
	  .analog_count = 16, .analog_with_port = 16, .pin_names = "D10..D13, D22..D53, A0..A15" },
	{ .name = "atmega328p", .elf_machine = 5, .sram_start = 0x100, RUNS(mega328p_runs), .analog_ports = "C",
	  .analog_count = 8, .analog_with_port = 6, .pin_names = "D2..D13, A0..A7" },
};

const char adapter_chip_names[] = "atmega2560 atmega328p";

const struct adapter_chip *adapter_chip_find(const char *name)
{
	for (size_t i = 0; i < sizeof chips / sizeof chips[0]; i++)
		if (strcmp(chips[i].name, name) == 0)
			return &chips[i];
	return NULL;
}

bool adapter_pin_find(const struct adapter_chip *chip, const char *name, int *port, int *bit, int *analog)
{
	char *end;
	if (name[0] != 'D' && name[0] != 'A')
		return false;
	if (name[1] < '0' || name[1] > '9')
		return false;
	long number = strtol(name + 1, &end, 10);
	if (*end)
		return false;
	*analog = -1;
	if (name[0] == 'A') {
		if (number >= chip->analog_count)
			return false;
		*port = number < chip->analog_with_port ? chip->analog_ports[number / 8] - 'A' : -1;
		*bit = (int)(number % 8);
		*analog = (int)number;
		return true;
	}
	for (int i = 0; i < chip->run_count; i++) {
		const struct pin_run *run = &chip->runs[i];
		if (number < run->first || number > run->last)
			continue;
		*port = run->port - 'A';
		*bit = run->first_bit + (int)(number - run->first) * run->step;
		return true;
	}
	return false;
}
