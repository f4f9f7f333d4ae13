#include "multiplexer.h"

// Typical thresholds of a select input at 4.5 V: Nexperia 74HC_HCT4051 Rev. 9 (26 September 2017), Table 7.
#define SELECT_HIGH_VOLTS 2.4
#define SELECT_LOW_VOLTS 2.1

static int wanted_address(const struct board *board, struct multiplexer *multiplexer)
{
	int address = 0;
	for (int i = 0; i < MULTIPLEXER_SELECTS; i++) {
		const struct net *net = &board->nets[multiplexer->selects[i]];
		enum fault_mode fault = multiplexer->select_faults[i].mode;
		bool *level = &multiplexer->levels[i];
		// A floating CMOS input keeps the charge of its gate.
		if (!net->floating)
			*level = net->volts >= (*level ? SELECT_LOW_VOLTS : SELECT_HIGH_VOLTS);
		if (fault == FAULT_STUCK_HIGH || (*level && fault != FAULT_STUCK_LOW))
			address |= 1 << i;
	}
	return address;
}

void multiplexer_settle(const struct board *board, struct multiplexer *multiplexer, instant_ps now)
{
	int address = wanted_address(board, multiplexer);
	if (address == multiplexer->target)
		return;
	multiplexer->target = address;
	multiplexer->due = address == multiplexer->address ? NEVER : now + multiplexer->delay;
}

void multiplexer_place(const struct board *board, struct multiplexer *multiplexer)
{
	multiplexer->address = multiplexer->target = wanted_address(board, multiplexer);
	multiplexer->due = NEVER;
}

void multiplexer_step(struct multiplexer *multiplexer)
{
	multiplexer->address = multiplexer->target;
	multiplexer->due = NEVER;
}

bool multiplexer_conducts(const struct multiplexer *multiplexer, int input)
{
	if (multiplexer->fault.mode == FAULT_DEAD || multiplexer->input_faults[input].mode == FAULT_OPEN)
		return false;
	return multiplexer->input_faults[input].mode == FAULT_STUCK_ON || multiplexer->address == input;
}
