#include "motion.h"

#include <math.h>
#include <stdlib.h>
#include "journal.h"
#include "nets.h"

// A worn contact: 20 to 60 transitions over up to 30 ms.
enum { WORN_BOUNCES_MIN = 20, WORN_BOUNCES_MAX = 60 };
#define WORN_SPAN ((instant_ps)30e9)

static int compare_instants(const void *a, const void *b)
{
	instant_ps left = *(const instant_ps *)a, right = *(const instant_ps *)b;
	return (left > right) - (left < right);
}

static void start_bounces(struct contact *contact, instant_ps now)
{
	bool worn = contact->fault.mode == FAULT_BOUNCING;
	int low = worn ? WORN_BOUNCES_MIN : contact->bounces_min;
	int high = worn ? WORN_BOUNCES_MAX : contact->bounces_max;
	instant_ps span = worn ? WORN_SPAN : contact->bounce_span;
	int count = random_between(&contact->random, low, high);
	// What is wanted in the end decides whether an odd or an even number of transitions leads there.
	bool odd = contact->closed != contact->wanted;
	if ((count % 2 == 1) != odd)
		count += count < high ? 1 : -1;
	contact->bounce_next = 0;
	contact->bounce_count = count < 0 ? 0 : count;
	for (int i = 0; i < contact->bounce_count; i++)
		contact->bounce_at[i] = i == 0 ? now : now + (instant_ps)(random_unit(&contact->random) * (double)span);
	qsort(contact->bounce_at, (size_t)contact->bounce_count, sizeof contact->bounce_at[0], compare_instants);
}

void contact_settle(struct contact *contact, instant_ps now)
{
	bool raw = contact->pressed || contact->worked;
	switch (contact->fault.mode) {
	case FAULT_STUCK_LOW:
	case FAULT_STUCK_HIGH:
	case FAULT_DEAD:
		contact->closed = contact->wanted = contact->fault.mode == FAULT_STUCK_LOW;
		contact->bounce_count = contact->bounce_next = 0;
		return;
	case FAULT_INTERMITTENT:
		if (raw && !contact->wanted && !contact->skipping)
			contact->skipping = random_unit(&contact->random) < contact->fault.parameter;
		if (!raw)
			contact->skipping = false;
		break;
	default:
		contact->skipping = false;
		break;
	}
	bool wanted = raw && !contact->skipping;
	if (wanted == contact->wanted)
		return;
	contact->wanted = wanted;
	start_bounces(contact, now);
}

instant_ps contact_due(const struct contact *contact)
{
	return contact->bounce_next < contact->bounce_count ? contact->bounce_at[contact->bounce_next] : NEVER;
}

void contact_step(struct contact *contact)
{
	contact->closed = !contact->closed;
	contact->bounce_next++;
}

double axis_position(const struct axis *axis, instant_ps now)
{
	return axis->position + axis->direction * axis->rate * (double)(now - axis->since) * 1e-12;
}

static void set_worked(struct board *board, int contact, bool worked)
{
	if (contact >= 0)
		board->contacts[contact].worked = worked;
}

// Where the machine is decides what its switches do. Looks a hair ahead of the position, so that an edge which has just
// been reached counts as passed in whichever direction it was reached.
static void work_switches(struct board *board, const struct axis *axis)
{
	double at = axis->position + axis->direction * 1e-6;
	set_worked(board, axis->encoder, at - floor(at) < 0.5);
	set_worked(board, axis->home, at >= axis->home_at && at < axis->home_at + axis->home_width);
	set_worked(board, axis->plus_limit, at >= axis->plus_at);
	set_worked(board, axis->minus_limit, at <= axis->minus_at);
}

// The nearest position ahead at which something happens.
static double next_mark(const struct axis *axis)
{
	double at = axis->position + axis->direction * 1e-6;
	double ahead = axis->direction > 0 ? floor(at * 2 + 1) / 2 : ceil(at * 2 - 1) / 2; // half a pulse on: an encoder edge
	const double marks[] = { axis->plus_at, axis->minus_at, axis->plus_at + axis->overtravel, axis->minus_at - axis->overtravel,
		axis->home_at, axis->home_at + axis->home_width };
	for (int i = 0; i < (axis->home >= 0 ? 6 : 4); i++)
		if ((marks[i] - at) * axis->direction > 0 && fabs(marks[i] - at) < fabs(ahead - at))
			ahead = marks[i];
	return ahead;
}

static void plan(struct axis *axis)
{
	axis->due = axis->start_at < axis->stop_at ? axis->start_at : axis->stop_at;
	if (axis->direction == 0)
		return;
	double seconds = (next_mark(axis) - axis->position) * axis->direction / axis->rate;
	instant_ps at = axis->since + (instant_ps)ceil(seconds * 1e12);
	if (at < axis->due)
		axis->due = at;
}

static bool blocked(const struct axis *axis, int direction)
{
	return direction > 0 ? axis->position >= axis->plus_at + axis->overtravel - 1e-6
	                     : axis->position <= axis->minus_at - axis->overtravel + 1e-6;
}

void axis_settle(struct board *board, struct axis *axis, instant_ps now)
{
	const struct net *plus = &board->nets[axis->plus], *minus = &board->nets[axis->minus];
	// A contactor pulls in above half of its coil's voltage.
	bool forward = !plus->floating && plus->volts > 0.5 * plus->full_scale;
	bool backward = !minus->floating && minus->volts > 0.5 * minus->full_scale;
	bool fed = supply_volts(board, axis->supply) > 0.5 * board->supplies[axis->supply].volts;
	bool stopped = axis->stop >= 0 && board->contacts[axis->stop].closed;
	int drive = !fed || stopped ? 0 : forward && backward ? 2 : forward && !axis->plus_dead ? 1 : backward && !axis->minus_dead ? -1 : 0;
	if (drive == axis->drive)
		return;
	axis->position = axis_position(axis, now);
	axis->since = now;
	if (drive == 2)
		journal_line(now, axis->name, "conflict");
	axis->drive = drive;
	axis->start_at = axis->stop_at = NEVER;
	if (drive == 1 || drive == -1) {
		if (axis->direction != drive) {
			axis->direction = 0;
			axis->start_at = now + axis->spin_up;
		}
	} else if (axis->direction != 0) {
		axis->stop_at = now + axis->coast;
	}
	plan(axis);
}

void axis_step(struct board *board, struct axis *axis)
{
	instant_ps now = axis->due;
	if (axis->direction != 0) {
		double mark = next_mark(axis);
		double reached = axis_position(axis, now);
		// Rounding must not leave the axis a hair before the mark that this event is about.
		axis->position = (reached - mark) * axis->direction > -1e-6 ? mark : reached;
		axis->since = now;
	}
	if (now == axis->stop_at) {
		axis->direction = 0;
		axis->stop_at = NEVER;
	}
	if (now == axis->start_at) {
		axis->direction = axis->drive;
		axis->since = now;
		axis->start_at = NEVER;
	}
	if (axis->direction != 0 && blocked(axis, axis->direction)) {
		axis->direction = 0;
		journal_line(now, axis->name, "blocked");
	}
	work_switches(board, axis);
	plan(axis);
}

void axis_place(struct board *board, struct axis *axis)
{
	work_switches(board, axis);
}
