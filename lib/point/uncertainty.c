/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/point.h>

#include "base/base.h"

#include <limits.h>

#define COEFFICIENTS ((int)(sizeof(jw_coefficients) / sizeof(double)))
#define ANCHORS 3
/* An impossible step is halved so often, then tried the other way; what it changes is drawn out. */
#define HALVINGS 7
/* Below this the anchors say nothing about the coefficients. */
#define LEAST_DETERMINANT 1e-6
/* Stands for "no fuel" in a logarithm. */
#define LEAST_PHI 1e-3

/* A set-up whose inputs are counted in standard uncertainties: its coefficients, then its unmeasured numbers. */
typedef struct doubtful {
	const jw_setup *setup;
	const jw_air *air;
	const jw_point *point;
	const jw_unmeasured *unmeasured;
	int count;
	double centre; /* ln(phi) as it stands */
} doubtful;

/* How many doubles a stride apart lie between an offset and the end of a set-up. */
static int most_inside(const jw_unmeasured *unmeasured)
{
	const size_t last = sizeof(jw_setup) - sizeof(double), aligned = sizeof(double) - 1;
	if (unmeasured->offset > last || ((unmeasured->offset | unmeasured->stride) & aligned))
		return 0;
	size_t room = last - unmeasured->offset;
	return unmeasured->stride ? (int)(room / unmeasured->stride) + 1 : INT_MAX;
}

static jw_status check_unmeasured(const jw_unmeasured *unmeasured, int count, jw_error *error)
{
	jw_status status = JW_OK;
	for (int i = 0; i < count && status == JW_OK; i++) {
		const jw_unmeasured *u = &unmeasured[i];
		const int most = most_inside(u);
		if (most < 1)
			return jw_fail(error, JW_E_RANGE, "unmeasured.offset", (double)u->offset, 0,
			               sizeof(jw_setup) - sizeof(double));
		const jw_bound bounds[] = {
		    {"unmeasured.count", u->count, 1, most},
		    {"unmeasured.relative", u->relative, -INFINITY, INFINITY},
		    {"unmeasured.absolute", u->absolute, -INFINITY, INFINITY},
		};
		status = jw_check_bounds(bounds, sizeof bounds / sizeof *bounds, error);
	}
	return status;
}

void jw_setup_shift(jw_setup *setup, const jw_unmeasured *unmeasured, double deviations)
{
	const int most = most_inside(unmeasured);
	for (int i = 0; i < unmeasured->count && i < most; i++) {
		double *value = jw_double_at(setup, unmeasured->offset + (size_t)i * unmeasured->stride);
		*value += deviations * (unmeasured->relative * fabs(*value) + unmeasured->absolute);
	}
}

/* Coefficients are factors, so they err by factors. */
static void shift_coefficients(jw_setup *s, const double *deviations)
{
	const jw_coefficients *u = &s->uncertainty;
	jw_coefficients *c = &s->coefficient;
	c->air *= exp(deviations[0] * u->air);
	c->main *= exp(deviations[1] * u->main);
	c->needle *= exp(deviations[2] * u->needle);
	c->pilot *= exp(deviations[3] * u->pilot);
	/* Circuits without a coefficient of their own err as the one does that is most like them. */
	s->carburetor.enrichener.fuel_coefficient *= exp(deviations[3] * u->pilot);
	s->carburetor.power.fuel_coefficient *= exp(deviations[1] * u->main);
}

static jw_status lnphi_at(const doubtful *d, const double *deviations, double part, double *lnphi)
{
	double scaled[COEFFICIENTS];
	jw_setup shifted = *d->setup;
	jw_mixture mixture;
	for (int i = 0; i < COEFFICIENTS; i++)
		scaled[i] = part * deviations[i];
	for (int i = 0; i < d->count; i++)
		if (deviations[COEFFICIENTS + i] != 0)
			jw_setup_shift(&shifted, &d->unmeasured[i], part * deviations[COEFFICIENTS + i]);
	jw_status status = jw_setup_check(&shifted, NULL);
	shift_coefficients(&shifted, scaled); /* beyond their range too: they are factors, no parts */
	if (status >= 0)
		status = jw_mixture_at(&shifted, d->air, d->point, &mixture, NULL);
	if (status >= 0)
		*lnphi = log(fmax(mixture.phi, LEAST_PHI));
	return status;
}

static jw_status lnphi_drawn_out(const double *deviations, double *lnphi, void *context)
{
	const doubtful *d = context;
	jw_status status = JW_E_RANGE;
	double part = 0, found = 0;
	for (int i = 0; i < 2 * HALVINGS && status < 0; i++) {
		part = ldexp(i < HALVINGS ? 1 : -1, -(i % HALVINGS));
		status = lnphi_at(d, deviations, part, &found);
	}
	if (status >= 0)
		*lnphi = d->centre + (found - d->centre) / part;
	return status;
}

/* Change of ln(phi) at a point per standard uncertainty of each input. */
static jw_status changes_at(const jw_setup *setup, const jw_air *air, const jw_point *point,
                            const jw_unmeasured *unmeasured, int count, double *change, jw_error *error)
{
	doubtful d = {setup, air, point, unmeasured, count, 0};
	jw_input inputs[JW_INPUTS];
	jw_propagation found;
	jw_mixture mixture;
	jw_status status = jw_mixture_at(setup, air, point, &mixture, error);
	if (status < 0)
		return status;
	d.centre = log(fmax(mixture.phi, LEAST_PHI));
	for (int i = 0; i < COEFFICIENTS + count; i++)
		inputs[i] = (jw_input){.mean = 0, .uncertainty = 1};
	jw_status moved = jw_propagate(lnphi_drawn_out, &d, inputs, COEFFICIENTS + count, 1, change, &found, error);
	return moved < 0 ? moved : status;
}

static double determinant(double m[ANCHORS][ANCHORS])
{
	return m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
	       m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
}

static void slopes_of(const jw_coefficients *c, double row[ANCHORS])
{
	row[0] = c->pilot;
	row[1] = c->needle;
	row[2] = c->main;
}

/* What pilot, needle and main must change so that idle, half and full stay as they are known to be: Cramer's rule. */
static void take_back(double slope[ANCHORS][ANCHORS], double det, const double change[ANCHORS], double back[ANCHORS])
{
	for (int k = 0; k < ANCHORS; k++) {
		double m[ANCHORS][ANCHORS];
		for (int a = 0; a < ANCHORS; a++)
			for (int j = 0; j < ANCHORS; j++)
				m[a][j] = j == k ? -change[a] : slope[a][j];
		back[k] = determinant(m) / det;
	}
}

static jw_status anchored(const jw_setup *setup, const jw_air *air, const jw_point *point,
                          const jw_unmeasured *unmeasured, int count, const jw_air *anchor, double *change,
                          jw_error *error)
{
	static const jw_range ranges[ANCHORS] = {JW_IDLE, JW_HALF, JW_FULL};
	double slope[ANCHORS][ANCHORS], here[ANCHORS], there[ANCHORS][JW_INPUTS];
	jw_coefficients c;
	jw_status status = jw_mixture_sensitivity(setup, air, point, &c, error);
	slopes_of(&c, here);
	for (int a = 0; a < ANCHORS && status >= 0; a++) {
		const jw_point *known = &setup->range[ranges[a]];
		status = jw_mixture_sensitivity(setup, anchor, known, &c, error);
		slopes_of(&c, slope[a]);
		if (status >= 0)
			status = changes_at(setup, anchor, known, unmeasured, count, there[a], error);
	}
	if (status < 0)
		return status;
	double det = determinant(slope);
	if (fabs(det) < LEAST_DETERMINANT)
		return JW_OK;
	for (int i = COEFFICIENTS; i < COEFFICIENTS + count; i++) {
		double back[ANCHORS];
		take_back(slope, det, (const double[]){there[0][i], there[1][i], there[2][i]}, back);
		for (int k = 0; k < ANCHORS; k++)
			change[i] += here[k] * back[k];
	}
	return JW_OK;
}

jw_status jw_mixture_contributions(const jw_setup *setup, const jw_air *air, const jw_point *point,
                                   const jw_unmeasured *unmeasured, int count, const jw_air *anchor,
                                   double *contribution, double *relative, jw_error *error)
{
	double change[JW_INPUTS], variance = 0;
	jw_status status = jw_check_range("count", count, 0, JW_UNMEASURED, error);
	if (status == JW_OK && count > 0 && !unmeasured)
		status = jw_fail(error, JW_E_ARGUMENT, "unmeasured", 0, 0, 0);
	if (status == JW_OK)
		status = check_unmeasured(unmeasured, count, error);
	if (status == JW_OK)
		status = changes_at(setup, air, point, unmeasured, count, change, error);
	if (status < 0)
		return status;
	jw_status kept = anchor && count ? anchored(setup, air, point, unmeasured, count, anchor, change, error) : JW_OK;
	if (kept < 0)
		return kept;
	for (int i = 0; i < COEFFICIENTS + count; i++)
		variance += jw_square(change[i]);
	for (int i = 0; contribution && i < count; i++)
		contribution[i] = change[COEFFICIENTS + i];
	*relative = sqrt(variance);
	return status;
}

jw_status jw_mixture_uncertainty(const jw_setup *setup, const jw_air *air, const jw_point *point, double *relative,
                                 jw_error *error)
{
	return jw_mixture_contributions(setup, air, point, NULL, 0, NULL, NULL, relative, error);
}
