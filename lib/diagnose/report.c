/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"
#include "diagnose/posterior.h"
#include <stdlib.h>

/* Of the normal distribution, both sides together 90 %. */
#define NORMAL_90 1.6448536269514722

/* How far a finding must move a likelihood from that on a sound engine to speak for or against it. */
static const double telling_ratio = 1.5;
/* Change of phi below which there is nothing to hide. */
static const double least_change = 0.01;

struct jw_report {
	int findings, hypotheses;
	jw_finding *finding;
	jw_hypothesis *hypothesis; /* one more than findings: `other` */
};

typedef struct candidate {
	int cause;
	double probability;
	jw_weight weight;
} candidate;

/* Everything on the heap while a case is worked. */
typedef struct work {
	jw_inquiry inquiry;
	double before[JW_EVIDENCE_MAX];
	int candidates;
	candidate candidate[];
} work;

static jw_status check_evidence(const jw_evidence *seen, jw_error *error)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	if (!row)
		return jw_fail(error, JW_E_ARGUMENT, "evidence.kind", seen->kind, 0, jw_evidence_kind_count() - 1);
	if ((unsigned)seen->range >= JW_RANGE_COUNT)
		return jw_fail(error, JW_E_ARGUMENT, "evidence.range", (double)seen->range, 0, JW_RANGE_COUNT - 1);
	if (!row->kind.takes_value)
		return JW_OK;
	jw_status status = jw_check_range("evidence.value", seen->value, 0.3, 3, error);
	return status < 0 ? status : jw_check_range("evidence.uncertainty", seen->uncertainty, 0, 1, error);
}

static jw_status check_case(const jw_setup *healthy, const jw_case *known, jw_error *error)
{
	if (known->evidences < 1 || known->evidences > JW_EVIDENCE_MAX)
		return jw_fail(error, JW_E_ARGUMENT, "evidences", known->evidences, 1, JW_EVIDENCE_MAX);
	jw_status status = JW_OK;
	for (int i = 0; i < known->evidences && status == JW_OK; i++)
		status = check_evidence(&known->evidence[i], error);
	if (status == JW_OK && !isfinite(known->history.months_standing))
		status = jw_fail(error, JW_E_NOT_FINITE, "history.months_standing", known->history.months_standing, 0, 1200);
	return status < 0 ? status : jw_setup_check(healthy, error);
}

/* Probability of each candidate; what remains is that of `other`. */
static double weigh_candidates(const jw_case *known, work *w)
{
	double other = jw_other_odds(&known->history);
	for (int i = 0; i < known->evidences; i++)
		other *= w->inquiry.repeats[i] ? 1 : jw_likelihood_other(&w->inquiry.evidence[i]);
	double sum = other;
	for (int c = 0; c < jw_cause_count(); c++) {
		const jw_cause_row *row = jw_cause_row_at(c);
		if (!jw_cause_possible(w->inquiry.healthy, row))
			continue;
		candidate *it = &w->candidate[w->candidates++];
		jw_prior prior;
		jw_cause_prior(w->inquiry.healthy, w->inquiry.air, &known->history, row, &prior);
		it->cause = c;
		jw_weigh(&w->inquiry, c, prior.density, &it->weight);
		it->probability = prior.odds * it->weight.likelihood;
		sum += it->probability;
	}
	for (int i = 0; i < w->candidates; i++)
		w->candidate[i].probability /= sum;
	return other / sum;
}

/* Greater probability first; the table's order where equal, so that results do not depend on the sort. */
static int by_probability(const void *left, const void *right)
{
	const candidate *a = left, *b = right;
	if (a->probability != b->probability)
		return a->probability < b->probability ? 1 : -1;
	return a->cause - b->cause;
}

static void order(jw_interval *interval)
{
	double low = fmin(interval->low_90, interval->high_90), high = fmax(interval->low_90, interval->high_90);
	interval->low_90 = fmin(low, interval->value);
	interval->high_90 = fmax(high, interval->value);
}

/* Value, low and high of an interval of severity, as rows to loop over. */
enum { MEDIAN, LOW, HIGH, ENDS };

static void spread(const double *end, jw_interval *interval)
{
	*interval = (jw_interval){end[MEDIAN], end[LOW], end[HIGH]};
	order(interval);
}

static double inverse(double phi)
{
	return phi > 0 ? 1 / phi : 0;
}

/* Severity and shared coefficients add as independent (JCGM 100); no fuel at the lean end leaves it 0. */
static jw_interval lambda_interval(const double *phi, double uncertainty)
{
	if (!(phi[MEDIAN] > 0))
		return (jw_interval){0, 0, 0};
	double rich = fmax(phi[LOW], phi[HIGH]), lean = fmin(phi[LOW], phi[HIGH]);
	double shared = NORMAL_90 * uncertainty;
	double below = hypot(log(fmax(rich / phi[MEDIAN], 1)), shared);
	jw_interval lambda = {1 / phi[MEDIAN], exp(-below) / phi[MEDIAN], 0};
	if (lean > 0)
		lambda.high_90 = exp(hypot(log(fmax(phi[MEDIAN] / lean, 1)), shared)) / phi[MEDIAN];
	return lambda;
}

static void tell_mixture(const jw_inquiry *q, const jw_setup *faulty, jw_finding *finding, double *median_phi)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double phi[ENDS];
		for (int k = 0; k < ENDS; k++) {
			jw_mixture mixture = {0};
			jw_mixture_at(&faulty[k], q->air, &faulty[k].range[r], &mixture, NULL);
			phi[k] = mixture.phi;
		}
		finding->lambda_now[r] = lambda_interval(phi, jw_shared_uncertainty(q, (jw_range)r));
		finding->lambda_after[r] = inverse(q->sound_phi[r]);
		median_phi[r] = phi[MEDIAN];
	}
}

static void tell_evidence(const work *w, const candidate *it, jw_finding *finding)
{
	for (int i = 0; i < w->inquiry.evidences; i++) {
		double now = it->weight.each[i], before = w->before[i];
		int explains = now > telling_ratio * before ? 1 : now * telling_ratio < before ? -1 : 0;
		finding->explained[i] = (jw_explained){i, now, before, explains};
	}
}

/* Range, of those that the evidence speaks of, where the finding moves the mixture most; -1 where it hardly does. */
static int complaint_range(const jw_inquiry *q, const double *phi)
{
	int range = -1;
	double most = least_change;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double moved = q->sound_phi[r] > 0 ? fabs(phi[r] / q->sound_phi[r] - 1) : 0;
		if (q->needs[r] && moved > most) {
			most = moved;
			range = r;
		}
	}
	return range;
}

/* The exchange that brings phi back with the fault still there, and what it does once the fault is gone. */
static void tell_mask(const jw_inquiry *q, const jw_cause_row *row, const jw_setup *faulty, const double *phi,
                      jw_finding *finding)
{
	int range = row->masked ? complaint_range(q, phi) : -1;
	double acting;
	if (range < 0 ||
	    jw_part_for_phi(faulty, q->air, &faulty->range[range], row->mask, q->sound_phi[range], &acting, NULL) < 0)
		return;
	/* A part that is blocked itself must be larger by the share that it loses. */
	double clean = jw_part_value(q->healthy, row->mask), left = jw_part_value(faulty, row->mask);
	double nominal = clean != left && left > 0 ? acting * clean / left : acting;
	jw_setup after = *q->healthy;
	jw_mixture mixture;
	if (jw_part_set(&after, row->mask, nominal, NULL) < 0 ||
	    jw_mixture_at(&after, q->air, &after.range[range], &mixture, NULL) < 0)
		return;
	finding->has_mask = 1;
	finding->mask_part = row->mask;
	finding->mask_value = nominal;
	finding->mask_range = (jw_range)range;
	finding->mask_lambda_after = inverse(mixture.phi);
}

static jw_status tell_severity(const jw_inquiry *q, const candidate *it, const jw_cause_row *row, jw_setup *faulty,
                               jw_finding *finding, jw_error *error)
{
	static const double share[ENDS] = {0.5, 0.05, 0.95};
	double severity[ENDS], effect[ENDS], bore[ENDS] = {0}, drop_pa;
	jw_status status = jw_cause_drop(q->healthy, q->air, it->cause, &drop_pa, error);
	for (int k = 0; k < ENDS && status >= 0; k++) {
		severity[k] = jw_severity_quantile(it->weight.severity, share[k]);
		status = jw_cause_apply(q->healthy, it->cause, severity[k], &faulty[k], error);
		if (status >= 0)
			status = jw_cause_effect_at(q->healthy, q->air, it->cause, severity[k], drop_pa, &effect[k], error);
		if (status < 0)
			break;
		if (row->operation == JW_BY_AREA && (row->effect == JW_EFFECT_FLOW || row->effect == JW_EFFECT_KEPT))
			bore[k] = jw_cause_element(&faulty[k], row);
	}
	if (status < 0)
		return status;
	spread(severity, &finding->severity);
	spread(effect, &finding->effect);
	spread(bore, &finding->bore);
	if (row->effect == JW_EFFECT_FIT)
		finding->fit_value = effect[MEDIAN] * row->unit;
	return JW_OK;
}

static jw_status tell(const work *w, const candidate *it, jw_finding *finding, jw_error *error)
{
	const jw_cause_row *row = jw_cause_row_at(it->cause);
	jw_setup faulty[ENDS];
	double phi[JW_RANGE_COUNT];
	*finding = (jw_finding){.cause = it->cause, .probability = it->probability};
	jw_status status = tell_severity(&w->inquiry, it, row, faulty, finding, error);
	if (status < 0)
		return status;
	tell_mixture(&w->inquiry, faulty, finding, phi);
	tell_evidence(w, it, finding);
	tell_mask(&w->inquiry, row, &faulty[MEDIAN], phi, finding);
	return JW_OK;
}

static jw_report *new_report(int findings)
{
	jw_report *report = malloc(sizeof *report);
	if (!report)
		return NULL;
	*report = (jw_report){.findings = findings, .hypotheses = findings + 1};
	report->finding = calloc((size_t)findings + 1, sizeof *report->finding);
	report->hypothesis = calloc((size_t)findings + 1, sizeof *report->hypothesis);
	if (!report->finding || !report->hypothesis) {
		jw_report_free(report);
		return NULL;
	}
	return report;
}

/* `other` takes its place by probability among the causes. */
static void list_hypotheses(const work *w, double other, jw_report *report)
{
	int n = 0, placed = 0;
	for (int i = 0; i < w->candidates; i++) {
		if (!placed && other > w->candidate[i].probability) {
			report->hypothesis[n++] = (jw_hypothesis){{-1, -1}, other};
			placed = 1;
		}
		report->hypothesis[n++] = (jw_hypothesis){{w->candidate[i].cause, -1}, w->candidate[i].probability};
	}
	if (!placed)
		report->hypothesis[n] = (jw_hypothesis){{-1, -1}, other};
}

static jw_status compose(const work *w, double other, jw_report **result, jw_error *error)
{
	jw_report *report = new_report(w->candidates);
	if (!report)
		return jw_fail(error, JW_E_MEMORY, "report", 0, 0, 0);
	jw_status status = JW_OK;
	for (int i = 0; i < w->candidates && status >= 0; i++)
		status = tell(w, &w->candidate[i], &report->finding[i], error);
	if (status < 0) {
		jw_report_free(report);
		return status;
	}
	list_hypotheses(w, other, report);
	*result = report;
	return status;
}

static jw_status explain(const jw_setup *healthy, const jw_case *known, work *w, jw_report **report, jw_error *error)
{
	jw_status status = jw_inquiry_open(healthy, known, &w->inquiry, error);
	if (status < 0)
		return status;
	status = jw_both(status, jw_weigh_sound(&w->inquiry, w->before, error));
	if (status < 0)
		return status;
	double other = weigh_candidates(known, w);
	qsort(w->candidate, (size_t)w->candidates, sizeof *w->candidate, by_probability);
	return jw_both(status, compose(w, other, report, error));
}

jw_status jw_explain(const jw_setup *healthy, const jw_case *known, jw_report **report, jw_error *error)
{
	jw_status status = check_case(healthy, known, error);
	if (status < 0)
		return status;
	work *w = calloc(1, sizeof *w + (size_t)jw_cause_count() * sizeof *w->candidate);
	if (!w)
		return jw_fail(error, JW_E_MEMORY, "report", 0, 0, 0);
	status = explain(healthy, known, w, report, error);
	free(w);
	return status;
}

void jw_report_free(jw_report *report)
{
	if (!report)
		return;
	free(report->finding);
	free(report->hypothesis);
	free(report);
}

int jw_report_findings(const jw_report *report)
{
	return report->findings;
}

const jw_finding *jw_report_finding(const jw_report *report, int index)
{
	return index >= 0 && index < report->findings ? &report->finding[index] : NULL;
}

int jw_report_hypotheses(const jw_report *report)
{
	return report->hypotheses;
}

const jw_hypothesis *jw_report_hypothesis(const jw_report *report, int index)
{
	return index >= 0 && index < report->hypotheses ? &report->hypothesis[index] : NULL;
}
