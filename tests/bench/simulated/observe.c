/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "observe.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double share_dropped = 0.5, share_wrong = 0.1;
/* Of the ranges in which a probe is read, its noise, and how often it reads nonsense. */
static const double share_read = 0.2, probe_noise = 0.03;
/* Engines differ in what they bear: spread of ln(lambda) of every limit. */
static const double tolerance = 0.05;

/* Lambda at which an engine begins to run badly, and at which it no longer runs, rich and lean. From what textbooks
 * give for warm engines (Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 9, from memory), with the ranges
 * told apart by trade practice; written without regard to the limits that the diagnosis uses. */
typedef struct limits {
	double stops_rich, rich, lean, stops_lean;
} limits;
static const limits nominal[JW_RANGE_COUNT] = {
    {0.52, 0.70, 1.12, 1.42}, {0.52, 0.70, 1.14, 1.45}, {0.50, 0.72, 1.20, 1.55},
    {0.50, 0.72, 1.20, 1.55}, {0.50, 0.72, 1.14, 1.55}, {0.52, 0.72, 1.08, 1.50},
};

/* How an engine that is lean, rich or right shows itself in a range. */
static const struct sign {
	const char *seen;
	unsigned ranges;
	int side; /* 1: lean, -1: rich, 0: neither, 2: too lean or too rich to run */
} signs[] = {
    {"hunts", 0x01, 1},      {"surges", 0x0c, 1},        {"stumbles", 0x02, 1},       {"hesitates", 0x0e, 1},
    {"flat", 0x30, 1},       {"misfires_lean", 0x38, 1}, {"misfires_rich", 0x3f, -1}, {"runs_well", 0x3e, 0},
    {"idles_well", 0x01, 0}, {"dies_at_idle", 0x01, 2},  {"cuts_out", 0x3c, 2},       {"smokes_black", 0x38, -1},
    {"plug_white", 0x38, 1}, {"plug_black", 0x39, -1},
};

double chance_uniform(chance *c)
{
	/* SplitMix64 (Steele, Lea and Flood, 2014). */
	unsigned long long z = (c->state += 0x9E3779B97F4A7C15ull);
	z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ull;
	z = (z ^ (z >> 27)) * 0x94D049BB133111EBull;
	return ((double)((z ^ (z >> 31)) >> 11) + 0.5) / 9007199254740992.0;
}

double chance_normal(chance *c)
{
	double radius = sqrt(-2 * log(chance_uniform(c)));
	return radius * cos(6.283185307179586 * chance_uniform(c));
}

static void report(look *l, const char *seen, jw_range range, int is_so)
{
	jw_case *known = l->known;
	const int kind = jw_evidence_kind_find(seen);
	if (kind < 0) {
		fprintf(stderr, "no such evidence: %s\n", seen);
		exit(2);
	}
	if (known->evidences == JW_EVIDENCE_MAX || chance_uniform(l->chance) < share_dropped)
		return;
	if (chance_uniform(l->chance) < share_wrong)
		is_so = !is_so;
	known->evidence[known->evidences++] = (jw_evidence){.kind = kind, .range = range, .answer = is_so ? JW_YES : JW_NO};
}

static double lambda_of(const world_mixture *m)
{
	return m->phi > 0 ? 1 / m->phi : 100;
}

/* 2 too lean to run, 1 lean, 0 right, -1 rich, -2 too rich to run. */
static int side_of(const look *l, int range, double lambda)
{
	const limits *n = &nominal[range];
	double x = lambda * exp(-l->shift);
	return x > n->stops_lean ? 2 : x > n->lean ? 1 : x > n->rich ? 0 : x > n->stops_rich ? -1 : -2;
}

static void report_range(look *l, jw_range range)
{
	const int side = side_of(l, range, lambda_of(&l->now[range]));
	for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
		const int wants = signs[i].side;
		if (!((signs[i].ranges >> range) & 1))
			continue;
		/* an engine that stops there shows nothing of a running one */
		if (abs(side) == 2 && wants != 2)
			continue;
		report(l, signs[i].seen, range, (abs(side) == 2 ? 2 : side) == wants);
	}
}

/* Lambda of a set-up in a range with the enrichener so far open; 0 where there is no answer. */
static double trial_lambda(const look *l, const jw_setup *setup, jw_range range, double enrichener)
{
	jw_point point = setup->range[range];
	world_mixture m;
	point.enrichener = enrichener;
	return world_mixture_at(setup, &l->known->air, &point, &m) < 0 ? 0 : lambda_of(&m);
}

/* Nearer to where it runs best. */
static int is_better(double before, double after)
{
	const double best = 0.9, felt = 0.03;
	return fabs(log(before / best)) - fabs(log(after / best)) > felt;
}

static int helped_by_enrichener(const look *l, jw_range range)
{
	const jw_carburetor *c = &l->faulty->carburetor;
	if (!(c->enrichener_outlet_m > 0 || c->choke.bore_m > 0))
		return UNSEEN;
	double rich = trial_lambda(l, l->faulty, range, 0.5);
	return rich > 0 ? is_better(lambda_of(&l->now[range]), rich) : UNSEEN;
}

/* A third of the intake covered enriches by a fifth; a clean filter taken off leans by a twentieth. Trade practice, no
 * source. */
static int helped_by_covering(const look *l, jw_range range)
{
	const double before = lambda_of(&l->now[range]);
	return is_better(before, before * exp(-0.2));
}

static int helped_by_filter_off(const look *l, jw_range range)
{
	const double before = lambda_of(&l->now[range]);
	return is_better(before, before * exp(0.05));
}

/* Lambda at idle with the mixture screw further out; 0 where that cannot be tried. */
static double turned_out(const look *l)
{
	jw_setup out = *l->faulty;
	out.carburetor.screw.turns += 0.5;
	return out.carburetor.screw.kind == JW_FUEL_SCREW ? trial_lambda(l, &out, JW_IDLE, 0) : 0;
}

static int helped_by_screw(const look *l, jw_range range)
{
	double turned = turned_out(l);
	return turned > 0 ? is_better(lambda_of(&l->now[range]), turned) : UNSEEN;
}

static int deaf_to_screw(const look *l, jw_range range)
{
	double turned = turned_out(l);
	return turned > 0 ? fabs(log(turned / lambda_of(&l->now[range]))) < 0.03 : UNSEEN;
}

static int leaks(const look *l, jw_range range)
{
	return l->now[range].leak_share > 0.02;
}

static int idles_fast(const look *l, jw_range range)
{
	return l->now[range].air_kg_s > 1.15 * l->before[range].air_kg_s;
}

/* What is tried on the running engine, and in which ranges people tell of it. */
static const struct trial {
	const char *seen;
	unsigned ranges;
	int (*shows)(const look *l, jw_range range);
} trials[] = {
    {"enrichener_helps", 0x21, helped_by_enrichener},
    {"screw_out_helps", 0x01, helped_by_screw},
    {"screw_no_effect", 0x01, deaf_to_screw},
    {"leak_spray_changes", 0x01, leaks},
    {"high_idle", 0x01, idles_fast},
    {"covering_intake_helps", 0, helped_by_covering},
    {"filter_off_helps", 0, helped_by_filter_off},
};

static void report_trials(look *l)
{
	for (size_t i = 0; i < sizeof trials / sizeof *trials; i++)
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			int shows = (trials[i].ranges >> r) & 1 ? trials[i].shows(l, (jw_range)r) : UNSEEN;
			if (shows != UNSEEN)
				report(l, trials[i].seen, (jw_range)r, shows);
		}
}

int look_tried(const look *l, const char *seen, jw_range range)
{
	for (size_t i = 0; i < sizeof trials / sizeof *trials; i++)
		if (!strcmp(trials[i].seen, seen))
			return trials[i].shows(l, range);
	return UNSEEN;
}

static void read_lambda(look *l, jw_range range)
{
	jw_case *known = l->known;
	const double lambda = lambda_of(&l->now[range]), noise = probe_noise * chance_normal(l->chance);
	if (chance_uniform(l->chance) > share_read || known->evidences == JW_EVIDENCE_MAX || lambda > 2 || lambda < 0.5)
		return;
	if (side_of(l, range, lambda) == 2)
		return;
	known->evidence[known->evidences++] = (jw_evidence){.kind = jw_evidence_kind_find("lambda"),
	                                                    .range = range,
	                                                    .value = lambda * exp(noise),
	                                                    .uncertainty = probe_noise * lambda,
	                                                    .answer = JW_YES};
}

/* Whether some range runs otherwise than on the sound engine: what is not felt is not brought in. */
static int is_felt(const look *l)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		if (side_of(l, r, lambda_of(&l->now[r])) != side_of(l, r, lambda_of(&l->before[r])))
			return 1;
	return 0;
}

int look_begin(look *l, const jw_setup *sound, const jw_setup *faulty, chance *c, jw_case *known)
{
	*l = (look){.sound = sound, .faulty = faulty, .chance = c, .known = known, .shift = tolerance * chance_normal(c)};
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		if (world_mixture_at(faulty, &known->air, &faulty->range[r], &l->now[r]) < 0 ||
		    world_mixture_at(sound, &known->air, &sound->range[r], &l->before[r]) < 0)
			return -1;
	return is_felt(l) ? 0 : 1;
}

void look_report(look *l)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		report_range(l, (jw_range)r);
		read_lambda(l, (jw_range)r);
	}
	report_trials(l);
}
