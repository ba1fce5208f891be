/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/finding.h"
#include "base/base.h"

/* How far a finding must move a likelihood from that on a sound engine to speak for or against it. */
static const double telling_ratio = 1.5;
/* Change of phi below which there is nothing to hide. */
static const double least_change = 0.01;

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

static void tell_evidence(const jw_beliefs *b, const jw_candidate *it, jw_finding *finding)
{
	for (int i = 0; i < b->inquiry.evidences; i++) {
		int fact = b->inquiry.fact_of[i];
		double now = fact < 0 ? 1 : it->told.each[fact], before = fact < 0 ? 1 : b->before[fact];
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

jw_status jw_tell_finding(const jw_beliefs *b, int candidate, jw_finding *finding, jw_error *error)
{
	const jw_candidate *it = &b->candidate[candidate];
	jw_setup faulty[ENDS];
	double phi[JW_RANGE_COUNT], base_phi[JW_RANGE_COUNT];
	*finding = (jw_finding){.cause = it->cause, .probability = jw_marginal(b, candidate)};
	jw_status status = tell_severity(&b->inquiry, it, faulty, finding, error);
	if (status < 0)
		return status;
	tell_mixture(&b->inquiry, it, &faulty[MEDIAN], finding, phi, base_phi);
	tell_evidence(b, it, finding);
	tell_mask(&b->inquiry, it, &faulty[MEDIAN], phi, base_phi, finding);
	return JW_OK;
}
