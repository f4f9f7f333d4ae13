#include "model.h"

#include <math.h>
#include <stdio.h>
#include "faults.h"
#include "journal.h"
#include "motion.h"
#include "multiplexer.h"
#include "nets.h"

// Zero-delay steps (stuck outputs, contacts) settle within a few rounds; more than this would be a mistake in the model.
enum { MAX_ROUNDS = 50 };
// Gates, not supplies: half-way between the two thresholds of a Schmitt-less TTL input there is still a little hysteresis.
#define GATE_HYSTERESIS_VOLTS 0.05

// A bridge can make a ring of gates, which would oscillate at tens of megahertz and stop the emulated clock. A section that
// switches more than this many times in the window is slowed down to the oscillation that one can live with.
enum { MAX_TOGGLES = 200 };
#define TOGGLE_WINDOW ((instant_ps)100e6)
#define OSCILLATION_DELAY 10e6

static bool gate_input(const struct board *board, const struct section *section)
{
	double half = section->input ? -GATE_HYSTERESIS_VOLTS : GATE_HYSTERESIS_VOLTS;
	return net_reads_high(board, section->in, section->threshold + half);
}

// What the section's input asks for, before faults.
static bool wanted_state(const struct board *board, struct section *section)
{
	switch (section->kind) {
	case SECTION_INVERTER:
		section->input = gate_input(board, section);
		return !section->input;
	case SECTION_BUFFER:
		section->input = gate_input(board, section);
		return section->input;
	case SECTION_ISOLATOR:
		return isolator_current(board, section) >= section->on_amperes;
	case SECTION_SOCKET: {
		double current = isolator_current(board, section);
		if (current < section->on_amperes)
			return false;
		section->lit_amperes = current;
		return true;
	}
	case SECTION_DRIVER: {
		const struct net *in = &board->nets[section->in];
		if (section->low_side)
			return !in->floating && in->volts > section->margin_volts;
		return !in->floating && in->volts < supply_volts(board, section->supply) - section->margin_volts;
	}
	case SECTION_RELAY: {
		const struct net *in = &board->nets[section->in];
		return !in->floating && supply_volts(board, section->supply) - in->volts > section->margin_volts;
	}
	case SECTION_STRIKER: {
		// Its contactor pulls in above half of its coil's voltage.
		const struct net *in = &board->nets[section->in];
		bool fed = supply_volts(board, section->supply) > 0.5 * board->supplies[section->supply].volts;
		bool stopped = section->stop >= 0 && board->contacts[section->stop].closed;
		return fed && !stopped && !in->floating && in->volts > 0.5 * in->full_scale;
	}
	}
	return false;
}

static bool oscillates(struct section *section, instant_ps now)
{
	if (now - section->window > TOGGLE_WINDOW) {
		section->window = now;
		section->toggles = 0;
	}
	if (++section->toggles == MAX_TOGGLES)
		journal_line(now, section->name, "oscillates");
	return section->toggles >= MAX_TOGGLES;
}

// True when the section switched at once (a fault that holds it still).
static bool section_settle(const struct board *board, struct section *section, instant_ps now)
{
	bool before = section->commanded;
	section->commanded = wanted_state(board, section);
	bool held, state = section->commanded;
	held = fault_holds_section(section, &state);
	if (held) {
		section->due = NEVER;
		section->target = state;
		if (section->state == state)
			return false;
		section->state = state;
		return true;
	}
	if (section->fault.mode == FAULT_INTERMITTENT) {
		if (section->commanded != section->idle && before == section->idle)
			section->skipping = random_unit(&section->random) < section->fault.parameter;
		if (section->skipping)
			state = section->idle;
	}
	if (section->target == state)
		return false;
	section->target = state;
	section->due = NEVER;
	if (section->state == state)
		return false; // gone before it got through: swallowed
	double delay = (double)(state ? section->delay_to_on : section->delay_to_off);
	if (section->fault.mode == FAULT_SLOW)
		delay *= section->fault.parameter;
	if (oscillates(section, now) && delay < OSCILLATION_DELAY) {
		delay = OSCILLATION_DELAY;
		section->window = now; // stays slow as long as it goes on
	}
	section->due = now + (instant_ps)(delay * random_factor(&section->random, 0.005));
	return false;
}

static void work_contacts(struct board *board)
{
	for (int i = 0; i < board->section_count; i++)
		if (board->sections[i].contact >= 0)
			board->contacts[board->sections[i].contact].worked = board->sections[i].state;
}

static const char *level_name(const struct net *net, int *level)
{
	// TTL levels on 5 V nets (with 0.2 V to spare at the low side, for a line that comes through a series resistor),
	// thirds of the supply on others.
	bool logic = net->full_scale < 7;
	double low = logic ? 1.0 : 0.33 * net->full_scale, high = logic ? 2.0 : 0.67 * net->full_scale;
	*level = net->floating ? 3 : net->volts <= low ? 0 : net->volts >= high ? 1 : 2;
	static const char *const names[] = { "low", "high", "undefined", "float" };
	return names[*level];
}

static void log_nets(struct model *model)
{
	for (int i = 0; i < model->board.net_count; i++) {
		struct net *net = &model->board.nets[i];
		int level;
		const char *name = level_name(net, &level);
		if (level == net->logged_level && fabs(net->volts - net->logged_volts) < 0.1)
			continue;
		net->logged_level = level;
		net->logged_volts = net->volts;
		journal_line(model->now, net->name, "%s %ld", name, lround(net->volts * 1000));
	}
}

static void find_due(struct model *model)
{
	const struct board *board = &model->board;
	instant_ps due = NEVER;
	for (int i = 0; i < board->section_count; i++)
		if (board->sections[i].due < due)
			due = board->sections[i].due;
	for (int i = 0; i < board->contact_count; i++)
		if (contact_due(&board->contacts[i]) < due)
			due = contact_due(&board->contacts[i]);
	for (int i = 0; i < board->multiplexer_count; i++)
		if (board->multiplexers[i].due < due)
			due = board->multiplexers[i].due;
	for (int i = 0; i < board->axis_count; i++)
		if (board->axes[i].due < due)
			due = board->axes[i].due;
	for (int i = 0; i < board->lead_count; i++)
		if (board->leads[i].due < due)
			due = board->leads[i].due;
	if (comparator_due(&model->comparator) < due)
		due = comparator_due(&model->comparator);
	model->due = due;
}

instant_ps model_due(const struct model *model)
{
	return model->due;
}

// Everything at model->now that follows without delay.
static void settle(struct model *model)
{
	struct board *board = &model->board;
	bool changed = true;
	for (int round = 0; changed && round < MAX_ROUNDS; round++) {
		nets_solve(board);
		changed = false;
		for (int i = 0; i < board->section_count; i++)
			changed |= section_settle(board, &board->sections[i], model->now);
		for (int i = 0; i < board->axis_count; i++)
			axis_settle(board, &board->axes[i], model->now);
		work_contacts(board);
		for (int i = 0; i < board->contact_count; i++) {
			bool closed = board->contacts[i].closed;
			contact_settle(&board->contacts[i], model->now);
			changed |= closed != board->contacts[i].closed;
		}
	}
	for (int i = 0; i < board->multiplexer_count; i++)
		multiplexer_settle(board, &board->multiplexers[i], model->now);
	for (int i = 0; i < board->lead_count; i++)
		lead_settle(board, &board->leads[i], model->now);
	comparator_settle(&model->comparator, model->now);
	log_nets(model);
	find_due(model);
}

static void step_leads(struct model *model)
{
	struct board *board = &model->board;
	for (int i = 0; i < board->lead_count; i++) {
		struct lead *lead = &board->leads[i];
		if (lead->due != model->now)
			continue;
		lead->due = NEVER;
		lead->level = !lead->level;
		if (!lead->is_line)
			journal_line(model->now, lead->pin, "%s", lead->level ? "high" : "low");
		model->listener(model->context, lead);
	}
}

static void step(struct model *model)
{
	struct board *board = &model->board;
	bool moved = false;
	for (int i = 0; i < board->section_count; i++) {
		struct section *section = &board->sections[i];
		if (section->due != model->now)
			continue;
		section->due = NEVER;
		section->state = section->target;
		moved = true;
	}
	for (int i = 0; i < board->contact_count; i++) {
		while (contact_due(&board->contacts[i]) == model->now) {
			contact_step(&board->contacts[i]);
			moved = true;
		}
	}
	for (int i = 0; i < board->multiplexer_count; i++) {
		if (board->multiplexers[i].due != model->now)
			continue;
		multiplexer_step(&board->multiplexers[i]);
		journal_line(model->now, board->multiplexers[i].name, "input Y%d", board->multiplexers[i].address);
		moved = true;
	}
	for (int i = 0; i < board->axis_count; i++) {
		if (board->axes[i].due != model->now)
			continue;
		axis_step(board, &board->axes[i]);
		moved = true;
	}
	if (moved)
		settle(model);
	step_leads(model);
	comparator_step(&model->comparator, model->now);
	find_due(model);
}

void model_advance(struct model *model, instant_ps now)
{
	for (instant_ps due; (due = model_due(model)) <= now;) {
		// An element may come due at the very instant that is being worked on, never before it.
		model->now = due > model->now ? due : model->now;
		if (due < model->now) {
			fprintf(stderr, "emulated-bench: an event was planned for the past; this is a mistake in the bench\n");
			__builtin_trap();
		}
		step(model);
	}
	if (now > model->now)
		model->now = now;
}

const char *line_state(const struct lead *lead)
{
	if (!lead->driven)
		return "off";
	return lead->drive_high == lead->active_low ? "idle" : "on";
}

static void log_drive(struct model *model, struct lead *lead)
{
	int drive = lead->driven ? (lead->drive_high ? 1 : 0) : lead->pulled_up ? 3 : 2;
	static const char *const names[] = { "low", "high", "float", "pull-up" };
	if (drive == lead->logged_drive)
		return;
	lead->logged_drive = drive;
	lead->drive_since = model->now;
	if (lead->is_line)
		journal_line(model->now, lead->pin, "%s %s", names[drive], line_state(lead));
}

void model_set_pin(struct model *model, struct lead *lead, bool driven, bool high, bool pulled_up, instant_ps now)
{
	model_advance(model, now);
	pulled_up = pulled_up && !driven;
	high = high && driven;
	if (lead->driven == driven && lead->drive_high == high && lead->pulled_up == pulled_up)
		return;
	lead->driven = driven;
	lead->drive_high = high;
	lead->pulled_up = pulled_up;
	log_drive(model, lead);
	settle(model);
}

void model_settle(struct model *model)
{
	settle(model);
}

// The idle state: let everything happen at once until nothing happens any more.
static void find_idle(struct model *model)
{
	struct board *board = &model->board;
	for (int i = 0; i < board->axis_count; i++)
		axis_place(board, &board->axes[i]);
	for (int round = 0; round < MAX_ROUNDS; round++) {
		nets_solve(board);
		bool changed = false;
		for (int i = 0; i < board->section_count; i++) {
			struct section *section = &board->sections[i];
			bool state = wanted_state(board, section);
			changed |= state != section->state;
			section->state = section->target = section->commanded = section->idle = state;
		}
		work_contacts(board);
		for (int i = 0; i < board->contact_count; i++) {
			struct contact *contact = &board->contacts[i];
			changed |= contact->closed != contact->worked;
			contact->closed = contact->wanted = contact->worked;
		}
		if (!changed)
			return;
	}
	fprintf(stderr, "emulated-bench: the board %s has no idle state: it oscillates\n", board->name);
}

void model_start(struct model *model, pin_listener listener, void *context)
{
	struct board *board = &model->board;
	model->listener = listener;
	model->context = context;
	model->now = 0;
	model->noise = random_stream_for(board->seed, "converter noise");
	comparator_start(&model->comparator, board->seed);
	int fault_count = board->fault_count;
	board->fault_count = 0;
	faults_apply(board);
	find_idle(model);
	board->fault_count = fault_count;
	faults_apply(board);
	nets_solve(board);
	for (int i = 0; i < board->multiplexer_count; i++)
		multiplexer_place(board, &board->multiplexers[i]);
	nets_solve(board);
	for (int i = 0; i < board->lead_count; i++) {
		struct lead *lead = &board->leads[i];
		lead_settle(board, lead, 0);
		lead->level = lead->target_volts > 2.5;
		lead->due = NEVER;
		log_drive(model, lead);
		if (!lead->is_line)
			journal_line(0, lead->pin, "%s", lead->level ? "high" : "low");
		listener(context, lead);
	}
	settle(model);
}

void model_compare(struct model *model, const struct lead *lead, instant_ps now)
{
	model_advance(model, now);
	comparator_attach(&model->comparator, lead, now);
	find_due(model);
}

int model_convert(struct model *model, const struct lead *lead, double reference_volts, instant_ps now)
{
	// The sum of two uniform deviates: triangular within one count to either side.
	double noise = random_unit(&model->noise) + random_unit(&model->noise) - 1.0;
	long counts = (long)floor(lead_volts(lead, now) / reference_volts * 1024.0 + 0.5 + noise);
	return counts < 0 ? 0 : counts > 1023 ? 1023 : (int)counts;
}
