/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the report comes to: the fault or faults that lead, and how the evidence stands to them. */
#include "explain.h"
#include <math.h>

/* Below this nothing is taken apart for a finding. */
static const double least_repaired = 0.25;
/* Evidence at least so probable under a finding fits it, though a sound engine would show it too. */
static const double fits_from = 0.5;
/* The same of a reading, whose probability is shared out over all that it might have been. */
static const double reading_fits_from = 0.05;
/* Minutes that a test must save to be worth its words. */
static const double least_saved = 3;
/* Change of ln(lambda) that is worth telling. */
static const double least_moved = 0.03;

const char *class_behind(const answer *a)
{
	if (a->class || jw_profile_calibration(a->profile))
		return a->class;
	return jw_profile_based_on(a->profile);
}

const char *bearing_name(bearing which)
{
	static const char *const names[BEARINGS] = {"explains", "fits", "unexplained", "against", "unsaid"};
	return names[which];
}

static int holds(const jw_hypothesis *h, int cause)
{
	return h->kind == JW_HYPOTHESIS_CAUSES && (h->cause[0] == cause || h->cause[1] == cause);
}

static const jw_finding *finding_of(const answer *a, int cause)
{
	for (int i = 0; i < jw_report_findings(a->report); i++)
		if (jw_report_finding(a->report, i)->cause == cause)
			return jw_report_finding(a->report, i);
	return NULL;
}

static const jw_hypothesis *likeliest_with(const answer *a, int cause)
{
	int i = 0;
	while (!holds(jw_report_hypothesis(a->report, i), cause))
		i++;
	return jw_report_hypothesis(a->report, i);
}

conclusion conclude(const answer *a)
{
	const jw_hypothesis *top = jw_report_hypothesis(a->report, 0);
	const jw_finding *first = jw_report_finding(a->report, 0);
	if (!first || (top->kind != JW_HYPOTHESIS_CAUSES && top->probability > first->probability))
		return (conclusion){
		    .hypothesis = top, .probability = top->probability, .weak = top->probability < least_repaired};
	const jw_hypothesis *h = likeliest_with(a, first->cause);
	const int other = h->cause[0] == first->cause ? h->cause[1] : h->cause[0];
	return (conclusion){.hypothesis = h,
	                    .first = first,
	                    .second = other < 0 ? NULL : finding_of(a, other),
	                    .probability = first->probability,
	                    .weak = first->probability < least_repaired};
}

int seems_sound(const conclusion *c)
{
	return c->hypothesis->kind == JW_HYPOTHESIS_SOUND && !c->first && !c->weak;
}

/* Of lambda, whose upper end is 0 where fuel may stop. */
static int lies_within(double value, const jw_interval *lambda)
{
	return value >= lambda->low_90 && (value <= lambda->high_90 || !(lambda->high_90 > 0));
}

bearing bearing_of(const answer *a, const jw_finding *finding, int evidence)
{
	const jw_explained *e = &finding->explained[evidence];
	const jw_evidence *seen = &a->known->evidence[evidence];
	if (seen->answer == JW_UNKNOWN)
		return UNSAID;
	if (e->explains > 0)
		return EXPLAINS;
	if (e->explains < 0)
		return AGAINST;
	const jw_evidence_kind *kind = jw_evidence_kind_at(seen->kind);
	if (kind->takes_value && kind->takes_range)
		return lies_within(seen->value, &finding->lambda_now[seen->range]) ? FITS : OPEN;
	if (kind->takes_value)
		return e->likelihood >= reading_fits_from ? FITS : OPEN;
	return e->likelihood >= fits_from ? FITS : OPEN;
}

/* What one of two faults explains is explained; else what speaks against one speaks against both. */
bearing bearing_of_all(const answer *a, const conclusion *c, int evidence)
{
	const bearing one = bearing_of(a, c->first, evidence);
	if (!c->second)
		return one;
	const bearing other = bearing_of(a, c->second, evidence);
	if (one == EXPLAINS || other == EXPLAINS)
		return EXPLAINS;
	return one > other ? one : other;
}

int says_the_same(const jw_hypothesis *h, const conclusion *c)
{
	return h == c->hypothesis || (c->first && !c->second && holds(h, c->first->cause));
}

/* Whether anything is told of a range of the throttle. */
static int is_told_of(const answer *a, int range)
{
	for (int i = 0; i < a->known->evidences; i++) {
		const jw_evidence *seen = &a->known->evidence[i];
		if (seen->answer != JW_UNKNOWN && (int)seen->range == range &&
		    jw_evidence_kind_at(seen->kind)->range < JW_RANGE_COUNT)
			return 1;
	}
	return 0;
}

int moved_range(const answer *a, const jw_finding *finding)
{
	int range = -1;
	double most = least_moved;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const double now = finding->lambda_now[r].value, after = finding->lambda_after[r];
		const double moved = !(after > 0) ? 0 : now > 0 ? fabs(log(now / after)) : INFINITY;
		if (moved > most && is_told_of(a, r)) {
			most = moved;
			range = r;
		}
	}
	return range;
}

int test_pays(const conclusion *c, const jw_action *test, const jw_action *repair, double *saves)
{
	*saves = repair ? repair->expected_minutes - test->expected_minutes : 0;
	const int decides = test->if_yes != test->if_no;
	return (decides || c->weak || !c->first) && (!repair || *saves >= least_saved);
}

const jw_action *first_test(const answer *a, const conclusion *c, double *saves)
{
	const jw_action *best = jw_report_action(a->report, 0), *repair = best;
	for (int i = 0; repair && repair->cause < 0; i++)
		repair = jw_report_action(a->report, i);
	return best && best->cause < 0 && test_pays(c, best, repair, saves) ? best : NULL;
}

/* ---- what must not wait ---- */

static const char too_hot[] =
    "Lean running, pinging and heat seize engines and burn pistons: no full throttle until the "
    "fault is found and mended.";
static const char drowned[] =
    "Fuel in the oil ruins bearings, and fuel in a cylinder bends rods: shut the tap, do not run "
    "it, take the plug out before it is turned; change the oil, and the oil filter where there is one, once the fault "
    "is "
    "mended.";

static const struct {
	const char *seen, *caution;
	unsigned ranges; /* of the throttle, one bit each */
} dangers[] = {{"fuel_in_oil", drowned, ~0u},
               {"pings", too_hot, ~0u},
               {"overheats", too_hot, ~0u},
               {"plug_white", too_hot, 1u << JW_THREE_QUARTER | 1u << JW_FULL}};
enum { DANGERS = sizeof dangers / sizeof *dangers };
_Static_assert(sizeof dangers / sizeof *dangers <= (size_t)DANGERS_MOST, "more dangers than there is room for");

static int is_seen(const answer *a, const char *id, unsigned ranges)
{
	const int kind = jw_evidence_kind_find(id);
	for (int i = 0; i < a->known->evidences; i++) {
		const jw_evidence *seen = &a->known->evidence[i];
		if (seen->kind == kind && seen->answer == JW_YES && ranges & 1u << seen->range)
			return 1;
	}
	return 0;
}

/* Lean beyond what an engine stands, by the fault that leads. */
static int is_too_lean(const conclusion *c)
{
	if (!c->first || c->weak || !jw_cause_meters(c->first->cause))
		return 0;
	for (jw_range r = 0; r < JW_RANGE_COUNT; r++) {
		const double most = jw_rejet_danger_lambda(r);
		if (most > 0 && c->first->lambda_now[r].value > most)
			return 1;
	}
	return 0;
}

int dangers_of(const answer *a, const conclusion *c, const char **caution)
{
	const int lean = is_too_lean(c);
	int count = 0;
	for (int i = 0; i < DANGERS; i++) {
		const char *said = dangers[i].caution;
		const int holds = is_seen(a, dangers[i].seen, dangers[i].ranges) || (lean && said == too_hot);
		if (holds && (!count || caution[count - 1] != said))
			caution[count++] = said;
	}
	return count;
}
