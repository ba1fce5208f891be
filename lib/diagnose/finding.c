/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/finding.h"
#include "base/base.h"

static double inverse(double phi)
{
	return phi > 0 ? 1 / phi : 0;
}

/* Phi of each range with the fault, and once it is mended. */
typedef struct phis {
	double now[JW_RANGE_COUNT], mended[JW_RANGE_COUNT];
} phis;

/* 0 where the model cannot be solved. */
static double phi_of(const jw_inquiry *q, const jw_setup *setup, int range)
{
	jw_mixture mixture = {0};
	jw_mixture_at(setup, q->background.air, &setup->range[range], &mixture, NULL);
	return mixture.phi;
}

static phis tell_mixture(const jw_inquiry *q, const jw_candidate *it, const jw_setup *faulty, jw_finding *finding)
{
	phis phi;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		phi.now[r] = phi_of(q, faulty, r);
		phi.mended[r] = phi_of(q, &it->base, r);
		finding->lambda_now[r] = jw_lambda_interval(it->told.lambda[r]);
		finding->lambda_after[r] = inverse(phi.mended[r]);
	}
	return phi;
}

static void tell_evidence(const jw_beliefs *b, const jw_candidate *it, jw_finding *finding)
{
	for (int i = 0; i < b->inquiry.evidences; i++) {
		int fact = b->inquiry.fact_of[i];
		double now = fact < 0 ? 1 : it->told.each[fact], before = fact < 0 ? 1 : b->before[fact];
		int explains = now > JW_TELLING_RATIO * before ? 1 : now * JW_TELLING_RATIO < before ? -1 : 0;
		finding->explained[i] = (jw_explained){i, now, before, explains};
	}
}

/* Range, of those that the evidence speaks of, where the finding moves the mixture most; -1 where it hardly does. */
static int complaint_range(const jw_inquiry *q, const phis *phi)
{
	int range = -1;
	double most = JW_LEAST_CHANGE;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double moved = phi->mended[r] > 0 ? fabs(phi->now[r] / phi->mended[r] - 1) : 0;
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

static void tell_mask(const jw_inquiry *q, const jw_candidate *it, const jw_setup *faulty, const phis *phi,
                      jw_finding *finding)
{
	const jw_cause_row *row = jw_cause_row_at(it->cause);
	int range = complaint_range(q, phi), found = 0;
	for (int i = 0; i < row->masks && range >= 0 && !found; i++)
		found = try_mask(q, it, faulty, row->mask[i], (jw_range)range, phi->mended[range], finding);
}

/* The cause at one severity. */
typedef struct extent {
	double severity, effect, bore;
	jw_setup faulty;
} extent;

/* \param driven the jet of the sound engine */
static jw_status reach(const jw_inquiry *q, const jw_candidate *it, double share, const jw_driven *driven, extent *to,
                       jw_error *error)
{
	const jw_cause_row *row = jw_cause_row_at(it->cause);
	const int narrows = row->effect == JW_EFFECT_FLOW || row->effect == JW_EFFECT_AREA;
	to->severity = jw_severity_quantile(it->told.severity, share);
	jw_status status = jw_cause_apply(&it->base, it->cause, to->severity, &to->faulty, error);
	if (status < 0)
		return status;
	to->bore = narrows && row->step.operation == JW_BY_AREA ? jw_cause_element(&to->faulty, row) : 0;
	return jw_both(status, jw_cause_effect_at(&it->base, q->background.air, it->cause, to->severity, driven,
	                                          jw_cause_element(&q->background.present, row), &to->effect, error));
}

static jw_interval interval(double value, double one_end, double other_end)
{
	return (jw_interval){value, fmin(fmin(one_end, other_end), value), fmax(fmax(one_end, other_end), value)};
}

/* Standard deviations from the middle to the ends of 90 %. */
static const double ends_of_90 = 1.645;

/* The brass that fits where severities do not go so far. */
static jw_interval what_fits(const jw_candidate *it)
{
	const double fits = jw_cause_element(&it->base, jw_cause_row_at(it->cause)) / jw_cause_effect_words(it->cause)->si;
	const double off = 0.5 * ends_of_90 * jw_shortfall_spread() * fits; /* of a bore, half that of its area */
	return (jw_interval){fits, fits - off, fits + off};
}

/* \param[out] faulty the engine at the middle of the severities */
static jw_status tell_severity(const jw_inquiry *q, const jw_candidate *it, jw_setup *faulty, jw_finding *finding,
                               jw_error *error)
{
	static const double share[] = {0.5, 0.05, 0.95};
	extent at[3];
	jw_driven driven;
	*faulty = it->base;
	if (!jw_cause_meters(it->cause))
		return JW_OK;
	jw_status status = jw_cause_driven(&it->base, q->background.air, it->cause, &driven, error);
	for (int k = 0; k < 3 && status >= 0; k++)
		status = jw_both(status, reach(q, it, share[k], &driven, &at[k], error));
	if (status < 0)
		return status;
	*faulty = it->further ? q->background.present : at[0].faulty;
	finding->severity = interval(at[0].severity, at[1].severity, at[2].severity);
	finding->effect = it->further ? what_fits(it) : interval(at[0].effect, at[1].effect, at[2].effect);
	finding->bore = interval(at[0].bore, at[1].bore, at[2].bore);
	if (jw_cause_row_at(it->cause)->effect == JW_EFFECT_FIT)
		finding->fit_value = finding->effect.value * jw_cause_effect_words(it->cause)->si;
	return JW_OK;
}

jw_status jw_tell_finding(const jw_beliefs *b, int candidate, jw_finding *finding, jw_error *error)
{
	const jw_candidate *it = &b->candidate[candidate];
	jw_setup faulty;
	*finding = (jw_finding){.cause = it->cause, .probability = jw_marginal(b, candidate)};
	jw_status status = tell_severity(&b->inquiry, it, &faulty, finding, error);
	if (status < 0)
		return status;
	const phis phi = tell_mixture(&b->inquiry, it, &faulty, finding);
	tell_evidence(b, it, finding);
	tell_mask(&b->inquiry, it, &faulty, &phi, finding);
	return JW_OK;
}
