#include "fault_set_up.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

bool fault_refuse(char *message, size_t size, const char *format, ...)
{
	va_list arguments;
	va_start(arguments, format);
	vsnprintf(message, size, format, arguments);
	va_end(arguments);
	return false;
}

void fault_list(char *text, size_t size, const char *word)
{
	size_t length = strlen(text);
	if (strlen(word) + length + 2 < size)
		snprintf(text + length, size - length, "%s%s", length ? " " : "", word);
}

// Every lead that belongs at the net goes to `at`, or, with -1, to nothing. False: no lead belongs there.
static bool clip(struct board *board, int net, int at)
{
	bool found = false;
	for (int i = 0; i < board->lead_count; i++) {
		struct lead *lead = &board->leads[i];
		if (lead->is_line || lead->net != net)
			continue;
		lead->open = at < 0;
		lead->at = at < 0 ? net : at;
		found = true;
	}
	for (int i = 0; i < board->coupling_count; i++) {
		struct coupling *coupling = &board->couplings[i];
		if (coupling->net != net)
			continue;
		coupling->open = at < 0;
		coupling->at = at < 0 ? net : at;
		found = true;
	}
	return found;
}

static bool refuse_lead(const struct board *board, const char *name, char *message, size_t size)
{
	char possible[900] = "";
	for (int i = 0; i < board->lead_count; i++)
		if (!board->leads[i].is_line)
			fault_list(possible, sizeof possible, board->nets[board->leads[i].net].name);
	for (int i = 0; i < board->coupling_count; i++)
		fault_list(possible, sizeof possible, board->nets[board->couplings[i].net].name);
	return fault_refuse(message, size, "unknown test point `%s`; possible: %s", name, possible);
}

static bool swap(struct board *board, const char *target, const char *plus, const char *mode, char *message, size_t size)
{
	char first[NAME_SIZE];
	snprintf(first, sizeof first, "%.*s", (int)(plus - target), target);
	if (strcmp(mode, "swapped") != 0)
		return fault_refuse(message, size, "two leads can only be `swapped`, not `%s`", mode);
	int a = board_find_net(board, first), b = board_find_net(board, plus + 1);
	if (a == b)
		return fault_refuse(message, size, "`%s`: write two different test points", target);
	if (a < 0 || !clip(board, a, b < 0 ? a : b))
		return refuse_lead(board, first, message, size);
	return (b >= 0 && clip(board, b, a)) || refuse_lead(board, plus + 1, message, size);
}

bool fault_of_lead(struct board *board, const char *target, const char *mode, char *message, size_t size)
{
	const char *plus = strchr(target, '+');
	if (plus)
		return swap(board, target, plus, mode, message, size);
	int net = board_find_net(board, target), at = -1;
	if (strncmp(mode, "at-", 3) == 0) {
		at = board_find_net(board, mode + 3);
		if (at < 0)
			return fault_refuse(message, size, "there is no net `%s` to clip a lead to", mode + 3);
	} else if (strcmp(mode, "open") != 0) {
		return fault_refuse(message, size, "a lead can be `open` or `at-NET`, not `%s`", mode);
	}
	return (net >= 0 && clip(board, net, at)) || refuse_lead(board, target, message, size);
}

bool fault_of_line(struct board *board, const char *target, const char *mode, char *message, size_t size)
{
	char possible[900] = "";
	bool open = strcmp(mode, "open") == 0, dead = strcmp(mode, "dead") == 0;
	if (!open && !dead)
		return fault_refuse(message, size, "a line can be `open` or `dead`, not `%s`", mode);
	for (int i = 0; i < board->lead_count; i++) {
		struct lead *lead = &board->leads[i];
		if (!lead->is_line)
			continue;
		fault_list(possible, sizeof possible, lead->pin);
		if (strcmp(lead->pin, target) != 0)
			continue;
		lead->open |= open;
		lead->dead |= dead;
		return true;
	}
	return fault_refuse(message, size, "unknown line `%s`; possible: %s", target, possible);
}

bool fault_of_motor(struct board *board, const char *target, const char *mode, char *message, size_t size)
{
	char possible[900] = "";
	int net = board_find_net(board, target);
	bool found = false;
	if (strcmp(mode, "dead") != 0)
		return fault_refuse(message, size, "a motor can only be `dead`, not `%s`", mode);
	for (int i = 0; i < board->axis_count; i++) {
		struct axis *axis = &board->axes[i];
		fault_list(possible, sizeof possible, board->nets[axis->plus].name);
		fault_list(possible, sizeof possible, board->nets[axis->minus].name);
		axis->plus_dead |= axis->plus == net;
		axis->minus_dead |= axis->minus == net;
		found |= axis->plus == net || axis->minus == net;
	}
	for (int i = 0; i < board->section_count; i++) {
		struct section *section = &board->sections[i];
		if (section->kind != SECTION_STRIKER)
			continue;
		fault_list(possible, sizeof possible, board->nets[section->in].name);
		if (section->in != net)
			continue;
		section->fault = (struct fault_state){ .mode = FAULT_DEAD };
		found = true;
	}
	if (found)
		return true;
	return fault_refuse(message, size, "nothing is moved by net `%s`; possible: %s", target, possible[0] ? possible : "nothing moves on this board");
}

void faults_clear_set_up(struct board *board)
{
	for (int i = 0; i < board->lead_count; i++) {
		struct lead *lead = &board->leads[i];
		lead->open = lead->dead = false;
		lead->at = lead->net;
	}
	for (int i = 0; i < board->coupling_count; i++) {
		struct coupling *coupling = &board->couplings[i];
		coupling->open = false;
		coupling->at = coupling->net;
	}
	for (int i = 0; i < board->axis_count; i++)
		board->axes[i].plus_dead = board->axes[i].minus_dead = false;
}
