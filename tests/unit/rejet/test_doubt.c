/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How sure changes are foretold: beside the cycle-resolved form, which knows neither the filling nor the pulse factors,
 * and by what nobody measured. */
#include "bundled.h"
#include "rejetted.h"
#include <math.h>

static jw_rejet_change change_to(jw_rejet_kind kind, const jw_setup *s, const jw_air *air)
{
	jw_rejet_change change = {.kind = kind};
	switch (kind) {
	case JW_REJET_BORE:
		change.value = 1.06 * s->engine.bore_m;
		break;
	case JW_REJET_THROAT:
		change.value = 1.08 * s->carburetor.throat.bore_m;
		break;
	case JW_REJET_FILTER:
		change.value = 0.1 * s->carburetor.intake.loss_pa;
		break;
	case JW_REJET_PRESSURE:
		change.value = 0.85 * air->pressure_pa;
		break;
	default:
		change.value = air->temperature_k + 20;
		break;
	}
	return change;
}

/* Of all pairs the rms of the difference over its doubt is about 1, and none is beyond three doubts. */
Test(doubt, holds_what_the_cycle_says_of_changes)
{
	static const jw_rejet_kind kinds[] = {JW_REJET_BORE, JW_REJET_THROAT, JW_REJET_FILTER, JW_REJET_PRESSURE,
	                                      JW_REJET_TEMPERATURE};
	static const char *const engines[] = {"courier-150", "trail-250", "pump-200", "four-600"};
	const jw_air air = mild_air();
	double sum = 0;
	int pairs = 0;
	for (size_t e = 0; e < sizeof engines / sizeof *engines; e++) {
		const jw_setup s = bundled(engines[e]);
		const double before = log(cycle_of(&s, &air, &s.range[JW_HALF], NULL).phi);
		for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
			const jw_rejet_change change = change_to(kinds[k], &s, &air);
			const jw_rejet_request request = {.setup = &s, .air = &air, .change = &change, .changes = 1, .anchored = 1};
			const jw_rejet_answer a = rejetted(&request);
			const jw_rejet_range *half = &a.range[JW_HALF];
			const double mean = log(half->after.phi / half->before.phi);
			const double cycle = log(cycle_of(&a.setup, &a.air, &a.setup.range[JW_HALF], NULL).phi) - before;
			const double off = (mean - cycle) / half->relative_change;
			cr_expect(fabs(off) < 3, "%s, %s: %+.3f, cycle %+.3f, doubt %.3f", engines[e], jw_rejet_kind_name(kinds[k]),
			          mean, cycle, half->relative_change);
			sum += off * off;
			pairs++;
		}
	}
	const double rms = sqrt(sum / pairs);
	cr_expect(rms > 0.3 && rms < 1.3, "rms %g", rms);
}

/* A second cylinder draws more and more evenly, of which rejet foretells the difference. */
Test(doubt, holds_what_the_cycle_says_of_another_cylinder)
{
	static const char *const engines[] = {"courier-150", "trail-250", "pump-200", "kart-125"};
	enum { ENGINES = sizeof engines / sizeof *engines };
	const jw_air air = mild_air();
	const jw_rejet_change second = {.kind = JW_REJET_CYLINDERS, .value = 2};
	double sum = 0;
	for (int e = 0; e < ENGINES; e++) {
		const jw_setup s = bundled(engines[e]);
		const jw_rejet_request request = {.setup = &s, .air = &air, .change = &second, .changes = 1, .anchored = 1};
		const jw_rejet_answer a = rejetted(&request);
		const jw_rejet_range *full = &a.range[JW_FULL];
		const double mean = log(full->after.phi / full->before.phi);
		const double cycle = log(cycle_of(&a.setup, &a.air, &a.setup.range[JW_FULL], NULL).phi /
		                         cycle_of(&s, &air, &s.range[JW_FULL], NULL).phi);
		const double off = (mean - cycle) / full->relative_change;
		cr_expect(fabs(off) < 1.645, "%s: %+.3f, cycle %+.3f, doubt %.3f", engines[e], mean, cycle,
		          full->relative_change);
		sum += off * off;
	}
	const double rms = sqrt(sum / ENGINES);
	cr_expect(rms > 0.3 && rms < 1.3, "rms %g", rms);
}

/* What is exchanged has the doubt of a stated exchange: fuel that wants half as much again and jets for it weigh alike,
 * and jets that only go back to what they were leave none. */
Test(doubt, of_a_choice_counts_what_is_exchanged)
{
	const jw_air air = mild_air();
	const jw_setup s = bundled("four-600");
	const jw_rejet_change fuel = {.kind = JW_REJET_FUEL, .fuel = {.part = {{JW_ETHANOL, 1}}, .parts = 1}};
	jw_rejet_change small = brass_of(&s);
	small.part[JW_PART_MAIN_JET] *= 0.8;
	const jw_rejet_request richer = {.setup = &s, .air = &air, .change = &fuel, .changes = 1, .anchored = 1},
	                       back = {.setup = &s, .air = &air, .change = &small, .changes = 1, .anchored = 1};
	const jw_rejet_answer a = rejetted(&richer), b = rejetted(&back);
	const double exchanged = log(a.choice.phi[JW_FULL] / a.range[JW_FULL].after.phi);
	cr_expect_gt(exchanged, 0.3);
	JW_NEAR_REL(a.choice.relative_change[JW_FULL], hypot(a.range[JW_FULL].relative_change, 0.15 * exchanged), 1e-9);
	cr_expect_gt(b.range[JW_FULL].relative_change, 0.03);
	cr_expect_lt(b.choice.relative_change[JW_FULL], 0.025);
}

/* What nobody measured adds doubt, each by its square; a mixture that nobody knows to be right is less sure than one
 * that is known. */
Test(doubt, grows_with_what_nobody_measured)
{
	const jw_air air = mild_air();
	const jw_setup s = bundled("courier-150");
	const jw_unmeasured unmeasured[] = {
	    {.key = "filter", .offset = offsetof(jw_setup, carburetor.intake.loss_pa), .count = 1, .relative = 0.2},
	    {.key = "throat", .offset = offsetof(jw_setup, carburetor.throat.bore_m), .count = 1, .relative = 0.01}};
	const jw_rejet_change change[] = {{.kind = JW_REJET_FILTER, .value = 4 * s.carburetor.intake.loss_pa},
	                                  {.kind = JW_REJET_PRESSURE, .value = 70e3}};
	jw_rejet_request request = {.setup = &s, .air = &air, .change = change, .changes = 2, .anchored = 1};
	double variance[4];
	for (int set = 0; set < 4; set++) {
		request.unmeasured = set == 2 ? unmeasured + 1 : unmeasured;
		request.unmeasureds = set == 3 ? 2 : set > 0;
		variance[set] = pow(rejetted(&request).range[JW_FULL].relative_change, 2);
	}
	cr_expect(variance[1] > 1.05 * variance[0] && variance[2] > 1.02 * variance[0], "%g %g %g", variance[0],
	          variance[1], variance[2]);
	JW_NEAR_REL(variance[3] - variance[0], variance[1] + variance[2] - 2 * variance[0], 0.05);

	const double known = rejetted(&request).range[JW_FULL].relative_before;
	request.anchored = 0;
	cr_expect(rejetted(&request).range[JW_FULL].relative_before > 1.1 * known);
	request.unmeasureds = JW_UNMEASURED + 1;
	jw_rejet_answer untouched;
	cr_expect_eq(jw_rejet(&request, &untouched, NULL), JW_E_RANGE);
}
