#include "adapter_pins.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// Runs of consecutive pin numbers; common practice for this board form, the same as in the demo board's text.
static const struct run {
	int first, last;
	char port;
	int first_bit, step;
} runs[] = {
	{ 10, 13, 'B', 4, 1 },
	{ 22, 29, 'A', 0, 1 },
	{ 30, 37, 'C', 7, -1 },
	{ 38, 38, 'D', 7, 1 },
	{ 39, 41, 'G', 2, -1 },
	{ 42, 49, 'L', 7, -1 },
	{ 50, 53, 'B', 3, -1 },
};

bool adapter_pin_find(const char *name, int *port, int *bit, int *analog)
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
		if (number < 0 || number > 15)
			return false;
		*port = (number < 8 ? 'F' : 'K') - 'A';
		*bit = (int)(number % 8);
		*analog = (int)number;
		return true;
	}
	for (size_t i = 0; i < sizeof runs / sizeof runs[0]; i++) {
		if (number < runs[i].first || number > runs[i].last)
			continue;
		*port = runs[i].port - 'A';
		*bit = runs[i].first_bit + (int)(number - runs[i].first) * runs[i].step;
		return true;
	}
	return false;
}
