#include "network.h"

#include <string.h>
#include "multiplexer.h"

#define DRIVEN_SIEMENS 1e-9
// What a pin sees behind a multiplexer that joins it with nothing.
#define NOTHING_OHMS 1e15
// So small that it moves no voltage; it keeps the equations of nets that nothing drives solvable.
#define LEAST_SIEMENS 1e-15

typedef void (*resistor_visitor)(void *context, int root_a, int root_b, double ohms);

void sum_add(struct sum *sum, double volts, double ohms)
{
	sum->conductance += 1.0 / ohms;
	sum->current += volts / ohms;
}

static void visit_resistors(const struct board *board, resistor_visitor visit, void *context)
{
	const struct net *nets = board->nets;
	for (int i = 0; i < board->coupling_count; i++) {
		const struct coupling *coupling = &board->couplings[i];
		if (!coupling->open && nets[coupling->at].root != nets[coupling->input].root)
			visit(context, nets[coupling->at].root, nets[coupling->input].root, coupling->series_ohms);
	}
	for (int i = 0; i < board->resistor_count; i++) {
		const struct resistor *resistor = &board->resistors[i];
		if (nets[resistor->a].root != nets[resistor->b].root)
			visit(context, nets[resistor->a].root, nets[resistor->b].root, resistor->ohms);
	}
	for (int i = 0; i < board->multiplexer_count; i++) {
		const struct multiplexer *m = &board->multiplexers[i];
		for (int k = 0; k < MULTIPLEXER_INPUTS; k++)
			if (multiplexer_conducts(m, k) && nets[m->inputs[k]].root != nets[m->common].root)
				visit(context, nets[m->inputs[k]].root, nets[m->common].root, m->on_ohms[k]);
	}
}

// Conductances between the nets that resistors join, and the currents into them.
struct network {
	int place[MAX_NETS]; // of a root in the matrix, or -1
	int roots[MAX_NETS];
	int group[MAX_NETS]; // nets that resistors join, directly or by others, have one group; by place
	int size;
	double conductance[MAX_NETS][MAX_NETS], current[MAX_NETS];
	const struct sum *sums;
};

static int place_of(struct network *n, int root)
{
	if (n->place[root] >= 0)
		return n->place[root];
	int place = n->size++;
	n->place[root] = place;
	n->roots[place] = root;
	n->group[place] = place;
	for (int i = 0; i <= place; i++)
		n->conductance[place][i] = n->conductance[i][place] = 0;
	n->conductance[place][place] = n->sums[root].conductance + LEAST_SIEMENS;
	n->current[place] = n->sums[root].current;
	return place;
}

static void join(void *context, int root_a, int root_b, double ohms)
{
	struct network *n = context;
	int a = place_of(n, root_a), b = place_of(n, root_b);
	n->conductance[a][a] += 1.0 / ohms;
	n->conductance[b][b] += 1.0 / ohms;
	n->conductance[a][b] -= 1.0 / ohms;
	n->conductance[b][a] -= 1.0 / ohms;
	for (int i = 0, from = n->group[b], to = n->group[a]; i < n->size; i++)
		if (n->group[i] == from)
			n->group[i] = to;
}

// Gaussian elimination; the matrix is symmetric with a dominant diagonal, so it needs no pivoting. Leaves the volts in `current`.
static void eliminate(struct network *n)
{
	for (int k = 0; k < n->size; k++) {
		for (int i = k + 1; i < n->size; i++) {
			double factor = n->conductance[i][k] / n->conductance[k][k];
			if (factor == 0)
				continue;
			for (int j = k; j < n->size; j++)
				n->conductance[i][j] -= factor * n->conductance[k][j];
			n->current[i] -= factor * n->current[k];
		}
	}
	for (int k = n->size - 1; k >= 0; k--) {
		for (int j = k + 1; j < n->size; j++)
			n->current[k] -= n->conductance[k][j] * n->current[j];
		n->current[k] /= n->conductance[k][k];
	}
}

void network_solve(const struct board *board, const struct sum *sums, double *volts, bool *floating)
{
	static struct network n;
	double driven[MAX_NETS] = { 0 };
	n.size = 0;
	n.sums = sums;
	memset(n.place, -1, sizeof n.place);
	visit_resistors(board, join, &n);
	for (int i = 0; i < board->net_count; i++) {
		floating[i] = sums[i].conductance < DRIVEN_SIEMENS;
		volts[i] = floating[i] ? 0 : sums[i].current / sums[i].conductance;
	}
	if (n.size == 0)
		return;
	for (int i = 0; i < n.size; i++)
		driven[n.group[i]] += sums[n.roots[i]].conductance;
	eliminate(&n);
	for (int i = 0; i < n.size; i++) {
		floating[n.roots[i]] = driven[n.group[i]] < DRIVEN_SIEMENS;
		volts[n.roots[i]] = floating[n.roots[i]] ? 0 : n.current[i];
	}
}

void network_find_sources(struct board *board, const struct sum *sums)
{
	struct net *nets = board->nets;
	for (int i = 0; i < board->multiplexer_count; i++) {
		const struct multiplexer *m = &board->multiplexers[i];
		double conductance = 0, farads = 0;
		for (int k = 0; k < MULTIPLEXER_INPUTS; k++) {
			if (!multiplexer_conducts(m, k))
				continue;
			double behind = sums[nets[m->inputs[k]].root].conductance;
			for (int c = 0; c < board->coupling_count; c++) {
				const struct coupling *coupling = &board->couplings[c];
				if (coupling->input != m->inputs[k])
					continue;
				farads += coupling->farads;
				if (!coupling->open && !nets[coupling->at].floating)
					behind += 1.0 / coupling->series_ohms;
			}
			if (behind > DRIVEN_SIEMENS)
				conductance += 1.0 / (m->on_ohms[k] + 1.0 / behind);
		}
		nets[m->common].source_ohms = conductance > 0 ? 1.0 / conductance : NOTHING_OHMS;
		nets[m->common].source_farads = farads;
	}
}
