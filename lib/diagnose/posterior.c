/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/posterior.h"
#include "base/base.h"

/* Gauss-Hermite for the standard normal, five nodes (Abramowitz and Stegun, table 25.10, scaled). */
#define HERMITE 5
static const double hermite_node[HERMITE] = {-2.85697001387280565, -1.35562617997426587, 0, 1.35562617997426587,
                                             2.85697001387280565};
static const double hermite_weight[HERMITE] = {0.0112574113277206889, 0.222075922005612644, 0.533333333333333333,
                                               0.222075922005612644, 0.0112574113277206889};

/* Turns of the mixture screw in a trial. */
static const double trial_turns = 0.5;
/* Stands for "no fuel": leaner than any limit, yet finite. */
static const double least_phi = 1e-3;

static double lnphi_of(double phi)
{
	return log(fmax(phi, least_phi));
}

static jw_status solve_signs(const jw_setup *setup, const jw_inquiry *inquiry, jw_range range, jw_signs *signs,
                             jw_error *error)
{
	jw_point point = setup->range[range];
	jw_mixture mixture;
	jw_status status = jw_mixture_at(setup, inquiry->air, &point, &mixture, error);
	if (status < 0)
		return status;
	double lnphi = lnphi_of(mixture.phi), sound = inquiry->sound_air[range];
	*signs = (jw_signs){lnphi, lnphi, lnphi, 0, 0};
	if (sound > 0 && mixture.air_kg_s > 0) {
		signs->lnair = log(mixture.air_kg_s / sound);
		signs->leak_share = mixture.leak_kg_s / mixture.air_kg_s;
	}
	if (inquiry->needs[range] & JW_NEEDS_ENRICHED) {
		point.enrichener = 1;
		status = jw_both(status, jw_mixture_at(setup, inquiry->air, &point, &mixture, error));
		if (status < 0)
			return status;
		signs->lnphi_enriched = lnphi_of(mixture.phi);
	}
	if (inquiry->needs[range] & JW_NEEDS_SCREW) {
		jw_setup turned = *setup;
		turned.carburetor.screw.turns += trial_turns;
		status = jw_both(status, jw_mixture_at(&turned, inquiry->air, &setup->range[range], &mixture, error));
		if (status < 0)
			return status;
		signs->lnphi_screw = lnphi_of(mixture.phi);
	}
	return status;
}

static jw_status solve_needed(const jw_setup *setup, const jw_inquiry *inquiry, jw_signs *signs, jw_error *error)
{
	jw_status status = JW_OK;
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++)
		if (inquiry->needs[r])
			status = jw_both(status, solve_signs(setup, inquiry, (jw_range)r, &signs[r], error));
	return status;
}

/* A set-up whose k-th shared coefficient is off by so many standard deviations. */
static jw_setup erring(const jw_setup *healthy, int k, double deviations)
{
	const jw_coefficients *u = &healthy->uncertainty;
	jw_setup setup = *healthy;
	jw_coefficients *c = &setup.coefficient;
	/* Jet and needle of the main circuit err together: one fuel, one level, one signal. */
	double *const member[JW_SHARED][2] = {{&c->air, NULL}, {&c->main, &c->needle}, {&c->pilot, NULL}};
	const double spread[JW_SHARED][2] = {{u->air, 0}, {u->main, u->needle}, {u->pilot, 0}};
	for (int i = 0; i < 2; i++)
		if (member[k][i])
			*member[k][i] *= exp(deviations * spread[k][i]);
	return setup;
}

/* Mean slope over one deviation either way, since a slide near its stop makes the slope at the middle a poor guide. */
static jw_status shift_of(const jw_inquiry *inquiry, jw_range range, int k, double *shift, jw_error *error)
{
	double lnphi[2];
	for (int side = 0; side < 2; side++) {
		jw_setup setup = erring(inquiry->healthy, k, side ? 1 : -1);
		jw_mixture mixture;
		jw_status status = jw_mixture_at(&setup, inquiry->air, &setup.range[range], &mixture, error);
		if (status < 0)
			return status;
		lnphi[side] = lnphi_of(mixture.phi);
	}
	*shift = 0.5 * (lnphi[1] - lnphi[0]);
	return JW_OK;
}

static jw_status solve_sound(jw_inquiry *inquiry, jw_range range, jw_error *error)
{
	jw_mixture mixture;
	jw_status status = jw_mixture_at(inquiry->healthy, inquiry->air, &inquiry->healthy->range[range], &mixture, error);
	if (status < 0)
		return status;
	inquiry->sound_air[range] = mixture.air_kg_s;
	inquiry->sound_phi[range] = mixture.phi;
	for (int k = 0; k < JW_SHARED && status >= 0; k++)
		status = jw_both(status, shift_of(inquiry, range, k, &inquiry->shift[range][k], error));
	return status;
}

/* Two readings are two facts; a symptom told twice is one. */
static int repeats(const jw_inquiry *inquiry, int index)
{
	const jw_evidence *seen = &inquiry->evidence[index];
	if (jw_evidence_row_at(seen->kind)->kind.takes_value)
		return 0;
	for (int i = 0; i < index; i++)
		if (inquiry->evidence[i].kind == seen->kind && inquiry->evidence[i].range == seen->range)
			return 1;
	return 0;
}

jw_status jw_inquiry_open(const jw_setup *healthy, const jw_case *known, jw_inquiry *inquiry, jw_error *error)
{
	*inquiry = (jw_inquiry){.healthy = healthy, .air = &known->air, .evidences = known->evidences};
	for (int i = 0; i < known->evidences; i++) {
		inquiry->evidence[i] = jw_evidence_read(&known->evidence[i]);
		inquiry->repeats[i] = repeats(inquiry, i);
		inquiry->needs[inquiry->evidence[i].range] |= jw_evidence_row_at(known->evidence[i].kind)->needs;
	}
	jw_status status = JW_OK;
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++)
		status = jw_both(status, solve_sound(inquiry, (jw_range)r, error));
	return status;
}

static jw_signs shifted(const jw_signs *signs, double by)
{
	jw_signs moved = *signs;
	moved.lnphi += by;
	moved.lnphi_enriched += by;
	moved.lnphi_screw += by;
	return moved;
}

/* Likelihood of each evidence with the shared coefficients off by z standard deviations; returns the product. */
static double likelihoods(const jw_inquiry *inquiry, const jw_signs *signs, const double *z, double *each)
{
	double product = 1;
	for (int i = 0; i < inquiry->evidences; i++) {
		const jw_evidence *seen = &inquiry->evidence[i];
		const double *shift = inquiry->shift[seen->range];
		double by = 0;
		for (int k = 0; k < JW_SHARED; k++)
			by += shift[k] * z[k];
		jw_signs moved = shifted(&signs[seen->range], by);
		each[i] = jw_likelihood(seen, &moved);
		product *= inquiry->repeats[i] ? 1 : each[i];
	}
	return product;
}

/* Sums over the shared error: all evidence together, and each piece weighted with all or, where told, by itself. */
static double over_shared(const jw_inquiry *inquiry, const jw_signs *signs, int by_itself, double *sum)
{
	double total = 0, each[JW_EVIDENCE_MAX];
	for (int n = 0; n < HERMITE * HERMITE * HERMITE; n++) {
		const int index[JW_SHARED] = {n % HERMITE, n / HERMITE % HERMITE, n / (HERMITE * HERMITE)};
		double z[JW_SHARED], weight = 1;
		for (int k = 0; k < JW_SHARED; k++) {
			z[k] = hermite_node[index[k]];
			weight *= hermite_weight[index[k]];
		}
		double product = likelihoods(inquiry, signs, z, each);
		total += weight * product;
		for (int i = 0; i < inquiry->evidences; i++)
			sum[i] += weight * (by_itself ? 1 : product) * each[i];
	}
	return total;
}

void jw_weigh(const jw_inquiry *inquiry, int cause, const double *density, jw_weight *weight)
{
	*weight = (jw_weight){0};
	for (int j = 0; j < JW_NODES; j++) {
		jw_setup faulty;
		jw_signs signs[JW_RANGE_COUNT];
		if (jw_cause_apply(inquiry->healthy, cause, jw_node(j), &faulty, NULL) < 0 ||
		    solve_needed(&faulty, inquiry, signs, NULL) < 0)
			continue;
		double sum[JW_EVIDENCE_MAX] = {0};
		weight->severity[j] = density[j] * over_shared(inquiry, signs, 0, sum);
		weight->likelihood += weight->severity[j];
		for (int i = 0; i < inquiry->evidences; i++)
			weight->each[i] += density[j] * sum[i];
	}
	if (!(weight->likelihood > 0))
		return;
	for (int j = 0; j < JW_NODES; j++)
		weight->severity[j] /= weight->likelihood;
	for (int i = 0; i < inquiry->evidences; i++)
		weight->each[i] /= weight->likelihood;
}

jw_status jw_weigh_sound(const jw_inquiry *inquiry, double *before, jw_error *error)
{
	jw_signs signs[JW_RANGE_COUNT];
	jw_status status = solve_needed(inquiry->healthy, inquiry, signs, error);
	if (status < 0)
		return status;
	double sum[JW_EVIDENCE_MAX] = {0};
	over_shared(inquiry, signs, 1, sum);
	for (int i = 0; i < inquiry->evidences; i++)
		before[i] = sum[i];
	return status;
}

double jw_severity_quantile(const double *severity, double share)
{
	double below = 0;
	for (int j = 0; j < JW_NODES; j++) {
		if (below + severity[j] >= share && severity[j] > 0)
			return (j + (share - below) / severity[j]) / JW_NODES;
		below += severity[j];
	}
	return 1;
}

double jw_shared_uncertainty(const jw_inquiry *inquiry, jw_range range)
{
	double variance = 0;
	for (int k = 0; k < JW_SHARED; k++)
		variance += jw_square(inquiry->shift[range][k]);
	return sqrt(variance);
}
