/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"
#include "diagnose/actions.h"
#include <stdlib.h>

/* How far a finding must move a likelihood from that on a sound engine to speak for or against it. */
static const double telling_ratio = 1.5;
/* Change of phi below which there is nothing to hide. */
static const double least_change = 0.01;

struct jw_report {
	int findings, hypotheses;
	jw_finding *finding;
	jw_hypothesis *hypothesis; /* findings, pairs, `sound` and `other` */
	double need[JW_NEED_COUNT];
	int conflicts;
	jw_conflict conflict[JW_EVIDENCE_MAX];
	int actions;
	jw_action action[JW_ACTIONS_MOST];
};

/* Everything on the heap while a case is worked. */
typedef struct work {
	jw_inquiry inquiry;
	jw_scene scene;                 /* of the engine without a cause */
	double before[JW_EVIDENCE_MAX]; /* each fact by itself on the engine as it ran right */
	double sound, other;            /* probabilities */
	jw_pair pair[JW_PAIRS];
	int pairs;
	int candidates;
	jw_candidate candidate[JW_CAUSES_MOST];
} work;

static jw_status check_evidence(const jw_evidence *seen, jw_error *error)
{
	const jw_evidence_row *row = jw_evidence_row_at(seen->kind);
	if (!row)
		return jw_fail(error, JW_E_ARGUMENT, "evidence.kind", seen->kind, 0, jw_evidence_kind_count() - 1);
	if (row->kind.takes_range && (unsigned)seen->range >= JW_RANGE_COUNT)
		return jw_fail(error, JW_E_ARGUMENT, "evidence.range", (double)seen->range, 0, JW_RANGE_COUNT - 1);
	if ((unsigned)seen->answer >= JW_ANSWER_COUNT || (row->kind.takes_value && seen->answer == JW_NO))
		return jw_fail(error, JW_E_ARGUMENT, "evidence.answer", (double)seen->answer, 0, JW_ANSWER_COUNT - 1);
	if (!row->kind.takes_value || seen->answer == JW_UNKNOWN)
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

/* \param present scene of the engine as it stands */
static void weigh_candidate(const jw_inquiry *q, const jw_cause_row *row, const jw_scene *present, jw_candidate *it)
{
	jw_prior prior;
	jw_cause_prior(&q->background, row, &prior, &it->base);
	if (jw_cause_meters(it->cause))
		jw_scene_of_cause(q, &it->base, it->cause, prior.density, &it->scene);
	else
		it->scene = *present;
	jw_scene_tell(q, it->cause, &it->scene);
	jw_weigh(q, &it->scene, &it->told);
	it->odds = prior.odds;
	it->weight = prior.odds * it->told.likelihood;
}

/* Whether any trouble is told of, or anything good denied; a reading is no complaint. */
static int complaints(const jw_inquiry *q)
{
	for (int f = 0; f < q->facts; f++) {
		const jw_evidence_row *row = jw_evidence_row_at(q->fact[f].kind);
		if (!row->kind.takes_value && row->good == (q->fact[f].answer == JW_NO))
			return 1;
	}
	return 0;
}

static jw_status weigh_sound(work *w, jw_error *error)
{
	const jw_inquiry *q = &w->inquiry;
	jw_weight *weight = malloc(sizeof *weight);
	if (!weight)
		return jw_fail(error, JW_E_MEMORY, "report", 0, 0, 0);
	jw_status status = jw_scene_of_setup(q, q->background.healthy, &w->scene, error);
	if (status >= 0) {
		jw_predict(q, &w->scene, w->before);
		status = jw_both(status, jw_scene_of_setup(q, &q->background.present, &w->scene, error));
	}
	if (status >= 0) {
		jw_weigh(q, &w->scene, weight);
		w->sound = jw_sound_odds(&q->background, complaints(q)) * weight->likelihood;
	}
	free(weight);
	return status;
}

static double weigh_other(const jw_inquiry *q)
{
	double other = jw_other_odds(q->background.history);
	for (int f = 0; f < q->facts; f++)
		other *= jw_likelihood_other(&q->fact[f]);
	return other;
}

/* Weights to probabilities, of all hypotheses together 1. */
static void normalise(work *w)
{
	double sum = w->other + w->sound;
	for (int i = 0; i < w->candidates; i++)
		sum += w->candidate[i].weight;
	for (int i = 0; i < w->pairs; i++)
		sum += w->pair[i].weight;
	for (int i = 0; i < w->candidates; i++)
		w->candidate[i].weight /= sum;
	for (int i = 0; i < w->pairs; i++)
		w->pair[i].weight /= sum;
	w->sound /= sum;
	w->other /= sum;
}

static jw_status weigh_all(work *w, jw_error *error)
{
	jw_status status = weigh_sound(w, error);
	if (status < 0)
		return status;
	w->other = weigh_other(&w->inquiry);
	for (int c = 0; c < jw_cause_count(); c++) {
		const jw_cause_row *row = jw_cause_row_at(c);
		if (!jw_cause_possible(w->inquiry.background.healthy, row))
			continue;
		jw_candidate *it = &w->candidate[w->candidates++];
		it->cause = c;
		weigh_candidate(&w->inquiry, row, &w->scene, it);
	}
	w->pairs = jw_weigh_pairs(&w->inquiry, &w->scene, w->candidate, w->candidates, w->pair);
	normalise(w);
	return status;
}

/* Of a cause, alone or beside another. */
static double marginal(const work *w, int candidate)
{
	double sum = w->candidate[candidate].weight;
	for (int i = 0; i < w->pairs; i++)
		if (w->pair[i].member[0] == candidate || w->pair[i].member[1] == candidate)
			sum += w->pair[i].weight;
	return sum;
}

/* Greater probability first; the table's order where equal, so that results do not depend on the sort. */
static int by_probability(const void *left, const void *right)
{
	const jw_finding *a = left, *b = right;
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

static void tell_mixture(const jw_inquiry *q, const jw_candidate *it, const jw_setup *faulty, jw_finding *finding,
                         double *phi, double *base_phi)
{
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		jw_mixture now = {0}, base = {0};
		jw_mixture_at(faulty, q->background.air, &faulty->range[r], &now, NULL);
		jw_mixture_at(&it->base, q->background.air, &it->base.range[r], &base, NULL);
		phi[r] = now.phi;
		base_phi[r] = base.phi;
		finding->lambda_now[r] = jw_lambda_interval(it->told.lambda[r]);
		finding->lambda_after[r] = inverse(base.phi);
	}
}

static void tell_evidence(const work *w, const jw_candidate *it, jw_finding *finding)
{
	for (int i = 0; i < w->inquiry.evidences; i++) {
		int fact = w->inquiry.fact_of[i];
		double now = fact < 0 ? 1 : it->told.each[fact], before = fact < 0 ? 1 : w->before[fact];
		int explains = now > telling_ratio * before ? 1 : now * telling_ratio < before ? -1 : 0;
		finding->explained[i] = (jw_explained){i, now, before, explains};
	}
}

/* Range, of those that the evidence speaks of, where the finding moves the mixture most; -1 where it hardly does. */
static int complaint_range(const jw_inquiry *q, const double *phi, const double *base_phi)
{
	int range = -1;
	double most = least_change;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double moved = base_phi[r] > 0 ? fabs(phi[r] / base_phi[r] - 1) : 0;
		if (q->needs[r] && moved > most) {
			most = moved;
			range = r;
		}
	}
	return range;
}

/* The exchange that brings phi back with the fault still there, and what it does once the fault is gone. */
static int try_mask(const jw_inquiry *q, const jw_candidate *it, const jw_setup *faulty, jw_part part, jw_range range,
                    double phi, jw_finding *finding)
{
	const jw_cause_row *row = jw_cause_row_at(it->cause);
	const jw_air *air = q->background.air;
	double acting;
	if (jw_part_for_phi(faulty, air, &faulty->range[range], part, phi, &acting, NULL) < 0)
		return 0;
	/* A faulty part comes out with its fault; to hide it, the new one would have to be as faulty, and larger for it. */
	int fouled = row->exchangeable && row->part == part;
	double clean = jw_part_value(&it->base, part), left = jw_part_value(faulty, part);
	double nominal = fouled && left > 0 ? acting * clean / left : acting;
	jw_setup after = it->base;
	jw_mixture mixture;
	if (jw_part_set(&after, part, nominal, NULL) < 0 ||
	    jw_mixture_at(&after, air, &after.range[range], &mixture, NULL) < 0)
		return 0;
	finding->has_mask = 1;
	finding->mask_part = part;
	finding->mask_fouled = fouled;
	finding->mask_value = nominal;
	finding->mask_range = range;
	finding->mask_lambda_after = inverse(mixture.phi);
	return 1;
}

static void tell_mask(const jw_inquiry *q, const jw_candidate *it, const jw_setup *faulty, const double *phi,
                      const double *base_phi, jw_finding *finding)
{
	const jw_cause_row *row = jw_cause_row_at(it->cause);
	int range = complaint_range(q, phi, base_phi), found = 0;
	for (int i = 0; i < row->masks && range >= 0 && !found; i++)
		found = try_mask(q, it, faulty, row->mask[i], (jw_range)range, base_phi[range], finding);
}

static jw_status tell_severity(const jw_inquiry *q, const jw_candidate *it, jw_setup *faulty, jw_finding *finding,
                               jw_error *error)
{
	static const double share[ENDS] = {0.5, 0.05, 0.95};
	const jw_cause_row *row = jw_cause_row_at(it->cause);
	const jw_air *air = q->background.air;
	double severity[ENDS], effect[ENDS], bore[ENDS] = {0}, drop_pa;
	double present = jw_cause_element(&q->background.present, row);
	for (int k = 0; k < ENDS; k++)
		faulty[k] = it->base;
	if (!jw_cause_meters(it->cause))
		return JW_OK;
	jw_status status = jw_cause_drop(&it->base, air, it->cause, &drop_pa, error);
	for (int k = 0; k < ENDS && status >= 0; k++) {
		severity[k] = jw_severity_quantile(it->told.severity, share[k]);
		status = jw_cause_apply(&it->base, it->cause, severity[k], &faulty[k], error);
		if (status >= 0)
			status = jw_cause_effect_at(&it->base, air, it->cause, severity[k], drop_pa, present, &effect[k], error);
		if (status < 0)
			break;
		if (row->step.operation == JW_BY_AREA && (row->effect == JW_EFFECT_FLOW || row->effect == JW_EFFECT_AREA))
			bore[k] = jw_cause_element(&faulty[k], row);
	}
	if (status < 0)
		return status;
	spread(severity, &finding->severity);
	spread(effect, &finding->effect);
	spread(bore, &finding->bore);
	if (row->effect == JW_EFFECT_FIT)
		finding->fit_value = effect[MEDIAN] * jw_cause_effect_words(it->cause)->si;
	return JW_OK;
}

static jw_status tell(const work *w, int candidate, jw_finding *finding, jw_error *error)
{
	const jw_candidate *it = &w->candidate[candidate];
	jw_setup faulty[ENDS];
	double phi[JW_RANGE_COUNT], base_phi[JW_RANGE_COUNT];
	*finding = (jw_finding){.cause = it->cause, .probability = marginal(w, candidate)};
	jw_status status = tell_severity(&w->inquiry, it, faulty, finding, error);
	if (status < 0)
		return status;
	tell_mixture(&w->inquiry, it, &faulty[MEDIAN], finding, phi, base_phi);
	tell_evidence(w, it, finding);
	tell_mask(&w->inquiry, it, &faulty[MEDIAN], phi, base_phi, finding);
	return JW_OK;
}

static jw_report *new_report(int findings, int pairs)
{
	jw_report *report = malloc(sizeof *report);
	if (!report)
		return NULL;
	*report = (jw_report){.findings = findings, .hypotheses = findings + pairs + 2};
	report->finding = calloc((size_t)findings + 1, sizeof *report->finding);
	report->hypothesis = calloc((size_t)report->hypotheses, sizeof *report->hypothesis);
	if (!report->finding || !report->hypothesis) {
		jw_report_free(report);
		return NULL;
	}
	return report;
}

static int by_hypothesis(const void *left, const void *right)
{
	const jw_hypothesis *a = left, *b = right;
	if (a->probability != b->probability)
		return a->probability < b->probability ? 1 : -1;
	if (a->kind != b->kind)
		return (int)a->kind - (int)b->kind;
	return a->cause[0] != b->cause[0] ? a->cause[0] - b->cause[0] : a->cause[1] - b->cause[1];
}

static void list_hypotheses(const work *w, jw_report *report)
{
	jw_hypothesis *h = report->hypothesis;
	for (int i = 0; i < w->candidates; i++)
		*h++ = (jw_hypothesis){JW_HYPOTHESIS_CAUSES, {w->candidate[i].cause, -1}, w->candidate[i].weight};
	for (int i = 0; i < w->pairs; i++) {
		const jw_pair *pair = &w->pair[i];
		*h++ = (jw_hypothesis){JW_HYPOTHESIS_CAUSES,
		                       {w->candidate[pair->member[0]].cause, w->candidate[pair->member[1]].cause},
		                       pair->weight};
	}
	*h++ = (jw_hypothesis){JW_HYPOTHESIS_SOUND, {-1, -1}, w->sound};
	*h = (jw_hypothesis){JW_HYPOTHESIS_OTHER, {-1, -1}, w->other};
	qsort(report->hypothesis, (size_t)report->hypotheses, sizeof *report->hypothesis, by_hypothesis);
}

static void list_needs(const work *w, jw_report *report)
{
	for (int i = 0; i < w->candidates; i++)
		report->need[jw_cause_need(w->candidate[i].cause)] += marginal(w, i);
}

static int clashes(const jw_evidence *a, const jw_evidence *b)
{
	if (a->range != b->range || a->answer == JW_UNKNOWN || b->answer == JW_UNKNOWN)
		return 0;
	if (a->kind == b->kind)
		return a->answer != b->answer;
	const char *not_a = jw_evidence_row_at(a->kind)->opposite, *not_b = jw_evidence_row_at(b->kind)->opposite;
	int opposite =
	    (not_a && jw_evidence_kind_find(not_a) == b->kind) || (not_b && jw_evidence_kind_find(not_b) == a->kind);
	return opposite && a->answer == JW_YES && b->answer == JW_YES;
}

static void list_conflicts(const jw_case *known, jw_report *report)
{
	for (int i = 0; i < known->evidences; i++)
		for (int j = 0; j < i; j++) {
			jw_evidence a = jw_evidence_read(&known->evidence[j]), b = jw_evidence_read(&known->evidence[i]);
			if (clashes(&a, &b) && report->conflicts < JW_EVIDENCE_MAX)
				report->conflict[report->conflicts++] = (jw_conflict){{j, i}};
		}
}

static void list_actions(const work *w, const jw_case *known, jw_report *report)
{
	const jw_beliefs beliefs = {&w->inquiry, &w->scene, w->candidate, w->candidates,
	                            w->pair,     w->pairs,  w->sound,     w->other};
	report->actions = jw_weigh_actions(&beliefs, known, report->action);
}

static jw_status compose(const work *w, const jw_case *known, jw_report **result, jw_error *error)
{
	jw_report *report = new_report(w->candidates, w->pairs);
	if (!report)
		return jw_fail(error, JW_E_MEMORY, "report", 0, 0, 0);
	jw_status status = JW_OK;
	for (int i = 0; i < w->candidates && status >= 0; i++)
		status = tell(w, i, &report->finding[i], error);
	if (status < 0) {
		jw_report_free(report);
		return status;
	}
	qsort(report->finding, (size_t)report->findings, sizeof *report->finding, by_probability);
	list_hypotheses(w, report);
	list_needs(w, report);
	list_conflicts(known, report);
	list_actions(w, known, report);
	*result = report;
	return status;
}

static jw_status explain(const jw_setup *healthy, const jw_case *known, work *w, jw_report **report, jw_error *error)
{
	jw_status status = jw_inquiry_open(healthy, known, &w->inquiry, error);
	if (status >= 0)
		status = jw_both(status, weigh_all(w, error));
	if (status < 0)
		return status;
	return jw_both(status, compose(w, known, report, error));
}

jw_status jw_explain(const jw_setup *healthy, const jw_case *known, jw_report **report, jw_error *error)
{
	jw_status status = check_case(healthy, known, error);
	if (status < 0)
		return status;
	work *w = calloc(1, sizeof *w);
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

double jw_report_need(const jw_report *report, jw_need need)
{
	return (unsigned)need < JW_NEED_COUNT ? report->need[need] : 0;
}

int jw_report_conflicts(const jw_report *report)
{
	return report->conflicts;
}

const jw_conflict *jw_report_conflict(const jw_report *report, int index)
{
	return index >= 0 && index < report->conflicts ? &report->conflict[index] : NULL;
}

int jw_report_actions(const jw_report *report)
{
	return report->actions;
}

const jw_action *jw_report_action(const jw_report *report, int index)
{
	return index >= 0 && index < report->actions ? &report->action[index] : NULL;
}
