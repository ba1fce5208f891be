/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cases that come along, through file, solver and posterior. */
#include "engine.h"
#include <stdio.h>
#include <string.h>

typedef struct loaded {
	jw_case_file *file;
	const jw_setup *setup;
	jw_case known;
} loaded;

static loaded load(const char *name)
{
	char path[512];
	loaded l = {0};
	jw_faults faults;
	snprintf(path, sizeof path, "%s/profiles/cases/%s.yaml", JW_SOURCE_DIR, name);
	cr_assert(jw_case_load(path, NULL, &l.file, &faults) >= 0, "%s: %s", name, faults.item[0].message);
	l.setup = jw_profile_setup(jw_case_profile(l.file));
	l.known = *jw_case_evidence(l.file);
	return l;
}

static const struct {
	const char *name, *cause, *action;
	int is_history; /* what was done just before is the fault itself */
} shipped[] = {
    {"stood-five-months", "pilot_jet_restricted", "clean", 0},
    {"flat-at-full-throttle", "main_jet_restricted", "clean", 0},
    {"open-filter-fitted", "main_jet_too_small", "fit", 0},
    {"jets-fitted", "main_jet_too_small", "fit", 1},
};
enum { SHIPPED = sizeof shipped / sizeof *shipped };

/* Each case ends at its cause; without history and with flat priors it stays among the first two. */
Test(cases, end_at_their_cause)
{
	for (int i = 0; i < SHIPPED; i++) {
		loaded l = load(shipped[i].name);
		jw_report *report = explained(l.setup, &l.known);
		cr_expect_str_eq(cause_of(report, 0), shipped[i].cause, "%s", shipped[i].name);
		cr_expect_str_eq(jw_cause_at(jw_report_finding(report, 0)->cause)->action, shipped[i].action);
		jw_report_free(report);

		l.known.history.flat = 1;
		report = explained(l.setup, &l.known);
		int place = place_of(report, shipped[i].cause);
		cr_expect(shipped[i].is_history || (place >= 0 && place < 2), "%s without history: place %d", shipped[i].name,
		          place);
		jw_report_free(report);
		jw_case_free(l.file);
	}
}

/* The pilot jet explains starting, hunting and stumbling, and leaves full throttle as it was; the mask is a bigger
 * pilot jet that floods the idle once the old fault is gone. */
Test(cases, what_the_pilot_jet_explains)
{
	loaded l = load("stood-five-months");
	jw_report *report = explained(l.setup, &l.known);
	const jw_finding *top = jw_report_finding(report, 0);
	for (int i = 0; i < l.known.evidences; i++) {
		const char *id = jw_evidence_kind_at(l.known.evidence[i].kind)->id;
		int expected = strcmp(id, "runs_well") == 0 ? 0 : 1;
		cr_expect(top->explained[i].explains == expected, "%s: %d", id, top->explained[i].explains);
	}
	double bore = l.setup->carburetor.pilot.fuel_jet.diameter_m;
	cr_expect(top->severity.low_90 > 0.02 && top->severity.high_90 < 0.99);
	cr_expect(top->severity.high_90 - top->severity.low_90 > 0.1, "words alone do not measure so well");
	cr_expect(top->effect.value > 0 && top->effect.value < 0.8);
	JW_NEAR_REL(top->bore.value, bore * sqrt(1 - top->severity.value), 1e-9);
	cr_expect(top->lambda_now[JW_IDLE].value > 1.15 * top->lambda_after[JW_IDLE]);
	cr_expect(top->lambda_now[JW_FULL].value < 1.1 * top->lambda_after[JW_FULL]);
	/* The screw hides it: a part that does not go out with the deposit. */
	cr_assert(top->has_mask);
	cr_expect(top->mask_part == JW_PART_MIXTURE_SCREW && !top->mask_fouled);
	cr_expect(top->mask_value > l.setup->carburetor.screw.turns);
	cr_expect(top->mask_lambda_after < 0.9 * top->lambda_after[top->mask_range]);
	jw_setup masked;
	cr_assert(jw_cause_apply(l.setup, top->cause, top->severity.value, &masked, NULL) == JW_OK);
	masked.carburetor.screw.turns = top->mask_value;
	JW_NEAR_REL(phi_at(&masked, &l.known.air, top->mask_range), 1 / top->lambda_after[top->mask_range], 1e-4);
	jw_report_free(report);
	jw_case_free(l.file);
}

/* A larger main jet hides a blocked one only if it is as blocked itself. */
Test(cases, mask_of_the_faulty_part)
{
	loaded l = load("flat-at-full-throttle");
	jw_report *report = explained(l.setup, &l.known);
	const jw_finding *top = jw_report_finding(report, 0);
	cr_assert(top->has_mask && top->mask_part == JW_PART_MAIN_JET);
	cr_expect(top->mask_fouled);
	jw_setup masked = *l.setup;
	masked.carburetor.main.fuel_jet.diameter_m = top->mask_value * sqrt(1 - top->severity.value);
	JW_NEAR_REL(phi_at(&masked, &l.known.air, top->mask_range), 1 / top->lambda_after[top->mask_range], 1e-4);
	jw_report_free(report);
	jw_case_free(l.file);
}

/* The jet to fit restores the mixture that the change took away, within the spread that is stated. */
Test(cases, jet_to_fit)
{
	loaded l = load("open-filter-fitted");
	jw_report *report = explained(l.setup, &l.known);
	const jw_finding *top = jw_report_finding(report, 0);
	double bore = l.setup->carburetor.main.fuel_jet.diameter_m;
	cr_expect(top->fit_value > bore && top->fit_value < 1.5 * bore);
	JW_NEAR_REL(top->fit_value, top->effect.value * 1e-3, 1e-12);
	cr_expect(!top->has_mask);
	/* What was changed is the evidence that tells this from a blocked jet. */
	double with = top->probability;
	memset(l.known.history.changed, 0, sizeof l.known.history.changed);
	jw_report *without = explained(l.setup, &l.known);
	cr_expect(with > 2 * probability_of(without, "main_jet_too_small"));
	jw_report_free(report);
	jw_report_free(without);
	jw_case_free(l.file);
}

/* The same complaint in another range has another cause. */
Test(cases, moving_the_complaint_moves_the_answer)
{
	loaded idle = load("stood-five-months");
	jw_case moved = idle.known;
	moved.evidences = 0;
	see(&moved, "idles_well", JW_IDLE);
	see(&moved, "hunts", JW_FULL);
	see(&moved, "stumbles", JW_THREE_QUARTER);
	see(&moved, "runs_well", JW_OFF_IDLE);
	jw_report *before = explained(idle.setup, &idle.known), *after = explained(idle.setup, &moved);
	cr_expect_str_eq(cause_of(after, 0), "main_jet_restricted");
	cr_expect(probability_of(after, "pilot_jet_restricted") < 0.1 * probability_of(before, "pilot_jet_restricted"));
	jw_report_free(after);

	/* Rich instead of lean. */
	moved.evidences = 0;
	see(&moved, "smokes_black", JW_FULL);
	see(&moved, "misfires_rich", JW_HALF);
	see(&moved, "plug_black", JW_FULL);
	after = explained(idle.setup, &moved);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		cr_expect(jw_report_finding(after, 0)->lambda_now[r].value <=
		          jw_report_finding(after, 0)->lambda_after[r] + 1e-9);
	jw_report_free(after);
	jw_report_free(before);
	jw_case_free(idle.file);
}

/* A sprayed joint that answers tells the leak from the blocked outlet, which lambda alone cannot. */
Test(cases, spray_test_splits_leak_from_outlet)
{
	loaded l = load("stood-five-months");
	jw_case yes = l.known, no = l.known;
	see(&yes, "leak_spray_changes", JW_IDLE);
	see(&no, "leak_spray_no_change", JW_IDLE);
	jw_report *before = explained(l.setup, &l.known), *a = explained(l.setup, &yes), *b = explained(l.setup, &no);
	cr_expect(probability_of(a, "air_leak") > 4 * probability_of(before, "air_leak"));
	cr_expect(probability_of(b, "air_leak") < 0.5 * probability_of(before, "air_leak"));
	jw_report_free(before);
	jw_report_free(a);
	jw_report_free(b);
	jw_case_free(l.file);
}

/* A symptom told twice is one fact. */
Test(cases, told_twice)
{
	loaded l = load("stood-five-months");
	jw_case twice = l.known;
	for (int i = 0; i < l.known.evidences; i++)
		twice.evidence[twice.evidences++] = l.known.evidence[i];
	jw_report *once = explained(l.setup, &l.known), *again = explained(l.setup, &twice);
	for (int i = 0; i < jw_report_findings(once); i++)
		JW_NEAR_ABS(probability_of(again, cause_of(once, i)), jw_report_finding(once, i)->probability, 1e-12);
	jw_report_free(once);
	jw_report_free(again);
	jw_case_free(l.file);
}

/* Jets fitted just before, however far off: what fits is what it ran right with, and lambda is that of the brass in it.
 */
Test(cases, jets_far_off)
{
	static const struct {
		double share;
		const char *cause, *seen;
		jw_part part;
		jw_range range;
	} rows[] = {
	    {0.6, "main_jet_too_small", "flat", JW_PART_MAIN_JET, JW_FULL},
	    {0.8, "main_jet_too_small", "flat", JW_PART_MAIN_JET, JW_FULL},
	    {1.6, "main_jet_too_large", "smokes_black", JW_PART_MAIN_JET, JW_FULL},
	    {0.7, "pilot_jet_too_small", "hunts", JW_PART_PILOT_JET, JW_IDLE},
	    {1.5, "pilot_jet_too_large", "smokes_black", JW_PART_PILOT_JET, JW_IDLE},
	};
	const jw_setup setup = bundled("courier-150");
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const double right = jw_part_value(&setup, rows[i].part);
		jw_case known = {.air = mild_air(), .history = {.months_standing = 0}};
		known.history.fitted_m[rows[i].part] = rows[i].share * right;
		see(&known, rows[i].seen, rows[i].range);
		jw_report *report = explained(&setup, &known);
		const jw_finding *finding = jw_report_finding(report, place_of(report, rows[i].cause));
		cr_expect(fabs(finding->fit_value / right - 1) < 0.04, "%s: %g of %g m", rows[i].cause, finding->fit_value,
		          right);
		cr_expect(finding->effect.low_90 * 1e-3 < right && right < finding->effect.high_90 * 1e-3, "%s: %g to %g mm",
		          rows[i].cause, finding->effect.low_90, finding->effect.high_90);
		jw_setup fitted = setup;
		jw_mixture mixture;
		cr_assert(jw_part_set(&fitted, rows[i].part, rows[i].share * right, NULL) >= 0);
		cr_assert(jw_mixture_at(&fitted, &known.air, &fitted.range[rows[i].range], &mixture, NULL) >= 0);
		const jw_interval *now = &finding->lambda_now[rows[i].range];
		cr_expect(now->low_90 * mixture.phi < 1 && !(now->high_90 > 0 && now->high_90 * mixture.phi < 1),
		          "%s: lambda %g, told %g to %g", rows[i].cause, 1 / mixture.phi, now->low_90, now->high_90);
		jw_report_free(report);
	}
}
