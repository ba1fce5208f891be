/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a mixture means for the engine. */
#include "rejet/parts.h"

#include "base/base.h"
#include "diagnose/want.h"

static const char *const verdicts[JW_REJET_VERDICT_COUNT] = {
    [JW_REJET_RUNS] = "runs",
    [JW_REJET_RICH_ROUGH] = "rich_rough",
    [JW_REJET_RICH_MISFIRES] = "rich_misfires",
    [JW_REJET_LEAN_ROUGH] = "lean_rough",
    [JW_REJET_LEAN_MISFIRES] = "lean_misfires",
    [JW_REJET_DANGEROUS] = "dangerous",
};

const char *jw_rejet_verdict_name(jw_rejet_verdict verdict)
{
	return (unsigned)verdict < JW_REJET_VERDICT_COUNT ? verdicts[verdict] : NULL;
}

/* By the limits of a usual engine. */
static jw_rejet_verdict verdict_of(jw_range range, double lnphi)
{
	double lambda = exp(-lnphi);
	if (lambda < jw_wanted(range, JW_WANT_RICH_LIMIT).lambda)
		return JW_REJET_RICH_MISFIRES;
	if (lambda < jw_wanted(range, JW_WANT_RICH_ROUGH).lambda)
		return JW_REJET_RICH_ROUGH;
	if (lambda > jw_wanted(range, JW_WANT_LEAN_LIMIT).lambda)
		return JW_REJET_LEAN_MISFIRES;
	return lambda > jw_wanted(range, JW_WANT_LEAN_ROUGH).lambda ? JW_REJET_LEAN_ROUGH : JW_REJET_RUNS;
}

double jw_rejet_danger_lambda(jw_range range)
{
	return range == JW_FULL ? 1.0 : range == JW_THREE_QUARTER ? 1.05 : 0.0;
}

void jw_rejet_judge(jw_range range, jw_rejet_range *solved)
{
	double after = jw_rejet_lnphi(&solved->after), limit = jw_rejet_danger_lambda(range);
	solved->was = verdict_of(range, jw_rejet_lnphi(&solved->before));
	solved->becomes = verdict_of(range, after);
	if (!(limit > 0.0))
		return;
	const double over = -after - log(limit);
	solved->danger = jw_normal_cdf(over / fmax(solved->relative_after, 1e-6));
	/* What makes it no leaner does no harm to an engine that ran right, but by being wrong. */
	const int is_leaner = after < jw_rejet_lnphi(&solved->before) - JW_REJET_LEANER;
	if ((is_leaner ? solved->danger : jw_normal_cdf(over / fmax(solved->relative_change, 1e-6))) >= JW_REJET_DANGER)
		solved->becomes = JW_REJET_DANGEROUS;
}
