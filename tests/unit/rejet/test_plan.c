/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sets of jets for a road that climbs. */
#include "bundled.h"
#include "rejetted.h"
#include <jetwright/profile.h>
#include <math.h>

static jw_jet_set steps(void)
{
	jw_jet_set jets;
	jw_faults faults = {0};
	cr_assert(jw_jets_load(JW_SOURCE_DIR "/profiles/jets/metric-steps.yaml", NULL, &jets, NULL, 0, &faults) >= 0);
	return jets;
}

/* Of an engine with a set of the plan, against what the sound one had. */
static double off_from(const jw_setup *now_is, const jw_setup *sound, const jw_air *air, const jw_rejet_plan *plan,
                       int set, double altitude_m, jw_range range)
{
	jw_atmosphere level;
	jw_setup s = *now_is;
	jw_air there = *air;
	jw_mixture was, now;
	cr_assert(jw_standard_atmosphere(altitude_m, &level, NULL) >= 0);
	const jw_rejet_change change[] = {{.kind = JW_REJET_PRESSURE, .value = level.pressure_pa},
	                                  {.kind = JW_REJET_TEMPERATURE, .value = level.temperature_k}};
	cr_assert(jw_rejet_apply(change, 2, &s, &there, NULL) >= 0);
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (plan->sought[p])
			cr_assert(jw_part_set(&s, (jw_part)p, plan->set[set].value[p], NULL) >= 0);
	cr_assert(jw_mixture_at(sound, air, &sound->range[range], &was, NULL) >= 0);
	cr_assert(jw_mixture_at(&s, &there, &s.range[range], &now, NULL) >= 0);
	return log(now.phi / was.phi);
}

static double off_at(const jw_setup *sound, const jw_air *air, const jw_rejet_plan *plan, int set, double altitude_m,
                     jw_range range)
{
	return off_from(sound, sound, air, plan, set, altitude_m, range);
}

/* Stretches join, and on a fine grid every range stays inside its band; higher up, by the trade's rule (common
 * practice, no source), the main jet is no larger. */
Test(plan, keeps_every_range_inside)
{
	/* The moped has no smaller main jet at hand: bands are let out until one set may do. */
	static const struct expected {
		const char *engine;
		int sets;
	} expected[] = {{"pump-200", 2}, {"trail-250", 2}, {"kart-125", 2}, {"moped-50", 1}};
	const jw_jet_set jets = steps();
	const jw_air air = mild_air();
	for (size_t e = 0; e < sizeof expected / sizeof *expected; e++) {
		const char *engine = expected[e].engine;
		const jw_setup sound = bundled(engine);
		const jw_rejet_request request = {
		    .setup = &sound, .air = &air, .anchored = 1, .jets = &jets, .grooves = {5, 3, 1e-3}};
		jw_rejet_plan plan;
		cr_assert(jw_rejet_plan_over(&request, 0, 3000, &plan, NULL) >= 0, "%s", engine);
		cr_expect(plan.sets >= expected[e].sets, "%s: %d", engine, plan.sets);
		cr_expect(plan.set[0].from_m == 0 && plan.set[plan.sets - 1].to_m == 3000);
		for (int i = 0; i < plan.sets; i++) {
			const jw_rejet_stretch *s = &plan.set[i];
			cr_expect(i == 0 || s->from_m == plan.set[i - 1].to_m);
			if (i > 0) /* half way through what they share, or what neither serves quite */
				JW_NEAR_ABS(s->from_m, 0.5 * (plan.set[i - 1].high_m + s->low_m), 1e-9);
			cr_expect(i == 0 || s->value[JW_PART_MAIN_JET] <= plan.set[i - 1].value[JW_PART_MAIN_JET]);
			for (int r = 0; r < JW_RANGE_COUNT; r++)
				for (double at = s->from_m; at <= s->to_m; at += 40) {
					const double off = off_at(&sound, &air, &plan, i, at, (jw_range)r);
					const double leaner = r == JW_FULL ? 0 : plan.let_out[r];
					cr_expect(off <= jw_rejet_band((jw_range)r, 1) + plan.let_out[r] + 1e-3 &&
					              off >= jw_rejet_band((jw_range)r, 0) - leaner - 1e-3,
					          "%s, set %d, %g m, %s: %+.3f", engine, i, at, jw_range_name((jw_range)r), off);
				}
		}
	}
}

/* Jets too small for the foot of the road, on a fuel that takes larger ones: where full throttle is leaner than its
 * band on the way up, the largest of them is in, and none is in that is leaner than that has to be. */
Test(plan, is_lean_only_with_the_largest_jet)
{
	jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	const double largest = 1.11e-3;
	jw_jet_set jets = steps();
	jets.mains = 7;
	for (int i = 0; i < jets.mains; i++)
		jets.main[i].bore_m = largest * (1 - 0.009 * (6 - i));
	const jw_rejet_change fuel = {.kind = JW_REJET_FUEL,
	                              .fuel = {.part = {{JW_ETHANOL, 0.85, 0, 0}, {JW_PETROL, 0.15, 0, 0}}, .parts = 2}};
	const jw_rejet_request request = {
	    .setup = &sound, .air = &air, .anchored = 1, .change = &fuel, .changes = 1, .jets = &jets};
	jw_rejet_plan plan;
	cr_assert(jw_rejet_plan_over(&request, 0, 3000, &plan, NULL) >= 0);
	cr_assert(plan.too_lean > 0.01 && plan.sets >= 2, "%g, %d sets", plan.too_lean, plan.sets);
	cr_assert(plan.set[plan.sets - 1].value[JW_PART_MAIN_JET] < jets.main[jets.mains - 1].bore_m - 1e-9);
	int lean = 0;
	for (int i = 0; i < plan.sets; i++) {
		const jw_rejet_stretch *s = &plan.set[i];
		for (double at = s->from_m; at <= s->to_m; at += 20) {
			jw_setup burning = sound;
			burning.fuel = fuel.fuel;
			const double off = off_from(&burning, &sound, &air, &plan, i, at, JW_FULL);
			if (off > jw_rejet_band(JW_FULL, 0) - 1e-3)
				continue;
			lean++;
			cr_expect_float_eq(s->value[JW_PART_MAIN_JET], jets.main[jets.mains - 1].bore_m, 1e-9, "%g m: %+.3f", at,
			                   off);
		}
	}
	cr_expect(lean > 0);
}

/* Main jet with which full throttle is off by so much at an altitude. */
static double main_for(const jw_setup *sound, const jw_air *air, double altitude_m, double off)
{
	jw_rejet_plan one = {.sought = {[JW_PART_MAIN_JET] = 1}};
	double low = 0.7 * sound->carburetor.main.fuel_jet.diameter_m, high = 2 * low;
	for (int i = 0; i < 50; i++) {
		one.set[0].value[JW_PART_MAIN_JET] = 0.5 * (low + high);
		*(off_at(sound, air, &one, 0, altitude_m, JW_FULL) < off ? &low : &high) = 0.5 * (low + high);
	}
	return high;
}

/* Amid fine steps one is missing, so that the larger main jet beside the gap is too rich from 2000 m, and the smaller
 * too lean up to 2170 m. The road is laid so that sets are chosen below and above that, at 1935 and 2220 m; what is
 * fitted between was chosen for 2030 m, the first altitude of those followed that none serves: rich, never lean. */
Test(plan, chooses_once_more_where_none_serves)
{
	const jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	const double larger = main_for(&sound, &air, 2000, jw_rejet_band(JW_FULL, 1)),
	             smaller = main_for(&sound, &air, 2170, jw_rejet_band(JW_FULL, 0));
	jw_jet_set jets = {.mains = 19};
	for (int i = 0; i < jets.mains; i++)
		jets.main[i].bore_m = i < 10 ? smaller * (1 - 0.012 * (9 - i)) : larger * (1 + 0.012 * (i - 10));
	const jw_rejet_request request = {.setup = &sound, .air = &air, .anchored = 1, .jets = &jets};
	jw_rejet_plan plan;
	cr_assert(jw_rejet_plan_over(&request, 1935 - 10 * 285, 2220 + 9 * 285, &plan, NULL) >= 0);
	cr_expect_eq(plan.too_lean, 0);
	int served = 0;
	for (int i = 0; i < plan.sets; i++) {
		const jw_rejet_stretch *s = &plan.set[i];
		for (double at = s->from_m; at <= s->to_m; at += 20)
			cr_expect_geq(off_at(&sound, &air, &plan, i, at, JW_FULL), jw_rejet_band(JW_FULL, 0) - 1e-3, "%g m", at);
		if (!(s->from_m < 2030 && s->to_m > 2125))
			continue;
		served++;
		cr_expect_float_eq(s->value[JW_PART_MAIN_JET], larger, 1e-9);
		const double past = off_at(&sound, &air, &plan, i, 2030, JW_FULL) - jw_rejet_band(JW_FULL, 1);
		cr_expect_gt(past, 0);
		JW_NEAR_ABS(plan.let_out[JW_FULL], past + jw_rejet_tolerance(JW_FULL), 1e-6);
	}
	cr_expect_eq(served, 1);
}

/* With no jet to change a plan is one set, where the road is flat. */
Test(plan, of_a_flat_road_is_one_set)
{
	const jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	const jw_rejet_request request = {.setup = &sound, .air = &air, .anchored = 1};
	jw_rejet_plan plan;
	cr_assert(jw_rejet_plan_over(&request, 0, 50, &plan, NULL) >= 0);
	cr_expect(plan.sets == 1, "%d", plan.sets);
}

/* What readings say of the engine holds on the whole road: at its foot a plan stands where the question for there does.
 */
Test(plan, follows_the_engine_as_it_was_read)
{
	const jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	const jw_jet_set jets = steps();
	jw_mixture m;
	jw_atmosphere foot;
	cr_assert(jw_mixture_at(&sound, &air, &sound.range[JW_FULL], &m, NULL) >= 0);
	cr_assert(jw_standard_atmosphere(0, &foot, NULL) >= 0);
	const double lambda = 1.06 / m.phi;
	const jw_reading reading = {.kind = JW_READING_LAMBDA,
	                            .air = air,
	                            .point = sound.range[JW_FULL],
	                            .value = lambda,
	                            .uncertainty = 0.005 * lambda};
	const jw_rejet_change there[] = {{.kind = JW_REJET_PRESSURE, .value = foot.pressure_pa},
	                                 {.kind = JW_REJET_TEMPERATURE, .value = foot.temperature_k}};
	jw_rejet_request request = {
	    .setup = &sound, .air = &air, .anchored = 1, .jets = &jets, .reading = &reading, .readings = 1};
	jw_rejet_plan plan;
	cr_assert(jw_rejet_plan_over(&request, 0, 40, &plan, NULL) >= 0 && plan.sets == 1, "%d", plan.sets);
	request.change = there;
	request.changes = 2;
	const jw_rejet_answer answer = rejetted(&request);
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (plan.sought[p])
			cr_expect_float_eq(plan.set[0].value[p], answer.choice.piece[p].chosen, 1e-9, "%s",
			                   jw_part_name((jw_part)p));
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		cr_expect_float_eq(plan.set[0].ratio_from[r], answer.choice.phi[r] / answer.choice.target[r], 1e-3, "%s: %g",
		                   jw_range_name((jw_range)r), plan.set[0].ratio_from[r]);
}

/* A temperature that is told holds all the way up, in place of that of the standard atmosphere. */
Test(plan, keeps_the_temperature_that_is_told)
{
	const jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	const jw_jet_set jets = steps();
	const jw_rejet_change warm = {.kind = JW_REJET_TEMPERATURE, .value = 305};
	const jw_rejet_request request = {
	    .setup = &sound, .air = &air, .anchored = 1, .jets = &jets, .change = &warm, .changes = 1};
	jw_rejet_plan plan;
	cr_assert(jw_rejet_plan_over(&request, 500, 1500, &plan, NULL) >= 0);
	for (int i = 0; i < plan.sets; i++) {
		jw_atmosphere level;
		jw_setup s = sound;
		cr_assert(jw_standard_atmosphere(plan.set[i].to_m, &level, NULL) >= 0);
		const jw_air there = air_of(level.pressure_pa, warm.value, jw_relative_humidity(&air));
		for (int p = 0; p < JW_PART_COUNT; p++)
			if (plan.sought[p])
				cr_assert(jw_part_set(&s, (jw_part)p, plan.set[i].value[p], NULL) >= 0);
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			JW_NEAR_REL(plan.set[i].ratio_to[r], phi_at(&s, &there, (jw_range)r) / phi_at(&sound, &air, (jw_range)r),
			            1e-9);
	}
}

Test(plan, refuses)
{
	const jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	const jw_rejet_change thin = {.kind = JW_REJET_PRESSURE, .value = 90e3};
	jw_rejet_request request = {.setup = &sound, .air = &air, .anchored = 1};
	jw_rejet_plan plan;
	cr_expect(jw_rejet_plan_over(&request, 100, 100, &plan, NULL) == JW_E_RANGE);
	cr_expect(jw_rejet_plan_over(&request, -2000, 100, &plan, NULL) == JW_E_RANGE);
	cr_expect(jw_rejet_plan_over(&request, 0, 9000, &plan, NULL) == JW_E_RANGE);
	request.change = &thin;
	request.changes = 1;
	cr_expect(jw_rejet_plan_over(&request, 0, 1000, &plan, NULL) == JW_E_ARGUMENT);
	static const jw_rejet_change many[JW_REJET_CHANGES] = {{.kind = JW_REJET_BORE}};
	request.change = many;
	request.changes = JW_REJET_CHANGES - 1;
	jw_error error = {0};
	cr_expect(jw_rejet_plan_over(&request, 0, 1000, &plan, &error) == JW_E_ARGUMENT);
	cr_expect_str_eq(error.field, "changes");
}
