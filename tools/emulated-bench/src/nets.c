#include "nets.h"

#include <math.h>
#include <string.h>
#include "network.h"

#define CONTACT_OHMS 1.0
#define PIN_DRIVE_OHMS 25.0
#define PIN_PULL_UP_OHMS 35e3
#define PIN_SUPPLY_VOLTS 5.0
// What lets the charge of an open lead leak away: 60 pF through it is a time constant of 3 ms.
#define PIN_LEAK_OHMS 50e6
// An unpowered output holds its net near ground through its parasitic diodes, not firmly.
#define UNPOWERED_VOLTS 0.1
#define UNPOWERED_OHMS 470.0
// An input that is shorted inside its part, to ground or to its supply (common practice).
#define SHORTED_OHMS 1.0
// A level that no logic family promises to understand: 1.5 V on a 5 V net, 0.37 of the supply elsewhere (4.4 V at 12 V,
// which a 100k/47k divider makes 1.4 V).
#define WEAK_LOGIC_VOLTS 1.5
#define WEAK_SHARE 0.37

double supply_volts(const struct board *board, int index)
{
	const struct supply *supply = &board->supplies[index];
	if (!supply->on || supply->fault.mode == FAULT_DEAD)
		return 0;
	if (supply->fault.mode == FAULT_WEAK)
		return supply->fault.parameter > 0 ? supply->fault.parameter : 0.8 * supply->volts;
	return supply->volts;
}

void nets_join(struct board *board)
{
	for (int i = 0; i < board->net_count; i++)
		board->nets[i].root = i;
	for (int k = 0; k < board->bridge_count; k++) {
		int from = board->nets[board->bridges[k].a].root, to = board->nets[board->bridges[k].b].root;
		for (int i = 0; i < board->net_count; i++)
			if (board->nets[i].root == from)
				board->nets[i].root = to;
	}
}

static bool is_weak(const struct section *section)
{
	return section->fault.mode == FAULT_WEAK && section->state != section->idle;
}

static bool is_powered(const struct board *board, const struct section *section)
{
	return supply_volts(board, section->supply) >= 2.0 && section->fault.mode != FAULT_NO_SUPPLY;
}

static void add_section(const struct board *board, const struct section *section, struct sum *sum)
{
	double supply = supply_volts(board, section->supply);
	bool weak = is_weak(section);
	double weak_volts = section->fault.parameter;
	switch (section->kind) {
	case SECTION_INVERTER:
	case SECTION_BUFFER:
		if (section->fault.mode == FAULT_DISABLED)
			break; // of high impedance: whatever else is at the net decides
		if (!is_powered(board, section))
			sum_add(sum, UNPOWERED_VOLTS, UNPOWERED_OHMS);
		else if (weak)
			sum_add(sum, weak_volts > 0 ? weak_volts : WEAK_LOGIC_VOLTS, section->low_ohms);
		else if (!section->state)
			sum_add(sum, section->low_volts, section->low_ohms);
		break; // its high is a one-way source, below
	case SECTION_ISOLATOR:
		sum_add(sum, supply, section->load_ohms);
		if (section->state && weak)
			sum_add(sum, weak_volts > 0 ? weak_volts : WEAK_SHARE * supply, 1.0);
		else if (section->state)
			sum_add(sum, section->saturation_volts, 50.0);
		break;
	case SECTION_DRIVER:
		sum_add(sum, section->low_side ? supply : 0, section->coil_ohms);
		if (section->state && supply > 2.0 && weak)
			sum_add(sum, weak_volts > 0 ? weak_volts : WEAK_SHARE * supply, 1.0);
		else if (section->state && supply > 2.0)
			sum_add(sum, section->low_side ? section->drop_volts : supply - section->drop_volts, 0.1);
		break;
	case SECTION_SOCKET:
		break; // its collector current depends on what it finds, below
	case SECTION_RELAY:
	case SECTION_STRIKER:
		break; // its coil is the driver's; its contact stands among the contacts
	}
}

// A part whose input is shorted inside holds the net in front of it.
static void add_input(const struct board *board, const struct section *section, struct sum *sum)
{
	if (section->fault.mode == FAULT_HOLDS_LOW)
		sum_add(sum, 0, SHORTED_OHMS);
	else if (section->fault.mode == FAULT_HOLDS_HIGH)
		sum_add(sum, supply_volts(board, section->kind == SECTION_ISOLATOR || section->kind == SECTION_SOCKET ? section->anode_supply : section->supply), SHORTED_OHMS);
}

// What drives the pin itself, apart from its lead.
static struct sum pin_own(const struct lead *lead)
{
	struct sum own = { 0, 0 };
	bool high = lead->dead ? lead->active_low : lead->drive_high;
	if (lead->driven)
		sum_add(&own, high ? PIN_SUPPLY_VOLTS : 0, PIN_DRIVE_OHMS);
	else if (lead->pulled_up)
		sum_add(&own, PIN_SUPPLY_VOLTS, PIN_PULL_UP_OHMS);
	if (lead->bottom_ohms > 0)
		sum_add(&own, 0, lead->bottom_ohms);
	return own;
}

double isolator_current(const struct board *board, const struct section *section)
{
	const struct net *sink = &board->nets[section->in];
	if (sink->floating || section->fault.mode == FAULT_REMOVED)
		return 0;
	double across = supply_volts(board, section->anode_supply) - section->forward_volts - sink->volts;
	return across > 0 ? across / section->series_ohms : 0;
}

// What only gives current, and only while the net is below it: a TTL output that is high, an isolator's diode.
struct one_way {
	int root;
	double volts, ohms;
	bool conducts;
};

static int find_one_way_sources(const struct board *board, struct one_way *sources)
{
	int count = 0;
	for (int i = 0; i < board->section_count; i++) {
		const struct section *section = &board->sections[i];
		bool gate = section->kind == SECTION_INVERTER || section->kind == SECTION_BUFFER;
		if (section->kind == SECTION_SOCKET && section->fault.mode == FAULT_REMOVED)
			continue;
		if (section->kind == SECTION_ISOLATOR || section->kind == SECTION_SOCKET) {
			double source = supply_volts(board, section->anode_supply) - section->forward_volts;
			if (source > 0)
				sources[count++] = (struct one_way){ board->nets[section->in].root, source, section->series_ohms, false };
		} else if (gate && section->state && is_powered(board, section) && section->fault.mode != FAULT_DISABLED && !is_weak(section)) {
			sources[count++] = (struct one_way){ board->nets[section->out].root, section->high_volts, section->high_ohms, true };
		}
	}
	return count;
}

// A saturated transistor between its collector's supply and its emitter.
#define SATURATED_OHMS 20.0

// The collector current of an isolator in a socket: as much as its diode asks for, and no more than lifts the emitter to saturation.
struct collector {
	int root;
	double amperes, limit_volts;
	bool saturated;
};

static int find_collectors(const struct board *board, struct collector *collectors)
{
	int count = 0;
	for (int i = 0; i < board->section_count; i++) {
		const struct section *section = &board->sections[i];
		if (section->kind != SECTION_SOCKET || section->fault.mode == FAULT_REMOVED)
			continue;
		collectors[count++] = (struct collector){
			.root = board->nets[section->out].root,
			.amperes = section->leakage_amperes + (section->state ? section->ratio * section->lit_amperes : 0),
			.limit_volts = supply_volts(board, section->supply) - section->saturation_volts,
		};
	}
	return count;
}

// True when a transistor saturates that did not before; one that does is not asked again.
static bool saturate(struct collector *collectors, int count, const double *volts)
{
	bool changed = false;
	for (int i = 0; i < count; i++) {
		bool saturates = collectors[i].saturated || volts[collectors[i].root] > collectors[i].limit_volts;
		changed |= saturates != collectors[i].saturated;
		collectors[i].saturated = saturates;
	}
	return changed;
}

// Which of them conduct is found by trying: those that the rest lifts above their own voltage stop, those that it leaves below it begin. Adds them to
// what else drives the nets.
static void solve_with_one_way_sources(const struct board *board, struct sum *sums, double *volts, bool *floating)
{
	enum { MAX_TRIALS = 20 };
	struct one_way sources[MAX_SECTIONS];
	struct sum rest[MAX_NETS];
	struct collector collectors[MAX_SECTIONS];
	int count = find_one_way_sources(board, sources), collector_count = find_collectors(board, collectors);
	bool changed = true;
	memcpy(rest, sums, sizeof rest);
	for (int trial = 0; changed && trial < MAX_TRIALS; trial++) {
		memcpy(sums, rest, sizeof rest);
		for (int i = 0; i < count; i++)
			if (sources[i].conducts)
				sum_add(&sums[sources[i].root], sources[i].volts, sources[i].ohms);
		for (int i = 0; i < collector_count; i++) {
			if (collectors[i].saturated)
				sum_add(&sums[collectors[i].root], collectors[i].limit_volts, SATURATED_OHMS);
			else
				sums[collectors[i].root].current += collectors[i].amperes;
		}
		network_solve(board, sums, volts, floating);
		changed = saturate(collectors, collector_count, volts);
		for (int i = 0; i < count; i++) {
			struct one_way *source = &sources[i];
			bool conducts = floating[source->root] || volts[source->root] < source->volts + (source->conducts ? 1e-9 : -1e-9);
			changed |= conducts != source->conducts;
			source->conducts = conducts;
		}
	}
}

void nets_solve(struct board *board)
{
	struct sum sums[MAX_NETS] = { 0 };
	struct net *nets = board->nets;
	for (int i = 0; i < board->supply_count; i++)
		sum_add(&sums[nets[board->supplies[i].net].root], supply_volts(board, i), 0.05);
	for (int i = 0; i < board->pull_count; i++) {
		const struct pull *pull = &board->pulls[i];
		sum_add(&sums[nets[pull->net].root], pull->supply < 0 ? 0 : supply_volts(board, pull->supply), pull->ohms);
	}
	for (int i = 0; i < board->section_count; i++) {
		add_section(board, &board->sections[i], &sums[nets[board->sections[i].out].root]);
		add_input(board, &board->sections[i], &sums[nets[board->sections[i].in].root]);
	}
	for (int i = 0; i < board->contact_count; i++)
		if (board->contacts[i].closed)
			sum_add(&sums[nets[board->contacts[i].net].root], 0, CONTACT_OHMS);
	for (int i = 0; i < board->lead_count; i++) {
		const struct lead *lead = &board->leads[i];
		struct sum own = pin_own(lead);
		if (!lead->open && own.conductance > 0)
			sum_add(&sums[nets[lead->at].root], own.current / own.conductance, lead->series_ohms + 1.0 / own.conductance);
	}
	double volts[MAX_NETS];
	bool floating[MAX_NETS];
	solve_with_one_way_sources(board, sums, volts, floating);
	for (int i = 0; i < board->net_count; i++) {
		nets[i].floating = floating[nets[i].root];
		nets[i].volts = volts[nets[i].root];
	}
	// What a diode takes drops over the resistor in front of its anode.
	for (int i = 0; i < board->section_count; i++) {
		const struct section *section = &board->sections[i];
		if (section->kind != SECTION_SOCKET)
			continue;
		nets[section->anode].floating = false;
		nets[section->anode].volts = supply_volts(board, section->anode_supply) - isolator_current(board, section) * section->series_ohms;
	}
	network_find_sources(board, sums);
}

bool net_reads_high(const struct board *board, int net, double volts)
{
	return board->nets[net].floating || board->nets[net].volts >= volts;
}

double lead_volts(const struct lead *lead, instant_ps now)
{
	double seconds = (double)(now - lead->since) * 1e-12;
	return lead->target_volts + (lead->start_volts - lead->target_volts) * exp(-seconds / lead->tau);
}

instant_ps lead_crossing(const struct lead *lead, double volts, bool rising)
{
	double from = lead->start_volts, to = lead->target_volts;
	if (rising ? from >= volts : from <= volts)
		return lead->since;
	if (rising ? to <= volts : to >= volts)
		return NEVER;
	return lead->since + (instant_ps)(lead->tau * log((from - to) / (volts - to)) * 1e12);
}

void lead_settle(struct board *board, struct lead *lead, instant_ps now)
{
	struct sum sum = pin_own(lead);
	const struct net *net = &board->nets[lead->at];
	bool connected = !lead->open && !net->floating;
	sum_add(&sum, 0, PIN_LEAK_OHMS);
	if (connected)
		sum_add(&sum, net->volts, lead->series_ohms);
	double target = sum.current / sum.conductance;
	// Behind a multiplexer the pin is charged through what leads to the chosen input, and that input's lead with it.
	double way = connected ? 1.0 / lead->series_ohms : 0, whole_way = connected ? 1.0 / (lead->series_ohms + net->source_ohms) : 0;
	double farads = lead->farads + (lead->open ? 0 : net->source_farads);
	double tau = farads / (sum.conductance - way + whole_way);
	if (fabs(target - lead->target_volts) < 1e-6 && fabs(tau - lead->tau) < 1e-3 * tau)
		return;
	lead->start_volts = lead->tau > 0 ? lead_volts(lead, now) : target;
	lead->target_volts = target;
	lead->tau = tau;
	lead->since = now;
	lead->due = lead_crossing(lead, lead->level ? PIN_FALLING_VOLTS : PIN_RISING_VOLTS, !lead->level);
}
