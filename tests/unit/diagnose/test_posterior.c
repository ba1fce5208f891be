/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/posterior.h"
#include "engine.h"
#include <stdlib.h>

/* Gauss-Hermite over the shared coefficients against the closed form: a reading with spread u on a mixture with spread
 * s is seen with u/sqrt(u^2+s^2) exp(-x^2/(2(u^2+s^2))); 8 % doubt over readings that span 1.2 in ln(lambda). */
Test(posterior, closed_form)
{
	jw_setup setup = scooter();
	static const double offset[] = {-0.06, 0, 0.09};
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		for (size_t k = 0; k < 3; k++) {
			jw_case known = flat_case();
			double lambda = exp(offset[k]) / phi_at(&setup, &known.air, (jw_range)r), u = 0.08;
			see_value(&known, "lambda", (jw_range)r, lambda, u * lambda);
			jw_inquiry inquiry;
			double before;
			cr_assert(jw_inquiry_open(&setup, &known, &inquiry, NULL) >= 0);
			cr_assert(jw_weigh_sound(&inquiry, &before, NULL) >= 0);
			double s = jw_shared_uncertainty(&inquiry, (jw_range)r), both = hypot(u, s);
			double model = u / both * exp(-0.5 * offset[k] * offset[k] / (both * both));
			double blind = sqrt(2 * 3.14159265358979) * u / 1.2;
			cr_expect(s > 0.005, "%s", jw_range_name((jw_range)r));
			JW_NEAR_REL(before, 0.92 * model + 0.08 * blind, 2e-3);
		}
}

Test(posterior, quantiles)
{
	double even[JW_NODES], one[JW_NODES] = {0};
	for (int j = 0; j < JW_NODES; j++)
		even[j] = 1.0 / JW_NODES;
	one[6] = 1;
	JW_NEAR_ABS(jw_severity_quantile(even, 0.05), 0.05, 1e-12);
	JW_NEAR_ABS(jw_severity_quantile(even, 0.5), 0.5, 1e-12);
	JW_NEAR_ABS(jw_severity_quantile(one, 0.5), 6.5 / JW_NODES, 1e-12);
	JW_NEAR_ABS(jw_severity_quantile(one, 0.95), 6.95 / JW_NODES, 1e-12);
}

/* The product over evidence stands inside the integral: two readings of one engine share its error, so two that agree
 * on an offset are likelier together than each by itself. */
Test(posterior, shared_error_is_shared)
{
	jw_setup setup = scooter();
	setup.uncertainty = (jw_coefficients){0.1, 0.1, 0.1, 0.1};
	jw_case one = flat_case(), two = flat_case();
	double lambda = 1.1 / phi_at(&setup, &one.air, JW_HALF);
	see_value(&one, "lambda", JW_HALF, lambda, 0.02);
	see_value(&two, "lambda", JW_HALF, lambda, 0.02);
	see_value(&two, "lambda", JW_HALF, lambda, 0.02);
	double density[JW_NODES] = {1}; /* a cause at its least severity: as good as sound */
	int cause = jw_cause_find("pilot_outlet_restricted");
	jw_inquiry inquiry;
	jw_weight single, both;
	cr_assert(jw_inquiry_open(&setup, &one, &inquiry, NULL) >= 0);
	jw_weigh(&inquiry, cause, density, &single);
	cr_assert(jw_inquiry_open(&setup, &two, &inquiry, NULL) >= 0);
	jw_weigh(&inquiry, cause, density, &both);
	cr_expect(both.likelihood > 1.5 * single.likelihood * single.likelihood, "%g, %g", both.likelihood,
	          single.likelihood);
}

/* A lambda meter in every range finds the cause that made the readings, or a twin of it, and its severity. */
Test(posterior, finds_what_was_put_in)
{
	static const struct {
		const char *id;
		double severity;
	} truths[] = {
	    {"pilot_jet_restricted", 0.6},      {"main_jet_restricted", 0.4},
	    {"transfer_ports_restricted", 0.8}, {"air_leak", 0.5},
	    {"float_level_low", 0.7},           {"main_air_restricted", 0.8},
	    {"slide_or_diaphragm", 0.3},        {"pilot_air_restricted", 0.8},
	    {"air_filter_blocked", 0.8},        {"needle_jet_worn", 0.7},
	    {"main_jet_too_large", 0.5},        {"enrichener_stuck_on", 0.7},
	};
	jw_setup setup = scooter();
	setup.uncertainty = (jw_coefficients){0.01, 0.01, 0.01, 0.01};
	for (size_t i = 0; i < sizeof truths / sizeof *truths; i++) {
		jw_setup faulty;
		jw_case known = flat_case();
		cr_assert(jw_cause_apply(&setup, jw_cause_find(truths[i].id), truths[i].severity, &faulty, NULL) == JW_OK);
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			double lambda = 1 / phi_at(&faulty, &known.air, (jw_range)r);
			if (lambda > 0.5 && lambda < 2) /* no engine runs beyond, so no meter reads there */
				see_value(&known, "lambda", (jw_range)r, lambda, 0.02);
		}
		jw_report *report = explained(&setup, &known);
		int place = place_of(report, truths[i].id);
		cr_assert(place >= 0);
		const jw_finding *finding = jw_report_finding(report, place);
		cr_expect(place < 3, "%s: place %d, first %s", truths[i].id, place, cause_of(report, 0));
		cr_expect(finding->probability > 0.1, "%s: %g", truths[i].id, finding->probability);
		cr_expect(finding->severity.low_90 <= truths[i].severity && finding->severity.high_90 >= truths[i].severity,
		          "%s: %g is not in %g..%g", truths[i].id, truths[i].severity, finding->severity.low_90,
		          finding->severity.high_90);
		jw_report_free(report);
	}
}

static void check_interval(const char *what, const jw_interval *x)
{
	cr_expect(isfinite(x->value) && isfinite(x->low_90) && isfinite(x->high_90), "%s", what);
	cr_expect(x->low_90 <= x->value && (x->value <= x->high_90 || x->high_90 == 0), "%s: %g in %g..%g", what, x->value,
	          x->low_90, x->high_90);
}

static void check_finding(const jw_finding *f, const jw_case *known)
{
	const char *id = jw_cause_at(f->cause)->id;
	check_interval(id, &f->severity);
	check_interval(id, &f->effect);
	check_interval(id, &f->bore);
	cr_expect(f->severity.low_90 >= 0 && f->severity.high_90 <= 1, "%s", id);
	cr_expect(f->probability >= 0 && f->probability <= 1, "%s", id);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		check_interval(id, &f->lambda_now[r]);
		cr_expect(isfinite(f->lambda_after[r]) && f->lambda_after[r] >= 0, "%s", id);
	}
	for (int i = 0; i < known->evidences; i++)
		cr_expect(f->explained[i].likelihood > 0 && f->explained[i].likelihood <= 1 && f->explained[i].before > 0 &&
		              f->explained[i].before <= 1,
		          "%s, evidence %d", id, i);
	cr_expect(isfinite(f->mask_value) && isfinite(f->mask_lambda_after) && isfinite(f->fit_value), "%s", id);
}

static void check_report(const jw_report *report, const jw_case *known)
{
	double sum = 0, last = 1, others = 0;
	for (int i = 0; i < jw_report_hypotheses(report); i++) {
		const jw_hypothesis *h = jw_report_hypothesis(report, i);
		cr_expect(h->probability <= last);
		last = h->probability;
		sum += h->probability;
		others += h->cause[0] < 0;
	}
	JW_NEAR_ABS(sum, 1, 1e-12);
	cr_expect(others == 1);
	cr_expect(jw_report_hypotheses(report) == jw_report_findings(report) + 1);
	last = 1;
	for (int i = 0; i < jw_report_findings(report); i++) {
		cr_expect(jw_report_finding(report, i)->probability <= last);
		last = jw_report_finding(report, i)->probability;
		check_finding(jw_report_finding(report, i), known);
	}
	cr_expect(jw_report_finding(report, -1) == NULL);
	cr_expect(jw_report_finding(report, jw_report_findings(report)) == NULL);
	cr_expect(jw_report_hypothesis(report, -1) == NULL);
	cr_expect(jw_report_hypothesis(report, jw_report_hypotheses(report)) == NULL);
}

/* Every word of the vocabulary, by itself and all together. */
Test(report, any_evidence)
{
	jw_setup setup = scooter();
	jw_case all = flat_case();
	for (int i = 0; i < jw_evidence_kind_count(); i++) {
		jw_case one = flat_case();
		const char *id = jw_evidence_kind_at(i)->id;
		see_value(&one, id, (jw_range)(i % JW_RANGE_COUNT), 1.07, 0);
		see_value(&all, id, (jw_range)(i % JW_RANGE_COUNT), 1.07, 0);
		jw_report *report = explained(&setup, &one);
		check_report(report, &one);
		jw_report_free(report);
	}
	jw_report *report = explained(&setup, &all);
	check_report(report, &all);
	jw_report_free(report);
}

static double drawn(unsigned *state)
{
	*state = *state * 1664525u + 1013904223u;
	return *state / 4294967296.0;
}

/* Set-ups that the check accepts, up to a third off in every bore, and with parts left out: never a failure. */
Test(report, any_setup)
{
	jw_setup scooter_setup = scooter();
	unsigned state = 20250611;
	int tried = 0;
	for (int n = 0; n < 60 && tried < 12; n++) {
		jw_setup s = scooter_setup;
		jw_carburetor *c = &s.carburetor;
		double *const bores[] = {&c->main.fuel_jet.diameter_m,
		                         &c->main.air_jet.diameter_m,
		                         &c->pilot.fuel_jet.diameter_m,
		                         &c->pilot.air_jet.diameter_m,
		                         &c->throat.bore_m,
		                         &c->plate.bore_m,
		                         &c->screw.turns,
		                         &c->intake.loss_pa,
		                         &s.leak_m,
		                         &c->enrichener_outlet_m,
		                         &c->main.outlet_height_m,
		                         &c->needle.straight_length_m};
		for (size_t k = 0; k < sizeof bores / sizeof *bores; k++)
			*bores[k] *= drawn(&state) < 0.08 ? 0 : 0.67 + 0.66 * drawn(&state);
		s.uncertainty = (jw_coefficients){drawn(&state), 0.2 * drawn(&state), 0.1, 0};
		if (drawn(&state) < 0.3) {
			c->ports = 0;
			c->port[0] = (jw_port){0, 0};
		}
		if (jw_setup_check(&s, NULL) < 0)
			continue;
		tried++;
		jw_case known = flat_case();
		see(&known, "hunts", JW_IDLE);
		see(&known, "flat", JW_FULL);
		jw_report *report = explained(&s, &known);
		check_report(report, &known);
		jw_report_free(report);
	}
	cr_expect(tried == 12, "only %d set-ups were accepted", tried);
}

Test(report, order_of_evidence_is_no_matter)
{
	jw_setup setup = scooter();
	jw_case forth = flat_case(), back = flat_case();
	see(&forth, "hunts", JW_IDLE);
	see(&forth, "stumbles", JW_OFF_IDLE);
	see(&forth, "runs_well", JW_FULL);
	see(&back, "runs_well", JW_FULL);
	see(&back, "stumbles", JW_OFF_IDLE);
	see(&back, "hunts", JW_IDLE);
	jw_report *a = explained(&setup, &forth), *b = explained(&setup, &back);
	for (int i = 0; i < jw_report_findings(a); i++)
		JW_NEAR_ABS(jw_report_finding(a, i)->probability, probability_of(b, cause_of(a, i)), 1e-12);
	jw_report_free(a);
	jw_report_free(b);
}

/* A part that the engine does not have is not blamed. */
Test(report, parts_that_are_not_there)
{
	jw_setup setup = scooter();
	setup.carburetor.enrichener_outlet_m = 0;
	jw_case known = flat_case();
	see(&known, "hunts", JW_IDLE);
	jw_report *report = explained(&setup, &known);
	cr_expect(place_of(report, "enrichener_stuck_on") == -1);
	cr_expect(jw_report_findings(report) == jw_cause_count() - 1);
	jw_report_free(report);
}

Test(report, refuses)
{
	jw_setup setup = scooter(), bad = setup;
	bad.carburetor.throat.bore_m = -1;
	jw_case good = flat_case(), none = flat_case(), kind, range, value, months;
	see(&good, "hunts", JW_IDLE);
	kind = range = value = months = good;
	kind.evidence[0].kind = jw_evidence_kind_count();
	range.evidence[0].range = JW_RANGE_COUNT;
	value.evidences = 0;
	see_value(&value, "lambda", JW_HALF, 14.7, 0);
	months.history.months_standing = NAN;
	const struct {
		const jw_setup *setup;
		const jw_case *known;
		jw_status status;
		const char *field;
	} rows[] = {
	    {&setup, &none, JW_E_ARGUMENT, "evidences"},
	    {&setup, &kind, JW_E_ARGUMENT, "evidence.kind"},
	    {&setup, &range, JW_E_ARGUMENT, "evidence.range"},
	    {&setup, &value, JW_E_RANGE, "evidence.value"},
	    {&setup, &months, JW_E_NOT_FINITE, "history.months_standing"},
	    {&bad, &good, JW_E_RANGE, "carburetor.throat.bore_m"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_report *report = NULL;
		jw_error error = {0};
		jw_status status = jw_explain(rows[i].setup, rows[i].known, &report, &error);
		cr_expect(status == rows[i].status, "row %zu: %s", i, jw_status_name(status));
		cr_assert(error.field != NULL, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field);
		cr_expect(report == NULL);
	}
	jw_report_free(NULL);
}
