/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How good a set of parts is. */
#include "rejet/chooser.h"

#include "base/base.h"

/* Residual gas and habit make idle forgiving, heat makes full throttle less so. */
static const double tolerances[JW_RANGE_COUNT] = {
    [JW_IDLE] = 0.04, [JW_OFF_IDLE] = 0.04,      [JW_QUARTER] = 0.05,
    [JW_HALF] = 0.04, [JW_THREE_QUARTER] = 0.03, [JW_FULL] = 0.02,
};

double jw_rejet_tolerance(jw_range range)
{
	return (unsigned)range < JW_RANGE_COUNT ? tolerances[range] : 0.0;
}

jw_status jw_set_lnphi(const jw_chooser *c, const double *value, double *lnphi)
{
	jw_setup s = *c->setup;
	jw_status status = JW_OK;
	for (int i = 0; i < c->parts && status >= 0; i++)
		status = jw_part_set(&s, c->sought[i], value[c->sought[i]], c->error);
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		jw_mixture m;
		jw_status solved = jw_mixture_at(&s, c->air, &s.range[r], &m, c->error);
		status = jw_both(status, solved);
		if (solved >= 0)
			lnphi[r] = jw_rejet_lnphi(&m);
	}
	return status;
}

/* Of a miss in tolerances the square, beyond two of them a straight line, so that a range out of reach does not drag
 * the others along (Huber, Annals of Mathematical Statistics 35, 1964). */
double jw_miss_cost(jw_range range, double off)
{
	double size = fabs(off) / tolerances[range];
	return size <= 2.0 ? jw_square(size) : 4.0 * (size - 1.0);
}

double jw_misses_cost(const jw_chooser *c, const double *lnphi, jw_range from, jw_range to)
{
	double cost = 0.0;
	for (int r = from; r <= (int)to; r++)
		cost += jw_miss_cost((jw_range)r, lnphi[r] - c->target[r]);
	return cost;
}

double jw_moves_cost(const jw_chooser *c, const double *value)
{
	double cost = 0.0;
	for (int i = 0; i < c->parts; i++)
		cost += value[c->sought[i]] != c->was[c->sought[i]] ? JW_REJET_STAY : 0.0;
	return cost;
}

/* They feed every range a little, and could be bent to make up for a main jet or a needle that there is none of. Within
 * a usual step of their ideal all are as good; beyond, they are let go half as far as from where they stood. */
#define BENT 2.0

double jw_bent_cost(const jw_chooser *c, const double *value, const double *ideal)
{
	static const jw_part bent[2] = {JW_PART_PILOT_JET, JW_PART_MIXTURE_SCREW};
	double cost = 0.0;
	for (int i = 0; i < 2; i++) {
		const jw_part part = bent[i];
		const double past = fabs(value[part] - ideal[part]) - jw_usual_step(c, part);
		cost += c->hand[part].count && past > 0.0 ? jw_pull(c, part, BENT * past) : 0.0;
	}
	return cost;
}

double jw_unsafe_by(const jw_chooser *c, const double *lnphi)
{
	return fmax(c->target[JW_FULL] - lnphi[JW_FULL] - JW_REJET_LEANER, 0.0);
}

int jw_too_lean(const jw_chooser *c, const double *lnphi)
{
	return jw_unsafe_by(c, lnphi) > JW_TRACE;
}
