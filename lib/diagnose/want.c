/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/want.h"
#include <jetwright/diagnose.h>
#include "base/base.h"

/* Too rich, every range stops and misfires alike. */
#define TOO_RICH                                                                                                       \
	{0.42, 0.10, -0.86750056770472306},                                                                                \
	{                                                                                                                  \
		0.55, 0.10, -0.59783700075562041                                                                               \
	}

/* Sources. Best power lambda 0.86..0.90, best economy 1.1, idle AFR 11.5..13 for its residual gas, misfire at 1.2..1.4
 * lean and 0.5..0.6 rich: Heywood, Internal Combustion Engine Fundamentals (1988), ch. 7 and 9, values from memory.
 * Full throttle: fuel/air 0.07..0.08 for best power, Sparrow, NACA TR-189 (1925); hence a loss that is felt from
 * lambda 1.05 up. Where roughness begins, and every spread: trade practice, no source; residual gas makes idle and
 * light load rough sooner than a loaded range, which burns best-economy mixtures smoothly. Where it stops: beyond the
 * limits of flammability of petrol, 1.4 % and 7.6 % by volume or lambda 1.3 and 0.24, only richer or leaner pockets
 * burn; how far they carry, and how much fuel wets the plug before the rich one, is a guess. The third column is the
 * logarithm of the first: taken at every look it would cost a sixth of a diagnosis. */
static const jw_limit wants[JW_RANGE_COUNT][JW_WANT_COUNT] = {
    [JW_IDLE] = {TOO_RICH,
                 {0.68, 0.07, -0.38566248081198462},
                 {0.85, 0.05, -0.16251892949777494},
                 {1.10, 0.07, 0.095310179804324935},
                 {1.22, 0.08, 0.19885085874516517},
                 {1.45, 0.10, 0.37156355643248301}},
    [JW_OFF_IDLE] = {TOO_RICH,
                     {0.68, 0.07, -0.38566248081198462},
                     {0.90, 0.05, -0.10536051565782628},
                     {1.12, 0.07, 0.11332868530700327},
                     {1.25, 0.08, 0.22314355131420976},
                     {1.50, 0.10, 0.40546510810816438}},
    [JW_QUARTER] = {TOO_RICH,
                    {0.70, 0.07, -0.35667494393873245},
                    {0.95, 0.06, -0.051293294387550578},
                    {1.18, 0.08, 0.16551443847757333},
                    {1.30, 0.08, 0.26236426446749106},
                    {1.60, 0.10, 0.47000362924573563}},
    [JW_HALF] = {TOO_RICH,
                 {0.70, 0.07, -0.35667494393873245},
                 {0.95, 0.06, -0.051293294387550578},
                 {1.18, 0.08, 0.16551443847757333},
                 {1.32, 0.08, 0.27763173659827955},
                 {1.60, 0.10, 0.47000362924573563}},
    [JW_THREE_QUARTER] = {TOO_RICH,
                          {0.70, 0.07, -0.35667494393873245},
                          {0.90, 0.05, -0.10536051565782628},
                          {1.12, 0.07, 0.11332868530700327},
                          {1.32, 0.08, 0.27763173659827955},
                          {1.60, 0.10, 0.47000362924573563}},
    [JW_FULL] = {TOO_RICH,
                 {0.70, 0.06, -0.35667494393873245},
                 {0.88, 0.04, -0.12783337150988489},
                 {1.05, 0.06, 0.048790164169432049},
                 {1.30, 0.08, 0.26236426446749106},
                 {1.55, 0.10, 0.43825493093115531}},
};

/* Of a spread, the part that is this engine's own and stands behind all that is seen of it; the rest is how people tell
 * it. Trade practice, no source; the squares add up to 1. */
static const double own_part = 0.8, told_part = 0.6;

jw_limit jw_wanted(jw_range range, jw_want want)
{
	return wants[range][want];
}

double jw_lean_limit(jw_range range)
{
	return (unsigned)range < JW_RANGE_COUNT ? wants[range][JW_WANT_LEAN_LIMIT].lambda : 0.0;
}

double jw_normal_cdf(double z)
{
	if (fabs(z) > 6) /* beyond 1e-9, far below any doubt, and most calls are */
		return z > 0;
	return 0.5 * erfc(-z * 0.70710678118654752);
}

/* Distance of ln(lambda) from a limit that the engine's tolerance moves, in spreads. */
static double beyond(jw_range range, jw_want want, double lnphi, double moved)
{
	const jw_limit *limit = &wants[range][want];
	return (-lnphi - limit->ln_lambda - own_part * limit->spread * moved) / (told_part * limit->spread);
}

double jw_leaner_than(jw_range range, jw_want want, double lnphi, double tolerance)
{
	return jw_normal_cdf(beyond(range, want, lnphi, tolerance));
}

double jw_richer_than(jw_range range, jw_want want, double lnphi, double tolerance)
{
	return jw_normal_cdf(-beyond(range, want, lnphi, -tolerance));
}

void jw_past_limits(jw_range range, unsigned wants_asked, double lnphi, double tolerance, double *past)
{
	for (int w = 0; w < JW_WANT_COUNT; w++)
		if ((wants_asked >> w) & 1)
			past[w] = w < JW_WANT_BEST ? jw_richer_than(range, (jw_want)w, lnphi, tolerance)
			                           : jw_leaner_than(range, (jw_want)w, lnphi, tolerance);
}
