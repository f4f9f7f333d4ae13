// What a board is made of. The parser fills this in, the model moves it.
//
// Quantities are in SI units (volts, ohms, farads, amperes) as double; instants and durations are whole picoseconds on
// the bench's own clock, which is the emulated chip's cycle count (62 500 ps a cycle at 16 MHz).
#ifndef BENCH_BOARD_H
#define BENCH_BOARD_H

#include <stdbool.h>
#include <stdint.h>
#include "random.h"

struct adapter_chip;

typedef uint64_t instant_ps;

#define NEVER UINT64_MAX
#define PS_PER_CYCLE 62500u

enum {
	NAME_SIZE = 40,
	MAX_NETS = 128,
	MAX_SUPPLIES = 8,
	MAX_PULLS = 64,
	MAX_SECTIONS = 96,
	MAX_CONTACTS = 48,
	MAX_AXES = 8,
	MAX_LEADS = 80,
	MAX_BRIDGES = 16,
	MAX_BOUNCES = 64,
	MAX_FAULTS = 32,
	MAX_COUPLINGS = 48,
	MAX_MULTIPLEXERS = 4,
	MAX_RESISTORS = 32,
	MULTIPLEXER_INPUTS = 8,
	MULTIPLEXER_SELECTS = 3,
};

// How an element is broken. Which element can have which mode: see faults.c.
enum fault_mode {
	FAULT_NONE,
	FAULT_DEAD,
	FAULT_STUCK_LOW,
	FAULT_STUCK_HIGH,
	FAULT_INVERTED,
	FAULT_WEAK,
	FAULT_SLOW,
	FAULT_NO_SUPPLY,
	FAULT_DISABLED,
	FAULT_HOLDS_LOW,
	FAULT_HOLDS_HIGH,
	FAULT_INTERMITTENT,
	FAULT_BOUNCING,
	FAULT_OPEN,
	FAULT_STUCK_ON,
	FAULT_BRIDGED,
	FAULT_REMOVED,
};

struct fault_state {
	enum fault_mode mode;
	double parameter; // slow: factor; intermittent: share of activations that fail; weak: volts (0: the usual level)
};

struct net {
	char name[NAME_SIZE];
	int root;          // the net that this one is bridged to, else itself
	double volts;      // valid unless floating
	bool floating;     // nothing drives it
	double source_ohms;  // multiplexer's common net: the resistance and the capacitance behind it; others 0
	double source_farads;
	double full_scale; // volts of the supply that it belongs to: decides what the log calls low and high
	int logged_level;
	double logged_volts;
};

struct supply {
	char name[NAME_SIZE];
	int net;
	double volts;
	bool is_motor; // switched by `motor on|off`
	bool on;
	struct fault_state fault;
};

// A lead from a net to an input of a multiplexer, through its series resistor.
struct coupling {
	int net, input; // nets
	int at;         // the net that it is clipped to: `net`, unless by mistake
	double series_ohms, farads;
	bool open; // off at `net`
};

// A resistor between two nets.
struct resistor {
	char name[NAME_SIZE];
	int a, b; // nets
	double ohms;
};

// A resistor from a net to a supply, or to ground (supply -1).
struct pull {
	char name[NAME_SIZE];
	int net;
	int supply;
	double ohms;
};

enum section_kind { SECTION_INVERTER, SECTION_BUFFER, SECTION_ISOLATOR, SECTION_DRIVER, SECTION_RELAY, SECTION_STRIKER, SECTION_SOCKET };

// One switching section. `state` means: inverter, buffer: output high; isolator: transistor conducts (output low);
// driver: on (output at its supply; a low-side driver: at ground); relay: pulled in; striker: its hammer is at the bell;
// socket: its isolator's transistor conducts (emitter lifted).
struct section {
	enum section_kind kind;
	char name[NAME_SIZE]; // "U3:18", "OK1"
	char part[NAME_SIZE]; // "U3", "OK1"
	int in;               // isolator: the net that sinks the light emitting diode's current
	int out;
	int supply;
	// Inverter, buffer.
	double high_volts, low_volts, high_ohms, low_ohms, threshold;
	// Isolator: diode from its anode supply through `series`; transistor with a load to `supply`.
	int anode_supply;
	double series_ohms, forward_volts, on_amperes, load_ohms, saturation_volts;
	// Socket: what is in it is an isolator whose emitter is `out` and whose collector is at `supply`. Its load stands elsewhere.
	int anode; // net
	double ratio, leakage_amperes;
	double lit_amperes; // through its diode, when it was lit last
	// Driver: on when its input is more than `margin` below the supply; a low-side driver, when it is more than `margin`
	// above ground. Relay: pulls in when its coil's driven end, `in`, is more than `margin` below the supply.
	bool low_side;
	int contact; // relay, striker: what it works; others -1
	int stop;    // striker: a contact that keeps it still when closed, or -1
	double margin_volts, drop_volts, coil_ohms;
	instant_ps delay_to_on, delay_to_off; // to state true, to state false

	bool input;          // the input as last understood (hysteresis)
	bool commanded;      // what the input asks for, before faults
	bool skipping;       // intermittent: this activation fails
	bool state, target;
	instant_ps due;      // NEVER, or when `state` becomes `target`
	instant_ps window;   // start of the time over which `toggles` counts; see model.c on oscillation
	int toggles;
	bool idle;           // state while every command line is idle, all healthy
	struct fault_state fault;
	struct random_stream random;
};

// A contact (or an open collector) from a net to logic ground.
struct contact {
	char name[NAME_SIZE];
	int net;
	int bounces_min, bounces_max; // transitions per change of state, odd ones are used
	instant_ps bounce_span;
	bool pressed;  // by a person at the bench
	bool worked;   // by the machine
	bool wanted;   // pressed or worked, and not failing intermittently
	bool closed;   // now, bouncing included
	bool skipping;
	instant_ps bounce_at[MAX_BOUNCES];
	int bounce_count, bounce_next;
	struct fault_state fault;
	struct random_stream random;
};

// An analog multiplexer of the measuring set-up: joins its common net with the input that its select inputs name, or with none.
struct multiplexer {
	char name[NAME_SIZE];
	int inputs[MULTIPLEXER_INPUTS], common, selects[MULTIPLEXER_SELECTS]; // nets
	double on_ohms[MULTIPLEXER_INPUTS];
	instant_ps delay;
	bool levels[MULTIPLEXER_SELECTS]; // of the select inputs as last understood
	int address, target;
	instant_ps due; // NEVER, or when `address` becomes `target`
	struct fault_state fault, input_faults[MULTIPLEXER_INPUTS], select_faults[MULTIPLEXER_SELECTS];
};

// A motor with an incremental encoder. Positions are in encoder pulses.
struct axis {
	char name[NAME_SIZE];
	int plus, minus; // nets that command the two directions
	int supply;
	int encoder, home, plus_limit, minus_limit, stop; // contacts, -1: none
	double rate;     // pulses per second
	double home_at, home_width, plus_at, minus_at, overtravel;
	instant_ps spin_up, coast;

	double position; // at `since`
	instant_ps since;
	int direction;   // of the movement now: -1, 0, 1
	int drive;       // what the driver nets command now: -1, 0, 1; 2: both at once
	instant_ps start_at, stop_at;
	instant_ps due;
	bool plus_dead, minus_dead; // that direction's contactor pulls in, and nothing moves
};

// An adapter pin and its way to a net. A command line is a lead too (is_line).
struct lead {
	char pin[NAME_SIZE]; // "D22", "A0"
	int port;            // 0 = port A, 1 = B …; -1: a pin of the converter alone
	int bit;
	int net;
	int at;              // the net that it is clipped to: `net`, unless by mistake
	bool is_line;
	bool active_low;
	double series_ohms, bottom_ohms; // bottom_ohms 0: no divider
	double farads;
	bool open;
	bool dead;           // a line: its output stays idle whatever the chip sets

	bool driven, drive_high, pulled_up; // as the chip has set it
	// The pin's voltage: target + (start - target) * exp(-(t - since) / tau)
	double start_volts, target_volts, tau;
	instant_ps since;
	bool level;          // as the chip reads it
	instant_ps due;      // when the level crosses a threshold
	int logged_drive;
	instant_ps drive_since;
	int analog;          // channel of the converter, or -1
};

struct bridge {
	int a, b;
};

struct board {
	char name[NAME_SIZE];
	const struct adapter_chip *chip; // of the adapter that the board is wired to
	uint64_t seed;
	struct net nets[MAX_NETS];
	int net_count;
	struct supply supplies[MAX_SUPPLIES];
	int supply_count;
	struct resistor resistors[MAX_RESISTORS];
	int resistor_count;
	struct pull pulls[MAX_PULLS];
	int pull_count;
	struct section sections[MAX_SECTIONS];
	int section_count;
	struct contact contacts[MAX_CONTACTS];
	int contact_count;
	struct axis axes[MAX_AXES];
	int axis_count;
	struct lead leads[MAX_LEADS];
	int lead_count;
	struct coupling couplings[MAX_COUPLINGS];
	int coupling_count;
	struct multiplexer multiplexers[MAX_MULTIPLEXERS];
	int multiplexer_count;
	struct bridge bridges[MAX_BRIDGES];
	int bridge_count;
	// Active faults, in the order in which they were given.
	char faults[MAX_FAULTS][128];
	int fault_count;
};

// Each returns an index, or -1.
int board_find_net(const struct board *board, const char *name);
int board_find_supply(const struct board *board, const char *name);
int board_find_contact(const struct board *board, const char *name);
int board_find_multiplexer(const struct board *board, const char *name);

// Reads a board file. On failure prints `FILE:LINE: what is wrong and what would be right` to stderr and returns false.
bool board_parse(struct board *board, const char *path, uint64_t seed, bool motor_on);

#endif
