/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "workshop.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

/* Tests that come out wrong, and remedies that are done badly. */
static const double test_wrong = 0.05, repair_fails = 0.05;

/* What is seen on an engine in order, beside what the mixture tells: the share of such engines. */
static const struct habit {
	const char *seen;
	double share;
} sound[] = {
    {"cranks_well", 0.95},        {"spark_strong", 0.95},      {"outside_fuel_fires", 0.85},
    {"any_sign_of_life", 0.90},   {"bowl_fills_freely", 0.95}, {"hose_flows_freely", 0.95},
    {"compression_good", 0.95},   {"filter_clean", 0.85},      {"slide_rises_freely", 0.97},
    {"pump_squirts", 0.95},       {"jets_look_clear", 0.95},   {"plug_normal", 0.60},
    {"all_cylinders_alike", 0.9}, {"dirt_in_bowl", 0.10},      {"filter_dirty", 0.12},
    {"fuel_smells_stale", 0.06},
};

/* The same with a fault, from a severity on. Set by what a fault looks like, without regard to the shares that the
 * diagnosis uses. */
static const struct mark {
	const char *seen, *cause;
	double from, share;
} marks[] = {
    {"filter_dirty", "air_filter_blocked", 0.15, 0.95},
    {"filter_clean", "air_filter_blocked", 0.15, 0.05},
    {"filter_clean", "air_filter_missing", 0, 0.3},
    {"dirt_in_bowl", "pilot_jet_restricted", 0, 0.4},
    {"dirt_in_bowl", "pilot_outlet_restricted", 0, 0.3},
    {"dirt_in_bowl", "transfer_ports_restricted", 0, 0.3},
    {"dirt_in_bowl", "main_jet_restricted", 0, 0.5},
    {"dirt_in_bowl", "float_needle_leaking", 0, 0.4},
    {"jet_looks_blocked", "pilot_jet_restricted", 0.25, 0.85},
    {"jet_looks_blocked", "main_jet_restricted", 0.25, 0.90},
    {"jets_look_clear", "pilot_jet_restricted", 0.25, 0.15},
    {"jets_look_clear", "main_jet_restricted", 0.25, 0.10},
    {"choke_does_not_open", "choke_stuck_on", 0.1, 0.9},
    {"choke_does_not_open", "enrichener_stuck_on", 0.1, 0.9},
    {"slide_sticks", "slide_or_diaphragm", 0, 0.5},
    {"diaphragm_torn", "slide_or_diaphragm", 0, 0.4},
    {"slide_rises_freely", "slide_or_diaphragm", 0, 0.08},
    {"fuel_overflows", "float_needle_leaking", 0.3, 0.7},
    {"fuel_overflows", "float_level_high", 0.6, 0.2},
    {"float_needle_marked", "float_needle_leaking", 0, 0.75},
    {"joint_cracked", "air_leak", 0.1, 0.6},
    {"filter_missing", "air_filter_missing", 0.2, 0.95},
};

/* What is measured with the part in the hand: how it differs from the sound engine's, and how well that is done. */
static const struct measure {
	const char *seen;
	size_t element;
	int as_ratio; /* the value itself is stated; it errs by a share */
	double noise;
} measures[] = {
    {"level", offsetof(jw_setup, carburetor.bowl.level_error_m), 0, 0.7e-3},
    {"screw_turns", offsetof(jw_setup, carburetor.screw.turns), 0, 0.2},
    {"needle_height", offsetof(jw_setup, carburetor.needle.raised_m), 0, 0.15e-3},
    {"needle_jet_bore", offsetof(jw_setup, carburetor.needle.jet_m), 1, 0.006},
    {"pilot_jet_bore", offsetof(jw_setup, carburetor.pilot.fuel_jet.diameter_m), 1, 0.03},
    {"main_jet_bore", offsetof(jw_setup, carburetor.main.fuel_jet.diameter_m), 1, 0.03},
};
/* How much worse a measurement is that goes wrong. */
static const double bungled = 6;

/* A draw that belongs to one thing done to one engine. */
static double lot(const workshop *w, unsigned what, unsigned try)
{
	chance c = {w->luck ^ (what * 0x9E3779B97F4A7C15ull + try * 0xD1B54A32D192ED03ull)};
	return chance_uniform(&c);
}

workshop workshop_open(const look *engine, int cause, double severity, const jw_case *known)
{
	chance c = *engine->chance;
	chance_uniform(&c);
	return (workshop){
	    .engine = engine, .cause = cause, .severity = severity, .luck = c.state, .known = *known, .cured_by = -1};
}

int workshop_goes_on(const workshop *w)
{
	return w->cured_by < 0 && w->minutes < MINUTES_MOST && w->steps < STEPS_MOST &&
	       w->known.evidences < JW_EVIDENCE_MAX;
}

static double share_of(const workshop *w, const char *seen)
{
	const char *cause = jw_cause_at(w->cause)->id;
	double share = 0.03;
	for (size_t i = 0; i < sizeof sound / sizeof *sound; i++)
		if (!strcmp(sound[i].seen, seen))
			share = sound[i].share;
	for (size_t i = 0; i < sizeof marks / sizeof *marks; i++)
		if (!strcmp(marks[i].seen, seen) && !strcmp(marks[i].cause, cause) && w->severity >= marks[i].from)
			share = marks[i].share;
	return share;
}

/* -1: not a thing that is measured. */
static int measure_of(const char *seen)
{
	for (size_t i = 0; i < sizeof measures / sizeof *measures; i++)
		if (!strcmp(measures[i].seen, seen))
			return (int)i;
	return -1;
}

static double element_of(const jw_setup *setup, size_t offset)
{
	double value;
	memcpy(&value, (const char *)setup + offset, sizeof value);
	return value;
}

static double measured(const workshop *w, const struct measure *m, int kind, int wrong)
{
	chance c = {w->luck ^ ((unsigned)kind * 0xD6E8FEB86659FD93ull)};
	const double noise = m->noise * chance_normal(&c) * (wrong ? bungled : 1);
	const double now = element_of(w->engine->faulty, m->element), sound_one = element_of(w->engine->sound, m->element);
	return m->as_ratio ? now * exp(noise) : now - sound_one + noise;
}

/* Yes or no, by what the mixture does, or else by what the fault looks like. */
static jw_answer answer_of(const workshop *w, const jw_evidence_kind *seen, int kind, jw_range range, int wrong)
{
	int is_so = look_tried(w->engine, seen->id, range);
	if (is_so == UNSEEN)
		is_so = lot(w, (unsigned)kind, 0) < share_of(w, seen->id);
	return is_so != wrong ? JW_YES : JW_NO;
}

void workshop_test(workshop *w, int kind, jw_range range)
{
	const jw_evidence_kind *seen = jw_evidence_kind_at(kind);
	const int measure = measure_of(seen->id), wrong = lot(w, (unsigned)kind, 1) < test_wrong;
	jw_evidence *fact = &w->known.evidence[w->known.evidences++];
	*fact = (jw_evidence){.kind = kind, .range = range, .answer = JW_YES};
	if (measure >= 0)
		fact->value = measured(w, &measures[measure], kind, wrong);
	else if (seen->takes_value)
		abort(); /* a test that this workshop has no instrument for */
	else
		fact->answer = answer_of(w, seen, kind, range, wrong);
	w->minutes += jw_test_of(kind)->minutes;
	w->steps++;
}

static int same(const char *one, const char *other)
{
	return !strcmp(one, other);
}

/* A part that is set is set right, whichever way it was wrong, and a new part has no fault of the old; an overhaul
 * cleans every passage and sets the float; putting the carburetor together again sets needle and float. */
static int one_job(int repair, int cause)
{
	const jw_cause_info *r = jw_cause_at(repair), *c = jw_cause_at(cause);
	if (repair == cause)
		return 1;
	if (same(r->part, c->part) && (same(r->action, "replace") || (same(r->action, "set") && same(c->action, "set"))))
		return 1;
	if (same(r->id, "reassembly_error"))
		return same(c->action, "set") && (same(c->part, "needle") || same(c->part, "float"));
	return same(r->id, "passages_varnished") && jw_cause_meters(cause) &&
	       (same(c->action, "clean") || same(c->part, "float"));
}

int workshop_repair(workshop *w, int repair)
{
	const int lucky = lot(w, 1000u + (unsigned)repair, (unsigned)w->tries[repair]++) >= repair_fails;
	w->minutes += jw_cause_minutes(repair);
	w->steps++;
	if (lucky && one_job(repair, w->cause)) {
		w->cured_by = repair;
		return 1;
	}
	w->known.history.mended[repair]++;
	return 0;
}
