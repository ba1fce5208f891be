/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sets of jets for a list of places. */
#include "bundled.h"
#include <jetwright/rejet.h>
#include <math.h>

enum { PLACES = 3, ALL = (1 << PLACES) - 1 };

/* A harbour in summer, a valley in winter, a pass. */
static void lay_places(jw_air *place)
{
	static const double pressure_pa[PLACES] = {101325, 92e3, 75.6e3}, celsius[PLACES] = {27, -5, 8};
	for (int i = 0; i < PLACES; i++)
		cr_assert(jw_air_from_humidity(pressure_pa[i], 273.15 + celsius[i], 0.6, &place[i], NULL) >= 0);
}

static jw_jet_set jets_about(const jw_setup *s, double share)
{
	jw_jet_set set = {.mains = 7, .pilots = 3};
	for (int i = 0; i < set.mains; i++)
		set.main[i].bore_m = s->carburetor.main.fuel_jet.diameter_m * (1 + (i - 5) * share);
	for (int i = 0; i < set.pilots; i++)
		set.pilot[i].bore_m = s->carburetor.pilot.fuel_jet.diameter_m * (1 + (i - 1) * 2 * share);
	return set;
}

/* Where every range is inside the bands of the header, let out as the plan says. */
static int serves(const jw_setup *sound, const jw_air *air, const jw_setup *s, const jw_air *place,
                  const jw_rejet_visits *plan)
{
	int places = 0;
	double target[JW_RANGE_COUNT];
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		target[r] = phi_at(sound, air, (jw_range)r);
	for (int i = 0; i < PLACES; i++) {
		int inside = 1;
		for (int r = 0; r < JW_RANGE_COUNT && inside; r++) {
			const double off = log(phi_at(s, &place[i], (jw_range)r) / target[r]);
			const double leaner = r == JW_FULL ? plan->too_lean[i] : plan->let_out[i][r];
			inside = off <= jw_rejet_band((jw_range)r, 1) + plan->let_out[i][r] + 2e-6 &&
			         off >= jw_rejet_band((jw_range)r, 0) - leaner - 2e-6;
		}
		places |= inside << i;
	}
	return places;
}

static int fewest(const char *known)
{
	for (int a = 0; a <= ALL; a++)
		if (known[a] && a == ALL)
			return 1;
	for (int a = 0; a <= ALL; a++)
		for (int b = 0; b <= ALL; b++)
			if (known[a] && known[b] && (a | b) == ALL)
				return 2;
	return PLACES;
}

/* Every set of a few jets, grooves and all turns is tried at every place: no fewer serve all than the plan has. */
Test(visits, brute_force_finds_no_fewer)
{
	static const char *const engines[] = {"pump-200", "trail-250", "moped-50", "courier-150"};
	const jw_air air = mild_air();
	jw_air place[PLACES];
	lay_places(place);
	int several = 0;
	for (size_t e = 0; e < sizeof engines / sizeof *engines; e++) {
		const jw_setup sound = bundled(engines[e]);
		const jw_jet_set jets = jets_about(&sound, 0.03);
		const jw_rejet_request request = {
		    .setup = &sound, .air = &air, .anchored = 1, .jets = &jets, .grooves = {3, 2, 0.7e-3}};
		jw_rejet_visits plan;
		char known[ALL + 1] = {0};
		cr_assert(jw_rejet_plan_for(&request, place, PLACES, &plan, NULL) >= 0, "%s", engines[e]);
		const int grooves = plan.sought[JW_PART_NEEDLE_POSITION] ? 3 : 1;
		for (int m = 0; m < jets.mains; m++)
			for (int p = 0; p < jets.pilots; p++)
				for (int g = 0; g < grooves; g++)
					for (int t = -40; t <= 40; t++) {
						const double turns = sound.carburetor.screw.turns + t * JW_REJET_SCREW_STEP;
						jw_setup s = sound;
						if (turns < 0.25 || turns > 5)
							continue;
						jw_part_set(&s, JW_PART_MAIN_JET, jets.main[m].bore_m, NULL);
						jw_part_set(&s, JW_PART_PILOT_JET, jets.pilot[p].bore_m, NULL);
						jw_part_set(&s, JW_PART_MIXTURE_SCREW, turns, NULL);
						if (grooves > 1)
							jw_part_set(&s, JW_PART_NEEDLE_POSITION,
							            jw_part_value(&sound, JW_PART_NEEDLE_POSITION) + (g - 1) * 0.7e-3, NULL);
						known[serves(&sound, &air, &s, place, &plan)] = 1;
					}
		cr_expect_eq(plan.sets, fewest(known), "%s: %d, brute force %d", engines[e], plan.sets, fewest(known));
		several += plan.sets > 1;
		for (int i = 0; i < PLACES; i++) {
			jw_setup s = sound;
			for (int p = 0; p < JW_PART_COUNT; p++)
				if (plan.sought[p])
					jw_part_set(&s, (jw_part)p, plan.set[plan.fit[i]].value[p], NULL);
			cr_expect(serves(&sound, &air, &s, place, &plan) >> i & 1, "%s, place %d", engines[e], i);
			for (int r = 0; r < JW_RANGE_COUNT; r++)
				cr_expect_float_eq(plan.ratio[i][r],
				                   phi_at(&s, &place[i], (jw_range)r) / phi_at(&sound, &air, (jw_range)r), 1e-6);
		}
	}
	cr_expect(several > 0, "no engine needs two sets");
}

/* Where the air is that of the engine's own bench, it is left as it is; the same place twice is served by the same set.
 */
Test(visits, of_home_changes_nothing)
{
	const jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	const jw_air home[2] = {air, air};
	const jw_jet_set jets = jets_about(&sound, 0.03);
	const jw_rejet_request request = {.setup = &sound, .air = &air, .anchored = 1, .jets = &jets};
	jw_rejet_visits plan;
	cr_assert(jw_rejet_plan_for(&request, home, 2, &plan, NULL) >= 0);
	cr_expect(plan.sets == 1 && plan.fit[0] == 0 && plan.fit[1] == 0);
	for (int p = 0; p < JW_PART_COUNT; p++)
		cr_expect_float_eq(plan.set[0].value[p], jw_part_value(&sound, (jw_part)p), 1e-9);
}

/* Where every jet at hand is too small, the one that is wanted brings full throttle back to its target. */
Test(visits, the_main_jet_that_is_wanted_is_rich_enough)
{
	const jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	jw_air place[PLACES];
	lay_places(place);
	jw_jet_set jets = jets_about(&sound, 0.03);
	jets.mains = 3;
	const jw_rejet_request request = {.setup = &sound, .air = &air, .anchored = 1, .jets = &jets};
	jw_rejet_visits plan;
	cr_assert(jw_rejet_plan_for(&request, place, PLACES, &plan, NULL) >= 0);
	int lacking = 0;
	for (int i = 0; i < PLACES; i++) {
		cr_expect_eq(plan.main_wanted_m[i] > 0, plan.too_lean[i] > 0, "place %d", i);
		if (!(plan.too_lean[i] > 0))
			continue;
		jw_setup s = sound;
		for (int p = 0; p < JW_PART_COUNT; p++)
			if (plan.sought[p])
				jw_part_set(&s, (jw_part)p, plan.set[plan.fit[i]].value[p], NULL);
		jw_part_set(&s, JW_PART_MAIN_JET, plan.main_wanted_m[i], NULL);
		JW_NEAR_REL(phi_at(&s, &place[i], JW_FULL), phi_at(&sound, &air, JW_FULL), 1e-3);
		lacking++;
	}
	cr_expect(lacking > 0, "no place is too lean");
}

/* With any bore at hand the sets are put together from the jets that are best at some place: harbour and pass, so far
 * apart that no set serves both, get each their own, and what is changed besides the air is changed everywhere; changes
 * of the air give way. */
Test(visits, with_any_bore_have_the_best_of_each_place)
{
	const jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	jw_air all[PLACES];
	lay_places(all);
	const jw_air place[] = {all[2], all[0], all[2]};
	const jw_rejet_change change[] = {{.kind = JW_REJET_BORE, .value = 1.04 * sound.engine.bore_m},
	                                  {.kind = JW_REJET_PRESSURE, .value = 60e3},
	                                  {.kind = JW_REJET_TEMPERATURE, .value = 320},
	                                  {.kind = JW_REJET_HUMIDITY, .value = 1}};
	jw_rejet_request request = {.setup = &sound, .air = &air, .anchored = 1, .change = change, .changes = 4};
	jw_rejet_visits plan;
	cr_assert(jw_rejet_plan_for(&request, place, 3, &plan, NULL) >= 0);
	cr_assert_eq(plan.sets, 2);
	cr_expect(plan.fit[0] == plan.fit[2] && plan.fit[0] != plan.fit[1]);
	for (int i = 0; i < 3; i++) {
		const jw_rejet_change there[] = {change[0],
		                                 {.kind = JW_REJET_PRESSURE, .value = place[i].pressure_pa},
		                                 {.kind = JW_REJET_TEMPERATURE, .value = place[i].temperature_k},
		                                 {.kind = JW_REJET_HUMIDITY, .value = jw_relative_humidity(&place[i])}};
		request.change = there;
		jw_rejet_answer answer;
		cr_assert(jw_rejet(&request, &answer, NULL) >= 0);
		const double *value = plan.set[plan.fit[i]].value;
		JW_NEAR_REL(value[JW_PART_MAIN_JET], answer.choice.piece[JW_PART_MAIN_JET].chosen, 1e-9);
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			const double off = log(plan.ratio[i][r]);
			cr_expect(off <= jw_rejet_band((jw_range)r, 1) + plan.let_out[i][r] + 1e-5 &&
			              off >= jw_rejet_band((jw_range)r, 0) -
			                         (r == JW_FULL ? plan.too_lean[i] : plan.let_out[i][r]) - 1e-5,
			          "place %d, %s: %+.4f", i, jw_range_name((jw_range)r), off);
		}
	}
}

Test(visits, refuses)
{
	const jw_setup sound = bundled("pump-200");
	const jw_air air = mild_air();
	const jw_rejet_request request = {.setup = &sound, .air = &air, .anchored = 1};
	jw_rejet_visits plan;
	cr_expect(jw_rejet_plan_for(&request, &air, 0, &plan, NULL) == JW_E_RANGE);
	cr_expect(jw_rejet_plan_for(&request, &air, JW_REJET_PLACES + 1, &plan, NULL) == JW_E_RANGE);
	static const jw_rejet_change many[JW_REJET_CHANGES] = {
	    {.kind = JW_REJET_THROAT},  {.kind = JW_REJET_BORE},   {.kind = JW_REJET_STROKE}, {.kind = JW_REJET_CYLINDERS},
	    {.kind = JW_REJET_FILLING}, {.kind = JW_REJET_FILTER}, {.kind = JW_REJET_VENT},   {.kind = JW_REJET_FUEL}};
	jw_error error = {0};
	jw_rejet_request full = request;
	full.change = many;
	full.changes = JW_REJET_CHANGES - 2;
	cr_expect(jw_rejet_plan_for(&full, &air, 1, &plan, &error) == JW_E_ARGUMENT);
	cr_expect_str_eq(error.field, "changes");
}
