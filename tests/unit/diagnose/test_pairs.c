/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "computed.h"
#include "diagnose/beliefs.h"
#include <stdlib.h>

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

/* Varnish in several passages takes in the jet that is blocked: the two are no pair. */
Test(pairs, what_one_cause_takes_in_is_no_second)
{
	jw_setup setup = scooter();
	jw_case known = {.air = mild_air(), .history = {.months_standing = 12}};
	see(&known, "does_not_start", JW_IDLE);
	see(&known, "outside_fuel_fires", JW_IDLE);
	see(&known, "hunts", JW_IDLE);
	see(&known, "flat", JW_FULL);
	jw_report *report = explained(&setup, &known);
	const int wide = jw_cause_find("passages_varnished");
	cr_expect(probability_of(report, "passages_varnished") > 0.1);
	for (int i = 0; i < jw_report_hypotheses(report); i++) {
		const jw_hypothesis *h = jw_report_hypothesis(report, i);
		for (int k = 0; k < 2 && h->cause[1] >= 0; k++) {
			const char *within = jw_cause_row_at(h->cause[k])->within;
			cr_expect(!within || jw_cause_find(within) != h->cause[!k]);
			cr_expect(h->cause[k] != wide || !within);
		}
	}
	jw_report_free(report);
}

/* Rich at idle and lean at full throttle is no single fault: the pair leads. */
Test(pairs, second_fault_is_found)
{
	static const computed_fault faults[] = {{"pilot_air_restricted", 0.8}, {"main_jet_restricted", 0.45}};
	jw_setup setup = scooter(), both = with_faults(&setup, faults, 2);
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
	static const computed_fault rows[] = {
	    {"pilot_jet_restricted", 0.6}, {"main_jet_restricted", 0.4}, {"air_leak", 0.5}};
	jw_setup setup = scooter();
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_setup faulty = with_faults(&setup, &rows[i], 1);
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

/* ---- over several engines ---- */

static const struct {
	const char *engine;
	computed_fault fault[2];
} doubly[] = {{"courier-150", {{"pilot_air_restricted", 0.9}, {"main_jet_restricted", 0.45}}},
              {"courier-150", {{"idle_mixture_screw_rich", 0.9}, {"main_jet_restricted", 0.45}}},
              {"pump-200", {{"pilot_air_restricted", 0.9}, {"main_jet_restricted", 0.45}}},
              {"pump-200", {{"idle_mixture_screw_rich", 0.9}, {"main_jet_restricted", 0.45}}},
              {"twin-480", {{"pilot_air_restricted", 0.9}, {"main_jet_restricted", 0.45}}},
              {"twin-480", {{"idle_mixture_screw_rich", 0.9}, {"main_jet_restricted", 0.45}}},
              {"cruiser-1200", {{"pilot_air_restricted", 0.9}, {"main_jet_restricted", 0.45}}},
              {"cruiser-1200", {{"idle_mixture_screw_rich", 0.9}, {"main_jet_restricted", 0.45}}}};
enum { DOUBLY = sizeof doubly / sizeof *doubly };

/* Faults that pull the mixture apart, so that no single one does it: two are told, and both are among the first three.
 * Where one fault could do nearly the same, it rightly goes first: of all nine engines with these faults, and with a
 * blocked pilot jet or a leak beside too large a main jet, pairs together pass one half in 10 of 36. */
Test(pairs, both_faults_are_found)
{
	for (int i = 0; i < DOUBLY; i++) {
		jw_setup setup = bundled(doubly[i].engine);
		jw_case known = computed_case(&setup, doubly[i].fault, 2);
		jw_report *report = explained(&setup, &known);
		cr_expect(all_pairs(report) > 0.5, "%s, %s: %g", doubly[i].engine, doubly[i].fault[0].id, all_pairs(report));
		for (int k = 0; k < 2; k++) {
			int place = place_of(report, doubly[i].fault[k].id);
			cr_expect(place >= 0 && place < 3, "%s, %s: place %d", doubly[i].engine, doubly[i].fault[k].id, place);
		}
		jw_report_free(report);
	}
}

static double best_pair(const jw_report *report)
{
	double best = 0;
	for (int i = 0; i < jw_report_hypotheses(report); i++)
		if (jw_report_hypothesis(report, i)->cause[1] >= 0)
			best = fmax(best, jw_report_hypothesis(report, i)->probability);
	return best;
}

static const computed_fault single[] = {
    {"pilot_jet_restricted", 0.6}, {"main_jet_restricted", 0.5}, {"air_leak", 0.5},
    {"pilot_air_restricted", 0.8}, {"main_jet_too_large", 0.8},  {"pilot_outlet_restricted", 0.7},
    {"air_filter_blocked", 0.85},  {"needle_jet_worn", 0.8},     {"float_level_low", 0.8}};
enum { SINGLE = sizeof single / sizeof *single };

/* One fault on each engine that has the part and ails from it: no pair stands above it. */
Test(pairs, none_is_invented_on_any_engine)
{
	int cases = 0;
	for (size_t e = 0; e < BUNDLED; e++)
		for (int i = 0; i < SINGLE; i++) {
			jw_setup setup = bundled(bundled_names[e]);
			if (!jw_cause_possible(&setup, jw_cause_row_at(jw_cause_find(single[i].id))))
				continue;
			jw_case known = computed_case(&setup, &single[i], 1);
			if (!troubles_of(&known))
				continue;
			jw_report *report = explained(&setup, &known);
			double alone = hypothesis_of(report, single[i].id, NULL);
			cr_expect(best_pair(report) < alone, "%s, %s: %g above %g", bundled_names[e], single[i].id,
			          best_pair(report), alone);
			cases++;
			jw_report_free(report);
		}
	cr_expect(cases > 50, "%d", cases);
}

/* The likelihood of two causes over all severities of both, each solved, and all draws. */
static double likelihood_in_full(const jw_inquiry *q, const jw_scene *present, const jw_candidate *a,
                                 const jw_candidate *b)
{
	double sum = 0;
	jw_scene scene = {.nodes = 1};
	for (int f = 0; f < q->facts; f++)
		scene.told[f] = jw_tell_both(&q->fact[f], a->scene.told[f], b->scene.told[f]);
	for (int i = 0; i < a->scene.nodes; i++)
		for (int j = 0; j < b->scene.nodes; j++) {
			jw_setup first, both;
			scene.density[0] = a->scene.density[i] * b->scene.density[j];
			if (scene.density[0] > 0 && jw_cause_apply(&a->base, a->cause, jw_node(i), &first, NULL) >= 0 &&
			    jw_cause_apply(&first, b->cause, jw_node(j), &both, NULL) >= 0 &&
			    jw_solve_signs(q, &both, JW_ALL_RANGES, scene.signs[0], NULL) >= 0) {
				jw_scene_compare(q, present, &scene);
				sum += jw_total_likelihood(q, &scene, 1);
			}
		}
	return sum;
}

static const jw_candidate *candidate_of(const jw_beliefs *b, const char *id)
{
	for (int c = 0; c < b->candidates; c++)
		if (b->candidate[c].cause == jw_cause_find(id))
			return &b->candidate[c];
	return NULL;
}

/* What a weight would be beside that of a single cause, by Bayes' rule without any short cut. */
static double weight_in_full(const jw_beliefs *b, const jw_candidate *one, const jw_candidate *other)
{
	double all = 0, scale = one->weight / (one->odds * one->told.likelihood);
	for (int c = 0; c < b->candidates; c++)
		all += b->candidate[c].odds;
	return scale * 2 * jw_second_share() * one->odds * other->odds / all *
	       likelihood_in_full(&b->inquiry, &b->present, one, other);
}

static double weight_of_pair(const jw_beliefs *b, const jw_candidate *one, const jw_candidate *other)
{
	for (int k = 0; k < b->pairs; k++) {
		const jw_candidate *first = &b->candidate[b->pair[k].member[0]], *second = &b->candidate[b->pair[k].member[1]];
		if ((first == one && second == other) || (first == other && second == one))
			return b->pair[k].weight;
	}
	return 0;
}

/* The short cuts leave pairs on equal terms with single causes. */
Test(pairs, weigh_what_they_would_in_full)
{
	jw_beliefs *b = malloc(sizeof *b);
	for (int i = 0; i < DOUBLY; i += 2) {
		jw_setup setup = bundled(doubly[i].engine);
		jw_case known = computed_case(&setup, doubly[i].fault, 2);
		*b = (jw_beliefs){.candidates = 0};
		cr_assert(jw_inquiry_open(&setup, &known, &b->inquiry, NULL) >= 0 && jw_weigh_all(b, NULL) >= 0);
		const jw_candidate *one = candidate_of(b, doubly[i].fault[0].id),
		                   *other = candidate_of(b, doubly[i].fault[1].id);
		double ratio = weight_of_pair(b, one, other) / weight_in_full(b, one, other);
		cr_expect(ratio > 0.7 && ratio < 1.3, "%s, %s: %g", doubly[i].engine, doubly[i].fault[0].id, ratio);
	}
	free(b);
}
