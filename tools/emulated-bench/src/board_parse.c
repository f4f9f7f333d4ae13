#include "board.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "adapter_pins.h"
#include "quantity.h"

enum { MAX_WORDS = 40, MAX_DEFAULTS = 16, LINE_SIZE = 1024 };

// One line, taken apart: kind, name, then key=value pairs. `used` finds keys that nobody asked for.
struct statement {
	const char *path;
	int line;
	char *kind, *name;
	char *key[MAX_WORDS], *value[MAX_WORDS];
	bool used[MAX_WORDS];
	int count;
	bool failed;
	char text[2 * LINE_SIZE];
};

struct defaults {
	char kind[NAME_SIZE];
	char words[LINE_SIZE];
};

static void complain(struct statement *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void complain(struct statement *s, const char *format, ...)
{
	va_list arguments;
	va_start(arguments, format);
	fprintf(stderr, "%s:%d: ", s->path, s->line);
	vfprintf(stderr, format, arguments);
	fputc('\n', stderr);
	va_end(arguments);
	s->failed = true;
}

static const char *word_value(struct statement *s, const char *key)
{
	const char *found = NULL;
	for (int i = 0; i < s->count; i++) {
		if (strcmp(s->key[i], key) == 0) {
			s->used[i] = true;
			found = s->value[i]; // the last one wins: a line's own word over the default
		}
	}
	return found;
}

static const char *required(struct statement *s, const char *key)
{
	const char *value = word_value(s, key);
	if (!value)
		complain(s, "%s %s needs %s=…", s->kind, s->name, key);
	return value;
}

// Reads a quantity that must be there, within [low, high] in SI units.
static double quantity(struct statement *s, const char *key, enum unit unit, double low, double high)
{
	const char *text = required(s, key);
	double value = low;
	if (!text)
		return low;
	if (!quantity_parse(text, unit, &value))
		complain(s, "%s=%s is not %s", key, text, quantity_example(unit));
	else if (value < low || value > high)
		complain(s, "%s=%s is outside %g to %g (in SI units)", key, text, low, high);
	return value;
}

static double quantity_or(struct statement *s, const char *key, enum unit unit, double low, double high, double fallback)
{
	return word_value(s, key) ? quantity(s, key, unit, low, high) : fallback;
}

static instant_ps duration(struct statement *s, const char *key)
{
	return (instant_ps)(quantity(s, key, UNIT_SECOND, 0, 100) * 1e12);
}

static void copy_name(struct statement *s, char *to, const char *from)
{
	if (strlen(from) >= NAME_SIZE)
		complain(s, "the name %s is longer than %d characters", from, NAME_SIZE - 1);
	snprintf(to, NAME_SIZE, "%.*s", NAME_SIZE - 1, from);
}

// True when there is room for one more.
static bool room(struct statement *s, int count, int most)
{
	if (count >= most)
		complain(s, "more than %d elements of the kind %s", most, s->kind);
	return count < most;
}

static int net_named(struct board *b, struct statement *s, const char *name)
{
	if (!name)
		return 0;
	int index = board_find_net(b, name);
	if (index >= 0)
		return index;
	if (!room(s, b->net_count, MAX_NETS))
		return 0;
	struct net *net = &b->nets[b->net_count];
	*net = (struct net){ .root = b->net_count, .floating = true, .full_scale = 5.0, .logged_level = -1 };
	copy_name(s, net->name, name);
	return b->net_count++;
}

static int net_of(struct board *b, struct statement *s, const char *key)
{
	return net_named(b, s, required(s, key));
}

static int supply_of(struct board *b, struct statement *s, const char *key)
{
	const char *name = required(s, key);
	if (!name)
		return 0;
	int index = board_find_supply(b, name);
	if (index < 0) {
		complain(s, "%s=%s: there is no supply of that name above this line", key, name);
		return 0;
	}
	return index;
}

static int contact_or_none(struct board *b, struct statement *s, const char *key)
{
	const char *name = word_value(s, key);
	if (!name)
		return -1;
	int index = board_find_contact(b, name);
	if (index < 0)
		complain(s, "%s=%s: there is no contact of that name above this line", key, name);
	return index;
}

static void parse_supply(struct board *b, struct statement *s, bool motor_on)
{
	if (!room(s, b->supply_count, MAX_SUPPLIES))
		return;
	struct supply *supply = &b->supplies[b->supply_count++];
	struct random_stream random = random_stream_for(b->seed, s->name);
	*supply = (struct supply){ .on = true };
	copy_name(s, supply->name, s->name);
	double spread = quantity_or(s, "spread", UNIT_PERCENT, 0, 0.2, 0);
	supply->volts = quantity(s, "volts", UNIT_VOLT, 1, 60) * random_factor(&random, spread);
	supply->net = net_named(b, s, s->name);
	b->nets[supply->net].full_scale = supply->volts;
	const char *by = word_value(s, "switched-by");
	if (by && strcmp(by, "motor") != 0)
		complain(s, "switched-by=%s: only `motor` is known", by);
	supply->is_motor = by != NULL;
	supply->on = !supply->is_motor || motor_on;
}

static void parse_pull(struct board *b, struct statement *s)
{
	if (!room(s, b->pull_count, MAX_PULLS))
		return;
	struct pull *pull = &b->pulls[b->pull_count++];
	*pull = (struct pull){ .supply = -1 };
	copy_name(s, pull->name, s->name);
	pull->net = net_of(b, s, "net");
	const char *to = word_value(s, "to");
	if (to && strcmp(to, "ground") != 0)
		pull->supply = supply_of(b, s, "to");
	else if (!to)
		required(s, "to");
	pull->ohms = quantity(s, "ohms", UNIT_OHM, 1, 1e8);
}

static void parse_resistor(struct board *b, struct statement *s)
{
	if (!room(s, b->resistor_count, MAX_RESISTORS))
		return;
	struct resistor *resistor = &b->resistors[b->resistor_count++];
	*resistor = (struct resistor){ 0 };
	copy_name(s, resistor->name, s->name);
	resistor->a = net_of(b, s, "a");
	resistor->b = net_of(b, s, "b");
	resistor->ohms = quantity(s, "ohms", UNIT_OHM, 1, 1e8);
}

static struct section *new_section(struct board *b, struct statement *s, enum section_kind kind)
{
	static struct section discarded;
	if (!room(s, b->section_count, MAX_SECTIONS))
		return &discarded;
	struct section *section = &b->sections[b->section_count++];
	*section = (struct section){ .kind = kind, .due = NEVER, .contact = -1, .stop = -1, .random = random_stream_for(b->seed, s->name) };
	copy_name(s, section->name, s->name);
	memcpy(section->part, section->name, strcspn(section->name, ":"));
	// A relay puts out no voltage of its own: what it drives stands for the net of its coil.
	section->out = net_of(b, s, kind == SECTION_RELAY || kind == SECTION_STRIKER ? "coil" : "out");
	section->supply = supply_of(b, s, "supply");
	// A striker's supply is that of its solenoid, behind the contactor.
	if (kind != SECTION_STRIKER)
		b->nets[section->out].full_scale = b->supplies[section->supply].volts;
	// Parts of one kind differ a little: up to 3 % in their delays, fixed for a seed.
	return section;
}

static instant_ps part_delay(struct statement *s, struct section *section, const char *key)
{
	return (instant_ps)((double)duration(s, key) * random_factor(&section->random, 0.03));
}

static void parse_gate(struct board *b, struct statement *s, enum section_kind kind)
{
	struct section *section = new_section(b, s, kind);
	section->in = net_of(b, s, "in");
	section->high_volts = quantity(s, "high", UNIT_VOLT, 0, 60) * random_factor(&section->random, 0.02);
	section->low_volts = quantity(s, "low", UNIT_VOLT, 0, 5) * random_factor(&section->random, 0.1);
	section->high_ohms = quantity(s, "high-ohms", UNIT_OHM, 0.1, 1e5);
	section->low_ohms = quantity(s, "low-ohms", UNIT_OHM, 0.1, 1e5);
	section->threshold = quantity(s, "threshold", UNIT_VOLT, 0.2, 20);
	section->delay_to_on = part_delay(s, section, "rise");
	section->delay_to_off = part_delay(s, section, "fall");
}

static void parse_isolator(struct board *b, struct statement *s)
{
	struct section *section = new_section(b, s, SECTION_ISOLATOR);
	section->in = net_of(b, s, "sink");
	section->anode_supply = supply_of(b, s, "anode");
	section->series_ohms = quantity(s, "series", UNIT_OHM, 1, 1e5);
	section->forward_volts = quantity(s, "forward", UNIT_VOLT, 0.5, 4) * random_factor(&section->random, 0.01);
	section->on_amperes = quantity(s, "on-current", UNIT_AMPERE, 1e-4, 0.1);
	section->load_ohms = quantity(s, "load", UNIT_OHM, 10, 1e6);
	section->saturation_volts = quantity(s, "saturation", UNIT_VOLT, 0, 2) * random_factor(&section->random, 0.1);
	section->delay_to_on = part_delay(s, section, "on");
	section->delay_to_off = part_delay(s, section, "off");
}

// Nothing of it is drawn: it is what the file says, so that a measurement can be compared with it.
static void parse_socket(struct board *b, struct statement *s)
{
	struct section *section = new_section(b, s, SECTION_SOCKET);
	section->in = net_of(b, s, "sink");
	section->anode = net_of(b, s, "anode");
	section->anode_supply = supply_of(b, s, "supply");
	section->series_ohms = quantity(s, "series", UNIT_OHM, 1, 1e5);
	section->forward_volts = quantity(s, "forward", UNIT_VOLT, 0.3, 4);
	section->on_amperes = quantity(s, "on-current", UNIT_AMPERE, 1e-5, 0.1);
	section->ratio = quantity(s, "ratio", UNIT_PERCENT, 0, 20);
	section->leakage_amperes = quantity(s, "leakage", UNIT_AMPERE, 0, 0.01);
	section->saturation_volts = quantity(s, "saturation", UNIT_VOLT, 0, 2);
	section->delay_to_on = duration(s, "on");
	section->delay_to_off = duration(s, "off");
}

static void parse_driver(struct board *b, struct statement *s)
{
	struct section *section = new_section(b, s, SECTION_DRIVER);
	section->in = net_of(b, s, "in");
	const char *side = word_value(s, "side");
	if (side && strcmp(side, "low") != 0 && strcmp(side, "high") != 0)
		complain(s, "side=%s is neither low nor high", side);
	section->low_side = side && strcmp(side, "low") == 0;
	section->margin_volts = quantity(s, "margin", UNIT_VOLT, 0.5, 30);
	section->drop_volts = quantity(s, "drop", UNIT_VOLT, 0, 3) * random_factor(&section->random, 0.1);
	section->coil_ohms = quantity(s, "coil", UNIT_OHM, 1, 1e6);
	section->delay_to_on = part_delay(s, section, "on");
	section->delay_to_off = part_delay(s, section, "off");
}

static void parse_relay(struct board *b, struct statement *s)
{
	struct section *section = new_section(b, s, SECTION_RELAY);
	section->in = section->out;
	section->margin_volts = quantity(s, "pulls-in", UNIT_VOLT, 1, 60) * random_factor(&section->random, 0.1);
	section->delay_to_on = part_delay(s, section, "on");
	section->delay_to_off = part_delay(s, section, "off");
	if (required(s, "contact"))
		section->contact = contact_or_none(b, s, "contact");
}

static void parse_striker(struct board *b, struct statement *s)
{
	struct section *section = new_section(b, s, SECTION_STRIKER);
	section->in = section->out;
	section->delay_to_on = part_delay(s, section, "on");
	section->delay_to_off = part_delay(s, section, "off");
	if (required(s, "contact"))
		section->contact = contact_or_none(b, s, "contact");
	section->stop = contact_or_none(b, s, "stop");
}

static void parse_multiplexer(struct board *b, struct statement *s)
{
	if (!room(s, b->multiplexer_count, MAX_MULTIPLEXERS))
		return;
	struct multiplexer *m = &b->multiplexers[b->multiplexer_count++];
	struct random_stream random = random_stream_for(b->seed, s->name);
	char net[2 * NAME_SIZE];
	*m = (struct multiplexer){ .due = NEVER };
	copy_name(s, m->name, s->name);
	const char *type = required(s, "type");
	if (type && strcmp(type, "74HC4051") != 0)
		complain(s, "type=%s: only 74HC4051 is known", type);
	double ohms = quantity(s, "on-ohms", UNIT_OHM, 1, 1e4);
	for (int i = 0; i < MULTIPLEXER_INPUTS; i++) {
		snprintf(net, sizeof net, "%s.Y%d", m->name, i);
		m->inputs[i] = net_named(b, s, net);
		// Inputs of one package differ by 9 ohm (typical): Nexperia 74HC_HCT4051 Rev. 9 (26 September 2017), Table 6.
		m->on_ohms[i] = ohms + 4.5 * (2 * random_unit(&random) - 1);
	}
	snprintf(net, sizeof net, "%s.Z", m->name);
	m->common = net_named(b, s, net);
	for (int i = 0; i < MULTIPLEXER_SELECTS; i++) {
		const char key[] = { 's', (char)('0' + i), '\0' };
		m->selects[i] = net_of(b, s, key);
	}
	m->delay = (instant_ps)((double)duration(s, "delay") * random_factor(&random, 0.03));
}

static void parse_contact(struct board *b, struct statement *s)
{
	if (!room(s, b->contact_count, MAX_CONTACTS))
		return;
	struct contact *contact = &b->contacts[b->contact_count++];
	*contact = (struct contact){ .bounces_min = 1, .bounces_max = 1, .random = random_stream_for(b->seed, s->name) };
	copy_name(s, contact->name, s->name);
	contact->net = net_of(b, s, "net");
	const char *bounces = word_value(s, "bounces");
	if (!bounces)
		return;
	char tail;
	if (sscanf(bounces, "%d..%d%c", &contact->bounces_min, &contact->bounces_max, &tail) != 2 || contact->bounces_min < 1
	    || contact->bounces_max < contact->bounces_min || contact->bounces_max >= MAX_BOUNCES)
		complain(s, "bounces=%s is not a range of transitions such as 3..5 (1 to %d)", bounces, MAX_BOUNCES - 1);
	contact->bounce_span = duration(s, "within");
}

static void parse_axis(struct board *b, struct statement *s)
{
	if (!room(s, b->axis_count, MAX_AXES))
		return;
	struct axis *axis = &b->axes[b->axis_count++];
	struct random_stream random = random_stream_for(b->seed, s->name);
	*axis = (struct axis){ .start_at = NEVER, .stop_at = NEVER, .due = NEVER };
	copy_name(s, axis->name, s->name);
	axis->plus = net_of(b, s, "plus");
	axis->minus = net_of(b, s, "minus");
	axis->supply = supply_of(b, s, "supply");
	axis->encoder = contact_or_none(b, s, "encoder");
	axis->home = contact_or_none(b, s, "home");
	axis->plus_limit = contact_or_none(b, s, "plus-limit");
	axis->minus_limit = contact_or_none(b, s, "minus-limit");
	axis->stop = contact_or_none(b, s, "stop");
	axis->rate = quantity(s, "rate", UNIT_PER_SECOND, 0.1, 10000) * random_factor(&random, 0.003);
	axis->spin_up = (instant_ps)((double)duration(s, "spin-up") * random_factor(&random, 0.02));
	axis->coast = duration(s, "coast");
	axis->position = quantity(s, "start", UNIT_NONE, -1e6, 1e6);
	axis->plus_at = quantity(s, "plus-at", UNIT_NONE, -1e6, 1e6);
	axis->minus_at = quantity(s, "minus-at", UNIT_NONE, -1e6, 1e6);
	axis->overtravel = quantity(s, "overtravel", UNIT_NONE, 0.01, 100);
	if (axis->minus_at >= axis->position || axis->position >= axis->plus_at)
		complain(s, "axis %s: start must lie between minus-at and plus-at", axis->name);
	if (axis->home >= 0) {
		axis->home_at = quantity(s, "home-at", UNIT_NONE, -1e6, 1e6);
		axis->home_width = quantity(s, "home-width", UNIT_NONE, 0.01, 1e6);
	}
}

// True when the net is an input of a multiplexer.
static bool is_multiplexer_input(const struct board *b, int net)
{
	for (int i = 0; i < b->multiplexer_count; i++)
		for (int k = 0; k < MULTIPLEXER_INPUTS; k++)
			if (b->multiplexers[i].inputs[k] == net)
				return true;
	return false;
}

// A sense lead that ends at a multiplexer's input; its divider's lower resistor, if any, is there.
static void parse_coupling(struct board *b, struct statement *s, int input)
{
	if (!room(s, b->coupling_count, MAX_COUPLINGS))
		return;
	for (int i = 0; i < b->coupling_count; i++)
		if (b->couplings[i].input == input)
			complain(s, "input %s is used twice", s->name);
	struct coupling *coupling = &b->couplings[b->coupling_count++];
	*coupling = (struct coupling){ .input = input, .net = net_of(b, s, "net") };
	coupling->series_ohms = quantity(s, "series", UNIT_OHM, 1, 1e7);
	coupling->farads = quantity(s, "cap", UNIT_FARAD, 1e-12, 1e-8);
	double bottom = quantity_or(s, "bottom", UNIT_OHM, 100, 1e7, 0);
	if (bottom > 0 && room(s, b->pull_count, MAX_PULLS)) {
		struct pull *pull = &b->pulls[b->pull_count++];
		*pull = (struct pull){ .supply = -1, .net = input, .ohms = bottom };
		copy_name(s, pull->name, s->name);
	}
}

static void parse_lead(struct board *b, struct statement *s, bool is_line)
{
	int input = is_line ? -1 : board_find_net(b, s->name);
	if (input >= 0 && is_multiplexer_input(b, input)) {
		parse_coupling(b, s, input);
		return;
	}
	if (!room(s, b->lead_count, MAX_LEADS))
		return;
	struct lead *lead = &b->leads[b->lead_count];
	*lead = (struct lead){ .is_line = is_line, .due = NEVER, .logged_drive = -1 };
	copy_name(s, lead->pin, s->name);
	if (!adapter_pin_find(b->chip, s->name, &lead->port, &lead->bit, &lead->analog))
		complain(s, "%s is no pin of the adapter (%s: %s)", s->name, b->chip->name, b->chip->pin_names);
	else if (is_line && lead->port < 0)
		complain(s, "%s leads to the converter alone and drives nothing", s->name);
	for (int i = 0; i < b->lead_count; i++)
		if (strcmp(b->leads[i].pin, lead->pin) == 0)
			complain(s, "pin %s is used twice", lead->pin);
	lead->net = net_of(b, s, "net");
	lead->series_ohms = quantity(s, "series", UNIT_OHM, 1, 1e7);
	lead->bottom_ohms = quantity_or(s, "bottom", UNIT_OHM, 100, 1e7, 0);
	lead->farads = quantity(s, "cap", UNIT_FARAD, 1e-12, 1e-8);
	if (is_line) {
		const char *active = required(s, "active");
		if (active && strcmp(active, "low") != 0 && strcmp(active, "high") != 0)
			complain(s, "active=%s is neither low nor high", active);
		lead->active_low = active && strcmp(active, "low") == 0;
	}
	b->lead_count++;
}

// The adapter's chip says which pins there are, so it comes before the first of them.
static void parse_board(struct board *b, struct statement *s)
{
	copy_name(s, b->name, s->name);
	const char *name = word_value(s, "chip");
	if (!name)
		return;
	b->chip = adapter_chip_find(name);
	if (!b->chip)
		complain(s, "chip=%s: possible are %s", name, adapter_chip_names);
	else if (b->lead_count > 0)
		complain(s, "board … chip=%s must stand above the first line and sense", name);
}

static void parse_element(struct board *b, struct statement *s, bool motor_on)
{
	if (strcmp(s->kind, "board") == 0)
		parse_board(b, s);
	else if (strcmp(s->kind, "supply") == 0)
		parse_supply(b, s, motor_on);
	else if (strcmp(s->kind, "pull") == 0)
		parse_pull(b, s);
	else if (strcmp(s->kind, "inverter") == 0)
		parse_gate(b, s, SECTION_INVERTER);
	else if (strcmp(s->kind, "buffer") == 0)
		parse_gate(b, s, SECTION_BUFFER);
	else if (strcmp(s->kind, "isolator") == 0)
		parse_isolator(b, s);
	else if (strcmp(s->kind, "socket") == 0)
		parse_socket(b, s);
	else if (strcmp(s->kind, "resistor") == 0)
		parse_resistor(b, s);
	else if (strcmp(s->kind, "driver") == 0)
		parse_driver(b, s);
	else if (strcmp(s->kind, "relay") == 0)
		parse_relay(b, s);
	else if (strcmp(s->kind, "striker") == 0)
		parse_striker(b, s);
	else if (strcmp(s->kind, "multiplexer") == 0)
		parse_multiplexer(b, s);
	else if (strcmp(s->kind, "contact") == 0)
		parse_contact(b, s);
	else if (strcmp(s->kind, "axis") == 0)
		parse_axis(b, s);
	else if (strcmp(s->kind, "line") == 0)
		parse_lead(b, s, true);
	else if (strcmp(s->kind, "sense") == 0)
		parse_lead(b, s, false);
	else
		complain(s, "`%s` is no kind of element; known: board default supply pull resistor inverter buffer isolator socket driver relay striker multiplexer contact axis line sense",
			s->kind);
	if (s->failed)
		return;
	for (int i = 0; i < s->count; i++)
		if (!s->used[i])
			complain(s, "%s %s has no use for %s=%s", s->kind, s->name, s->key[i], s->value[i]);
}

static void take_apart(struct statement *s)
{
	char *rest = s->text;
	s->kind = strtok_r(rest, " \t\r\n", &rest);
	s->name = strtok_r(NULL, " \t\r\n", &rest);
	if (s->kind && !s->name)
		complain(s, "`%s` needs a name behind it", s->kind);
	for (char *word; s->name && (word = strtok_r(NULL, " \t\r\n", &rest));) {
		char *equals = strchr(word, '=');
		if (!equals || s->count == MAX_WORDS) {
			complain(s, equals ? "too many words at `%s`" : "`%s` is not of the form key=value", word);
			return;
		}
		*equals = '\0';
		s->key[s->count] = word;
		s->value[s->count] = equals + 1;
		s->used[s->count++] = false;
	}
}

// Puts the default words of the line's kind between its name and its own words, so that its own come last and win.
static void compose(struct statement *s, char *line, const struct defaults *defaults, int default_count)
{
	int kind_from = (int)strspn(line, " \t");
	int kind_size = (int)strcspn(line + kind_from, " \t\r\n");
	int name_from = kind_from + kind_size + (int)strspn(line + kind_from + kind_size, " \t");
	int name_size = (int)strcspn(line + name_from, " \t\r\n");
	const char *words = "";
	for (int i = 0; i < default_count; i++)
		if (strncmp(defaults[i].kind, line + kind_from, (size_t)kind_size) == 0 && !defaults[i].kind[kind_size])
			words = defaults[i].words;
	snprintf(s->text, sizeof s->text, "%.*s %s %s", name_from + name_size, line, words, line + name_from + name_size);
}

static bool parse_default(struct statement *s, char *line, struct defaults *defaults, int *count)
{
	char kind[NAME_SIZE];
	int words_at = 0;
	if (sscanf(line, " default %39s %n", kind, &words_at) != 1)
		return false;
	if (*count == MAX_DEFAULTS) {
		complain(s, "more than %d default lines", MAX_DEFAULTS);
		return true;
	}
	snprintf(defaults[*count].kind, NAME_SIZE, "%s", kind);
	snprintf(defaults[*count].words, LINE_SIZE, "%s", line + words_at);
	defaults[*count].words[strcspn(defaults[*count].words, "\r\n")] = '\0';
	(*count)++;
	return true;
}

bool board_parse(struct board *board, const char *path, uint64_t seed, bool motor_on)
{
	FILE *file = fopen(path, "r");
	if (!file) {
		fprintf(stderr, "emulated-bench: cannot read the board %s: %s\n", path, strerror(errno));
		return false;
	}
	*board = (struct board){ .seed = seed, .chip = adapter_chip_find("atmega2560") };
	struct defaults defaults[MAX_DEFAULTS];
	int default_count = 0;
	char line[LINE_SIZE];
	bool good = true;
	for (int number = 1; fgets(line, sizeof line, file); number++) {
		line[strcspn(line, "#")] = '\0';
		struct statement s = { .path = path, .line = number };
		if (!parse_default(&s, line, defaults, &default_count)) {
			compose(&s, line, defaults, default_count);
			take_apart(&s);
			if (s.kind && !s.failed)
				parse_element(board, &s, motor_on);
		}
		good = good && !s.failed;
		if (!board->chip)
			break; // no pin could be told from another
	}
	if (good && board->lead_count == 0) {
		fprintf(stderr, "%s: no line and no sense lead: nothing would reach the adapter\n", path);
		good = false;
	}
	fclose(file);
	return good;
}

int board_find_net(const struct board *board, const char *name)
{
	for (int i = 0; i < board->net_count; i++)
		if (strcmp(board->nets[i].name, name) == 0)
			return i;
	return -1;
}

int board_find_supply(const struct board *board, const char *name)
{
	for (int i = 0; i < board->supply_count; i++)
		if (strcmp(board->supplies[i].name, name) == 0)
			return i;
	return -1;
}

int board_find_multiplexer(const struct board *board, const char *name)
{
	for (int i = 0; i < board->multiplexer_count; i++)
		if (strcmp(board->multiplexers[i].name, name) == 0)
			return i;
	return -1;
}

int board_find_contact(const struct board *board, const char *name)
{
	for (int i = 0; i < board->contact_count; i++)
		if (strcmp(board->contacts[i].name, name) == 0)
			return i;
	return -1;
}
