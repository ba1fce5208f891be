/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "workshop.h"

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
};

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

void workshop_test(workshop *w, int kind, jw_range range)
{
	const jw_evidence_kind *seen = jw_evidence_kind_at(kind);
	int is_so = look_tried(w->engine, seen->id, range);
	if (is_so == UNSEEN)
		is_so = lot(w, (unsigned)kind, 0) < share_of(w, seen->id);
	if (lot(w, (unsigned)kind, 1) < test_wrong)
		is_so = !is_so;
	w->minutes += jw_test_of(kind)->minutes;
	w->steps++;
	w->known.evidence[w->known.evidences++] =
	    (jw_evidence){.kind = kind, .range = range, .answer = is_so ? JW_YES : JW_NO};
}

static int same(const char *one, const char *other)
{
	return !strcmp(one, other);
}

/* A part that is set is set right, whichever way it was wrong; an overhaul cleans every passage and sets the float. */
static int one_job(int repair, int cause)
{
	const jw_cause_info *r = jw_cause_at(repair), *c = jw_cause_at(cause);
	if (repair == cause)
		return 1;
	if (same(r->action, "set") && same(c->action, "set") && same(r->part, c->part))
		return 1;
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
	for (int c = 0; c < jw_cause_count(); c++)
		w->known.history.mended[c] |= one_job(repair, c);
	return 0;
}
