/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/pairs.h"
#include "base/base.h"
#include "diagnose/carried.h"
#include <stdlib.h>
#include <string.h>

/* Leading causes that are paired in any case, causes that are taken for each fact, pairs that are solved together, and
 * draws that are passed over. */
enum { LEADING = 6, PER_FACT = 3, SOLVED = 8, COARSE_NODES = 16, COARSE = 8, FINE_NODES = 32, FINE = 4 };

/* ---- which causes are paired ---- */

/* How much likelier a cause makes a fact than the engine without it, deviates left out: at its best severity, and in
 * the mean over them. */
typedef struct gain {
	double best, mean;
} gain;

/* A mixture that may be anything explains no reading. */
static gain gain_of(const jw_inquiry *q, const jw_scene *present, const jw_scene *scene, int fact)
{
	gain g = {0, 0};
	if (scene->told[fact] == JW_ANY_MIXTURE)
		return g;
	double before = jw_expected_likelihood(q, present->told, present->signs[0], fact);
	for (int j = 0; j < scene->nodes; j++) {
		double likelier = jw_expected_likelihood(q, scene->told, scene->signs[j], fact) / before;
		g.mean += scene->density[j] * likelier;
		g.best = scene->density[j] > 0 ? fmax(g.best, likelier) : g.best;
	}
	return g;
}

static int moves_mixture(const jw_inquiry *q, const jw_scene *present, const jw_scene *scene)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		if (q->needs[r] && fabs(scene->signs[scene->nodes / 2][r].lnphi - present->signs[0][r].lnphi) > JW_LEAST_CHANGE)
			return 1;
	return 0;
}

static int explains_any(const jw_inquiry *q, const jw_scene *present, const jw_scene *scene)
{
	for (int f = 0; f < q->facts; f++)
		if (gain_of(q, present, scene, f).best > JW_TELLING_RATIO)
			return 1;
	return 0;
}

/* Candidates chosen so far. */
typedef struct members {
	int member[JW_MEMBERS], count;
} members;

static int chosen(const members *m, int candidate)
{
	for (int i = 0; i < m->count; i++)
		if (m->member[i] == candidate)
			return 1;
	return 0;
}

/* Adds the candidate of the greatest positive score that is not yet chosen. */
static void choose_best(members *m, const double *score, int candidates)
{
	int best = -1;
	for (int c = 0; c < candidates; c++)
		if (score[c] > 0 && !chosen(m, c) && (best < 0 || score[c] > score[best]))
			best = c;
	if (best >= 0 && m->count < JW_MEMBERS)
		m->member[m->count++] = best;
}

/* The leading causes, then for each fact the cause that best explains it. */
static members choose(const jw_inquiry *q, const jw_scene *present, const jw_candidate *candidate, int candidates,
                      double *score)
{
	members m = {.count = 0};
	for (int c = 0; c < candidates; c++) {
		const jw_scene *scene = &candidate[c].scene;
		int counts = q->carried || explains_any(q, present, scene) || moves_mixture(q, present, scene);
		score[c] = counts ? candidate[c].weight : 0;
	}
	for (int i = 0; i < LEADING; i++)
		choose_best(&m, score, candidates);
	for (int f = 0; f < q->facts; f++) {
		for (int c = 0; c < candidates; c++) {
			gain g = gain_of(q, present, &candidate[c].scene, f);
			score[c] = g.best > JW_TELLING_RATIO ? candidate[c].odds * g.mean : 0;
		}
		for (int i = 0; i < PER_FACT; i++)
			choose_best(&m, score, candidates);
	}
	return m;
}

/* ---- what two causes do together ---- */

/* Severities of one member that are paired with those of the other: every other one. */
enum { GRID = JW_NODES / 2 };

typedef struct pairing {
	const jw_inquiry *inquiry;
	const jw_scene *present;
	const jw_candidate *a, *b;
	double told[JW_EVIDENCE_MAX];
} pairing;

static pairing paired(const jw_inquiry *q, const jw_scene *present, const jw_candidate *a, const jw_candidate *b)
{
	pairing p = {.inquiry = q, .present = present, .a = a, .b = b};
	for (int f = 0; f < q->facts; f++)
		p.told[f] = jw_tell_both(&q->fact[f], a->scene.told[f], b->scene.told[f]);
	return p;
}

/* A severity of each, how probable both are beforehand, and how well they fit. */
typedef struct cell {
	int node[2];
	double density, fit;
} cell;

/* Node and probability of the i-th group of a scene's severities. */
static int group(const jw_scene *scene, int i, double *density)
{
	if (scene->nodes == 1) {
		*density = i ? 0 : 1;
		return 0;
	}
	*density = scene->density[2 * i] + scene->density[2 * i + 1];
	return 2 * i + 1;
}

/* Changes of ln(phi) and ln(air) add (within 2 % in trial computations); a leak is the larger share. */
static jw_signs add_signs(const jw_signs *a, const jw_signs *b, const jw_signs *present)
{
	jw_signs both = {.lnphi = a->lnphi + b->lnphi - present->lnphi,
	                 .lnphi_enriched = a->lnphi_enriched + b->lnphi_enriched - present->lnphi_enriched,
	                 .lnphi_screw = a->lnphi_screw + b->lnphi_screw - present->lnphi_screw,
	                 .lnair = a->lnair + b->lnair - present->lnair,
	                 .leak_share = fmax(a->leak_share, b->leak_share)};
	for (int i = 0; i < JW_BENCH_COUNT; i++)
		both.bench[i] = a->bench[i] + b->bench[i] - present->bench[i];
	return both;
}

static void signs_of_cell(const pairing *p, const cell *at, jw_signs *signs)
{
	const jw_scene *a = &p->a->scene, *b = &p->b->scene;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		signs[r] = add_signs(&a->signs[at->node[0]][r], &b->signs[at->node[1]][r], &p->present->signs[0][r]);
}

static cell cell_at(const pairing *p, int i, int j)
{
	cell at = {.density = 0};
	double second;
	at.node[0] = group(&p->a->scene, i, &at.density);
	at.node[1] = group(&p->b->scene, j, &second);
	at.density *= second;
	at.fit = at.density;
	if (!(at.density > 0))
		return at;
	jw_signs signs[JW_RANGE_COUNT];
	signs_of_cell(p, &at, signs);
	for (int f = 0; f < p->inquiry->facts; f++)
		at.fit *= jw_expected_likelihood(p->inquiry, p->told, signs, f);
	return at;
}

static int by_fit(const void *left, const void *right)
{
	const cell *a = left, *b = right;
	if (a->fit != b->fit)
		return a->fit < b->fit ? 1 : -1;
	return a->node[0] != b->node[0] ? a->node[0] - b->node[0] : a->node[1] - b->node[1];
}

/* The engine that both befall: each has brought the brass that fits, where it is wrong brass. */
static int common_base(const pairing *p, jw_setup *base)
{
	const jw_cause_row *b = jw_cause_row_at(p->b->cause);
	*base = p->a->base;
	return !b->rejet || jw_part_set(base, b->part, jw_part_value(&p->b->base, b->part), NULL) >= 0;
}

static unsigned ranges_with_facts(const jw_inquiry *q)
{
	unsigned ranges = 0;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		if (q->needs[r])
			ranges |= 1u << r;
	return ranges;
}

/* What the engine model says of both together, where there are facts. */
static int solve_cell(const pairing *p, const cell *at, jw_signs *signs)
{
	jw_setup base, first, both;
	jw_signs added[JW_RANGE_COUNT];
	memcpy(added, signs, sizeof added);
	if (!common_base(p, &base) || jw_cause_apply(&base, p->a->cause, jw_node(at->node[0]), &first, NULL) < 0 ||
	    jw_cause_apply(&first, p->b->cause, jw_node(at->node[1]), &both, NULL) < 0 ||
	    jw_solve_signs(p->inquiry, &both, ranges_with_facts(p->inquiry), signs, NULL) < 0)
		return 0;
	for (int r = 0; r < JW_RANGE_COUNT; r++) { /* what each shows by itself */
		memcpy(signs[r].bench, added[r].bench, sizeof signs[r].bench);
		signs[r].leak_share = added[r].leak_share;
	}
	return 1;
}

/* By how much all severities together fit better than those that fit best. */
static double left_out(const cell *cells, int nodes)
{
	double kept = 0, all = 0;
	for (int i = 0; i < GRID * GRID; i++) {
		all += cells[i].fit;
		kept += i < nodes ? cells[i].fit : 0;
	}
	return kept > 0 ? all / kept : 1;
}

/* The likelihood over the severities that fit best, and for the others what they fit less. */
static double likelihood(const pairing *p, int nodes, int solved, int stride)
{
	cell cells[GRID * GRID];
	jw_scene scene;
	for (int i = 0; i < GRID * GRID; i++)
		cells[i] = cell_at(p, i / GRID, i % GRID);
	qsort(cells, GRID * GRID, sizeof *cells, by_fit);
	scene.nodes = nodes;
	for (int f = 0; f < p->inquiry->facts; f++)
		scene.told[f] = p->told[f];
	for (int n = 0; n < nodes; n++) {
		scene.density[n] = cells[n].density;
		signs_of_cell(p, &cells[n], scene.signs[n]);
		if (solved && cells[n].density > 0 && !solve_cell(p, &cells[n], scene.signs[n]))
			scene.density[n] = 0;
	}
	jw_scene_compare(p->inquiry, p->present, &scene);
	return left_out(cells, nodes) * jw_total_likelihood(p->inquiry, &scene, stride);
}

/* ---- all pairs ---- */

static int lies_within(const jw_cause_row *narrow, const jw_cause_row *wide)
{
	return narrow->within && strcmp(narrow->within, wide->info.id) == 0;
}

/* Two words for one element are no pair, nor is a cause with one that takes it in. */
static int apart(const jw_candidate *a, const jw_candidate *b)
{
	const jw_cause_row *one = jw_cause_row_at(a->cause), *other = jw_cause_row_at(b->cause);
	if (lies_within(one, other) || lies_within(other, one))
		return 0;
	return !jw_cause_meters(a->cause) || !jw_cause_meters(b->cause) || one->element != other->element;
}

double jw_pair_odds(const jw_inquiry *q, const jw_candidate *a, const jw_candidate *b, double all)
{
	const jw_history *history = q->background.history;
	if (!apart(a, b))
		return 0;
	if (!q->carried)
		return 2 * jw_second_share() * a->odds * b->odds / all;
	return jw_carried_both(q->carried, a->cause, b->cause) * jw_odds_mended(history, a->cause) *
	       jw_odds_mended(history, b->cause);
}

static int by_weight(const void *left, const void *right)
{
	const jw_pair *a = left, *b = right;
	if (a->weight != b->weight)
		return a->weight < b->weight ? 1 : -1;
	return a->member[0] != b->member[0] ? a->member[0] - b->member[0] : a->member[1] - b->member[1];
}

/* Both foretold by the engine model, so that they can be solved together. */
static int solvable(const jw_candidate *a, const jw_candidate *b)
{
	return jw_cause_meters(a->cause) && jw_cause_meters(b->cause) && !a->further && !b->further;
}

int jw_weigh_pairs(const jw_inquiry *q, const jw_scene *present, const jw_candidate *candidate, int candidates,
                   jw_pair *pair)
{
	double score[JW_CAUSES_MOST], all = 0;
	int pairs = 0;
	members m = choose(q, present, candidate, candidates, score);
	for (int c = 0; c < candidates; c++)
		all += candidate[c].odds;
	for (int i = 0; i < m.count; i++)
		for (int j = 0; j < i; j++) {
			const jw_candidate *a = &candidate[m.member[j]], *b = &candidate[m.member[i]];
			const double odds = jw_pair_odds(q, a, b, all);
			if (!(odds > 0))
				continue;
			pairing p = paired(q, present, a, b);
			pair[pairs++] = (jw_pair){{m.member[j], m.member[i]}, odds, odds * likelihood(&p, COARSE_NODES, 0, COARSE)};
		}
	qsort(pair, (size_t)pairs, sizeof *pair, by_weight);
	for (int k = 0; k < pairs && k < SOLVED; k++) {
		const jw_candidate *a = &candidate[pair[k].member[0]], *b = &candidate[pair[k].member[1]];
		pairing p = paired(q, present, a, b);
		pair[k].weight = pair[k].odds * likelihood(&p, FINE_NODES, solvable(a, b), FINE);
	}
	qsort(pair, (size_t)pairs, sizeof *pair, by_weight);
	return pairs;
}
