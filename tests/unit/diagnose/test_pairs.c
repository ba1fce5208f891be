/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/cause.h"
#include "engine.h"

/* Readings and words of an engine with two faults in different ranges. */
static jw_case of_engine(const jw_setup *faulty)
{
	jw_case known = {.air = mild_air()};
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double lambda = 1 / phi_at(faulty, &known.air, (jw_range)r);
		if (lambda > 0.5 && lambda < 2)
			see_value(&known, "lambda", (jw_range)r, lambda, 0.02);
	}
	return known;
}

static double all_pairs(const jw_report *report)
{
	double sum = 0;
	for (int i = 0; i < jw_report_hypotheses(report); i++)
		if (jw_report_hypothesis(report, i)->cause[1] >= 0)
			sum += jw_report_hypothesis(report, i)->probability;
	return sum;
}

static jw_setup with(const jw_setup *setup, const char *id, double severity)
{
	jw_setup faulty;
	cr_assert(jw_cause_apply(setup, jw_cause_find(id), severity, &faulty, NULL) == JW_OK, "%s", id);
	return faulty;
}

/* Rich at idle and lean at full throttle is no single fault: the pair leads. */
Test(pairs, second_fault_is_found)
{
	jw_setup setup = scooter();
	jw_setup one = with(&setup, "pilot_air_restricted", 0.8), both = with(&one, "main_jet_restricted", 0.45);
	jw_case known = of_engine(&both);
	see(&known, "plug_black", JW_IDLE);
	see(&known, "flat", JW_FULL);
	see(&known, "spark_strong", JW_IDLE);
	see(&known, "bowl_fills_freely", JW_IDLE);
	jw_report *report = explained(&setup, &known);
	const jw_hypothesis *lead = jw_report_hypothesis(report, 0);
	cr_expect(lead->cause[1] >= 0, "%s alone", jw_cause_at(lead->cause[0])->id);
	cr_expect(all_pairs(report) > 0.5, "%g", all_pairs(report));
	cr_expect(probability_of(report, "main_jet_restricted") > 0.5, "%g", probability_of(report, "main_jet_restricted"));
	cr_expect(hypothesis_of(report, "main_jet_restricted", "pilot_air_restricted") >
	          hypothesis_of(report, "main_jet_restricted", NULL));
	jw_report_free(report);
}

/* One fault that explains all is not given company. */
Test(pairs, second_fault_is_not_invented)
{
	static const struct {
		const char *id;
		double severity;
	} rows[] = {{"pilot_jet_restricted", 0.6}, {"main_jet_restricted", 0.4}, {"air_leak", 0.5}};
	jw_setup setup = scooter();
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_setup faulty = with(&setup, rows[i].id, rows[i].severity);
		jw_case known = of_engine(&faulty);
		jw_report *report = explained(&setup, &known);
		cr_expect(jw_report_hypothesis(report, 0)->cause[1] < 0, "%s", rows[i].id);
		cr_expect(all_pairs(report) < 0.3, "%s: %g", rows[i].id, all_pairs(report));
		jw_report_free(report);
	}
}

/* Nothing is paired with itself, nor with another word for the same element. */
Test(pairs, of_different_elements)
{
	jw_setup setup = scooter();
	jw_case known = flat_case();
	see(&known, "flat", JW_FULL);
	see(&known, "hunts", JW_IDLE);
	jw_report *report = explained(&setup, &known);
	int pairs = 0;
	for (int i = 0; i < jw_report_hypotheses(report); i++) {
		const int *cause = jw_report_hypothesis(report, i)->cause;
		if (cause[1] < 0)
			continue;
		pairs++;
		cr_expect(cause[0] != cause[1]);
		cr_expect(!jw_cause_meters(cause[0]) || !jw_cause_meters(cause[1]) ||
		          jw_cause_row_at(cause[0])->element != jw_cause_row_at(cause[1])->element);
	}
	cr_expect(pairs > 20);
	jw_report_free(report);
}
