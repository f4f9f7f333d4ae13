#include "faults.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "fault_set_up.h"
#include "nets.h"
#include "quantity.h"

enum target_kind {
	TARGET_GATE, TARGET_ISOLATOR, TARGET_DRIVER, TARGET_RELAY, TARGET_STRIKER, TARGET_CONTACT, TARGET_SUPPLY, TARGET_SOCKET,
	TARGET_MULTIPLEXER, TARGET_INPUT, TARGET_SELECT, // a multiplexer, one of its inputs, one of its select inputs
	TARGET_KINDS
};

static const struct mode {
	const char *name;
	enum fault_mode mode;
	bool fits[TARGET_KINDS];
} modes[] = {
	/*                                     gate      isolator  driver    relay     striker   contact   supply    socket    mux       input     select */
	{ "dead",          FAULT_DEAD,           { true,     true,     true,     true,     true,     true,     true,     true,     true,     false,    false } },
	{ "stuck-low",     FAULT_STUCK_LOW,      { true,     true,     true,     false,    false,    true,     false,    false,    false,    false,    true } },
	{ "stuck-high",    FAULT_STUCK_HIGH,     { true,     true,     true,     false,    false,    true,     false,    false,    false,    false,    true } },
	{ "inverted",      FAULT_INVERTED,       { true,     false,    false,    false,    false,    false,    false,    false,    false,    false,    false } },
	{ "weak",          FAULT_WEAK,           { true,     true,     true,     false,    false,    false,    true,     false,    false,    false,    false } },
	{ "slow",          FAULT_SLOW,           { true,     true,     true,     true,     true,     false,    false,    true,     false,    false,    false } },
	{ "no-supply",     FAULT_NO_SUPPLY,      { true,     false,    false,    false,    false,    false,    false,    false,    false,    false,    false } },
	{ "disabled",      FAULT_DISABLED,       { true,     false,    false,    false,    false,    false,    false,    false,    false,    false,    false } },
	{ "holds-low",     FAULT_HOLDS_LOW,      { true,     true,     true,     true,     false,    false,    false,    false,    false,    false,    false } },
	{ "holds-high",    FAULT_HOLDS_HIGH,     { true,     true,     true,     true,     false,    false,    false,    false,    false,    false,    false } },
	{ "intermittent",  FAULT_INTERMITTENT,   { true,     true,     true,     true,     true,     true,     false,    true,     false,    false,    false } },
	{ "open",          FAULT_OPEN,           { false,    false,    false,    false,    false,    false,    false,    false,    false,    true,     false } },
	{ "stuck-on",      FAULT_STUCK_ON,       { false,    false,    false,    false,    false,    false,    false,    false,    false,    true,     false } },
	{ "removed",       FAULT_REMOVED,        { false,    false,    false,    false,    false,    false,    false,    true,     false,    false,    false } },
	{ "bouncing",      FAULT_BOUNCING,       { false,    false,    false,    false,    false,    true,     false,    false,    false,    false,    false } },
};

enum { MODE_COUNT = sizeof modes / sizeof modes[0] };

static enum target_kind target_kind_of(const struct section *section)
{
	if (section->kind == SECTION_ISOLATOR)
		return TARGET_ISOLATOR;
	if (section->kind == SECTION_SOCKET)
		return TARGET_SOCKET;
	if (section->kind == SECTION_RELAY)
		return TARGET_RELAY;
	if (section->kind == SECTION_STRIKER)
		return TARGET_STRIKER;
	return section->kind == SECTION_DRIVER ? TARGET_DRIVER : TARGET_GATE;
}

static bool read_mode(const char *text, enum target_kind kind, struct fault_state *fault, char *message, size_t size)
{
	char name[NAME_SIZE], possible[256] = "";
	const char *colon = strchr(text, ':');
	snprintf(name, sizeof name, "%.*s", (int)(colon ? (size_t)(colon - text) : strlen(text)), text);
	for (int i = 0; i < MODE_COUNT; i++) {
		if (!modes[i].fits[kind])
			continue;
		fault_list(possible, sizeof possible, modes[i].name);
		if (strcmp(modes[i].name, name) != 0)
			continue;
		*fault = (struct fault_state){ .mode = modes[i].mode, .parameter = modes[i].mode == FAULT_SLOW ? 3 : modes[i].mode == FAULT_INTERMITTENT ? 0.5 : 0 };
		if (!colon)
			return true;
		char *end;
		double value = strtod(colon + 1, &end);
		if (fault->mode == FAULT_SLOW && end != colon + 1 && strcmp(end, "x") == 0 && value > 0 && value <= 10000)
			fault->parameter = value;
		else if (fault->mode == FAULT_INTERMITTENT && end != colon + 1 && !*end && value >= 0 && value <= 1)
			fault->parameter = value;
		else if (fault->mode == FAULT_WEAK && quantity_parse(colon + 1, UNIT_VOLT, &value) && value > 0 && value < 60)
			fault->parameter = value;
		else
			return fault_refuse(message, size, "`%s`: write slow:3x, intermittent:0.5 (share of activations that fail) or weak:1.5V; other modes take nothing behind a colon", text);
		return true;
	}
	return fault_refuse(message, size, "unknown mode `%s`; possible here: %s", name, possible);
}

static bool section_is(const struct section *section, const char *target)
{
	return strcmp(section->name, target) == 0 || strcmp(section->part, target) == 0;
}

// "M1", "M1:Y3" or "M1:S0"; NULL: not of a multiplexer.
static struct fault_state *multiplexer_target(struct board *board, const char *target, enum target_kind *kind)
{
	char name[NAME_SIZE];
	const char *colon = strchr(target, ':');
	size_t length = colon ? (size_t)(colon - target) : strlen(target);
	if (length >= sizeof name)
		return NULL;
	snprintf(name, sizeof name, "%.*s", (int)length, target);
	int index = board_find_multiplexer(board, name);
	if (index < 0)
		return NULL;
	struct multiplexer *m = &board->multiplexers[index];
	if (!colon) {
		*kind = TARGET_MULTIPLEXER;
		return &m->fault;
	}
	int number = colon[1] && colon[2] && !colon[3] ? colon[2] - '0' : -1;
	if (colon[1] == 'Y' && number >= 0 && number < MULTIPLEXER_INPUTS) {
		*kind = TARGET_INPUT;
		return &m->input_faults[number];
	}
	if (colon[1] == 'S' && number >= 0 && number < MULTIPLEXER_SELECTS) {
		*kind = TARGET_SELECT;
		return &m->select_faults[number];
	}
	return NULL;
}

static bool apply_element(struct board *board, const char *target, const char *mode, char *message, size_t size)
{
	bool found = false;
	struct fault_state fault;
	for (int i = 0; i < board->section_count; i++) {
		struct section *section = &board->sections[i];
		if (!section_is(section, target))
			continue;
		if (!read_mode(mode, target_kind_of(section), &fault, message, size))
			return false;
		section->fault = fault;
		found = true;
	}
	enum target_kind kind;
	struct fault_state *multiplexer = multiplexer_target(board, target, &kind);
	if (multiplexer)
		return read_mode(mode, kind, multiplexer, message, size);
	int contact = board_find_contact(board, target), supply = board_find_supply(board, target);
	if (contact >= 0) {
		if (!read_mode(mode, TARGET_CONTACT, &fault, message, size))
			return false;
		board->contacts[contact].fault = fault;
	}
	if (supply >= 0) {
		if (!read_mode(mode, TARGET_SUPPLY, &fault, message, size))
			return false;
		board->supplies[supply].fault = fault;
	}
	if (found || contact >= 0 || supply >= 0)
		return true;
	char possible[900] = "";
	const char *last = "";
	for (int i = 0; i < board->section_count; i++) {
		if (strcmp(board->sections[i].part, board->sections[i].name) != 0)
			fault_list(possible, sizeof possible, board->sections[i].name);
		else if (strcmp(board->sections[i].part, last) != 0)
			fault_list(possible, sizeof possible, board->sections[i].part);
		last = board->sections[i].part;
	}
	for (int i = 0; i < board->contact_count; i++)
		fault_list(possible, sizeof possible, board->contacts[i].name);
	for (int i = 0; i < board->supply_count; i++)
		fault_list(possible, sizeof possible, board->supplies[i].name);
	for (int i = 0; i < board->multiplexer_count; i++) {
		char inputs[2 * NAME_SIZE];
		snprintf(inputs, sizeof inputs, "%s %s:Y0..Y7 %s:S0..S2", board->multiplexers[i].name, board->multiplexers[i].name, board->multiplexers[i].name);
		fault_list(possible, sizeof possible, inputs);
	}
	return fault_refuse(message, size, "unknown part `%s`; possible: %s (a part without its pin means all its sections); or net:A+B=bridged, lead:TESTPOINT=open, lead:TESTPOINT=at-NET, lead:A+B=swapped, line:PIN=open, line:PIN=dead, motor:NET=dead",
		target, possible);
}

static bool apply_bridge(struct board *board, const char *target, const char *mode, char *message, size_t size)
{
	char first[NAME_SIZE], second[NAME_SIZE];
	const char *plus = strchr(target, '+');
	if (strcmp(mode, "bridged") != 0)
		return fault_refuse(message, size, "a net can only be `bridged`, not `%s`", mode);
	if (!plus)
		return fault_refuse(message, size, "a bridge needs two nets: net:A+B=bridged");
	snprintf(first, sizeof first, "%.*s", (int)(plus - target), target);
	snprintf(second, sizeof second, "%s", plus + 1);
	int a = board_find_net(board, first), b = board_find_net(board, second);
	if (a < 0 || b < 0) {
		char possible[1200] = "";
		for (int i = 0; i < board->net_count; i++)
			fault_list(possible, sizeof possible, board->nets[i].name);
		return fault_refuse(message, size, "unknown net `%s`; possible: %s", a < 0 ? first : second, possible);
	}
	if (a == b)
		return fault_refuse(message, size, "a net cannot be bridged to itself");
	if (board->bridge_count == MAX_BRIDGES)
		return fault_refuse(message, size, "more than %d bridges", MAX_BRIDGES);
	board->bridges[board->bridge_count++] = (struct bridge){ a, b };
	return true;
}

static bool apply(struct board *board, const char *spec, char *message, size_t size)
{
	const char *equals = strchr(spec, '=');
	if (!equals || equals == spec || !equals[1])
		return fault_refuse(message, size, "`%s` is not of the form PART=MODE", spec);
	char target[2 * NAME_SIZE];
	if ((size_t)(equals - spec) >= sizeof target)
		return fault_refuse(message, size, "the part's name is too long");
	snprintf(target, sizeof target, "%.*s", (int)(equals - spec), spec);
	if (strncmp(target, "net:", 4) == 0)
		return apply_bridge(board, target + 4, equals + 1, message, size);
	if (strncmp(target, "lead:", 5) == 0)
		return fault_of_lead(board, target + 5, equals + 1, message, size);
	if (strncmp(target, "line:", 5) == 0)
		return fault_of_line(board, target + 5, equals + 1, message, size);
	if (strncmp(target, "motor:", 6) == 0)
		return fault_of_motor(board, target + 6, equals + 1, message, size);
	return apply_element(board, target, equals + 1, message, size);
}

void faults_apply(struct board *board)
{
	char message[2048];
	for (int i = 0; i < board->section_count; i++) {
		board->sections[i].fault.mode = FAULT_NONE;
		board->sections[i].skipping = false;
	}
	for (int i = 0; i < board->contact_count; i++)
		board->contacts[i].fault.mode = FAULT_NONE;
	for (int i = 0; i < board->supply_count; i++)
		board->supplies[i].fault.mode = FAULT_NONE;
	faults_clear_set_up(board);
	for (int i = 0; i < board->multiplexer_count; i++) {
		struct multiplexer *m = &board->multiplexers[i];
		m->fault.mode = FAULT_NONE;
		for (int k = 0; k < MULTIPLEXER_INPUTS; k++)
			m->input_faults[k].mode = FAULT_NONE;
		for (int k = 0; k < MULTIPLEXER_SELECTS; k++)
			m->select_faults[k].mode = FAULT_NONE;
	}
	board->bridge_count = 0;
	for (int i = 0; i < board->fault_count; i++)
		if (!apply(board, board->faults[i], message, sizeof message))
			fprintf(stderr, "emulated-bench: %s: %s\n", board->faults[i], message); // was accepted before: a mistake in the bench
	nets_join(board);
}

bool faults_inject(struct board *board, const char *spec, char *message, size_t size)
{
	if (board->fault_count == MAX_FAULTS)
		return fault_refuse(message, size, "more than %d faults", MAX_FAULTS);
	if (strlen(spec) >= sizeof board->faults[0])
		return fault_refuse(message, size, "the fault is longer than %zu characters", sizeof board->faults[0] - 1);
	if (!apply(board, spec, message, size))  {
		faults_apply(board); // undo what a half-understood one may have done
		return false;
	}
	snprintf(board->faults[board->fault_count++], sizeof board->faults[0], "%s", spec);
	faults_apply(board);
	return true;
}

bool faults_repair(struct board *board, const char *spec, char *message, size_t size)
{
	if (strcmp(spec, "all") == 0) {
		board->fault_count = 0;
		faults_apply(board);
		return true;
	}
	for (int i = 0; i < board->fault_count; i++) {
		if (strcmp(board->faults[i], spec) != 0)
			continue;
		for (int k = i; k + 1 < board->fault_count; k++)
			memcpy(board->faults[k], board->faults[k + 1], sizeof board->faults[k]);
		board->fault_count--;
		faults_apply(board);
		return true;
	}
	char active[900] = "";
	for (int i = 0; i < board->fault_count; i++)
		fault_list(active, sizeof active, board->faults[i]);
	return fault_refuse(message, size, "no such fault is active; active: %s", active[0] ? active : "none");
}

bool fault_holds_section(const struct section *section, bool *state)
{
	bool conducts_low = section->kind == SECTION_ISOLATOR || section->low_side;
	switch (section->fault.mode) {
	case FAULT_DEAD:
		*state = section->idle;
		return true;
	case FAULT_STUCK_LOW:
		*state = conducts_low;
		return true;
	case FAULT_STUCK_HIGH:
		*state = !conducts_low;
		return true;
	case FAULT_INVERTED:
		*state = !*state;
		return false;
	default:
		return false;
	}
}
