/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to fit out of the jets at hand. */
#include "bundled.h"
#include "draw.h"
#include "rejetted.h"
#include <math.h>
#include <string.h>

/* Jets about those of a set-up, `share` of the bore apart. */
static jw_jet_set jets_about(const jw_setup *s, int mains, int pilots, double share)
{
	jw_jet_set set = {.mains = mains, .pilots = pilots};
	for (int i = 0; i < mains; i++)
		set.main[i].bore_m = s->carburetor.main.fuel_jet.diameter_m * (1 + (i - mains / 2) * share);
	for (int i = 0; i < pilots; i++)
		set.pilot[i].bore_m = s->carburetor.pilot.fuel_jet.diameter_m * (1 + (i - pilots / 2) * share);
	return set;
}

static double loss_of(const jw_rejet_choice *choice, int range, double phi)
{
	const double miss = fabs(log(phi / choice->target[range])) / jw_rejet_tolerance((jw_range)range);
	return miss <= 2 ? miss * miss : 4 * miss - 4;
}

/* As the header has them: judgement, and what a mechanic confirms a part by (common practice, no source). */
Test(rejet, a_range_has_a_tolerance_and_a_part_a_range)
{
	static const struct {
		jw_part part;
		jw_range range;
	} told[] = {{JW_PART_MAIN_JET, JW_FULL},
	            {JW_PART_NEEDLE_POSITION, JW_HALF},
	            {JW_PART_PILOT_JET, JW_OFF_IDLE},
	            {JW_PART_MIXTURE_SCREW, JW_IDLE},
	            {JW_PART_COUNT, JW_FULL}};
	for (size_t i = 0; i < sizeof told / sizeof *told; i++)
		cr_expect_eq(jw_rejet_tells(told[i].part), told[i].range, "row %zu", i);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const double tolerance = jw_rejet_tolerance((jw_range)r);
		cr_expect(tolerance >= 0.02 && tolerance <= 0.05, "%s", jw_range_name((jw_range)r));
		JW_NEAR_REL(jw_rejet_band((jw_range)r, 1), 2 * tolerance, 1e-15);
		JW_NEAR_REL(jw_rejet_band((jw_range)r, 0), r == JW_FULL ? -JW_REJET_LEANER : -2 * tolerance, 1e-15);
	}
	cr_expect(jw_rejet_tolerance(JW_FULL) == 0.02 && jw_rejet_tolerance(JW_QUARTER) == 0.05);
	cr_expect_eq(jw_rejet_tolerance(JW_RANGE_COUNT), 0);
}

/* Of a main jet in the ranges that it serves, all else ideal. */
static double main_cost_of(const jw_rejet_answer *a, double bore_m)
{
	jw_setup s = a->setup;
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (a->choice.piece[p].sought)
			jw_part_set(&s, (jw_part)p, p == JW_PART_MAIN_JET ? bore_m : a->choice.piece[p].ideal, NULL);
	return loss_of(&a->choice, JW_THREE_QUARTER, phi_at(&s, &a->air, JW_THREE_QUARTER)) +
	       loss_of(&a->choice, JW_FULL, phi_at(&s, &a->air, JW_FULL));
}

/* The cost as the header states it, worked out here again, but for that of the main jet. */
static double cost_of(const jw_rejet_choice *choice, const double *phi, double pilot_m, double turns, int moved)
{
	const jw_rejet_piece *pilot = &choice->piece[JW_PART_PILOT_JET], *screw = &choice->piece[JW_PART_MIXTURE_SCREW];
	const double bent = fmax(fabs(pilot_m - pilot->ideal) / pilot->was - 0.025, 0) / 0.075,
	             turned = fmax(fabs(turns - screw->ideal) - 0.125, 0) / 0.5;
	double cost = moved * JW_REJET_STAY + bent * bent + turned * turned;
	for (int r = JW_IDLE; r <= JW_HALF; r++)
		cost += loss_of(choice, r, phi[r]);
	return cost;
}

/* Not even by a trace, and not where steps of one part would have to grow worse first. */
Test(rejet, a_choice_is_too_lean_only_with_the_largest_jet)
{
	const jw_air air = mild_air();
	const char *const names[] = {"pump-200", "twin-480", "courier-150"};
	int at_largest = 0, within = 0;
	for (size_t b = 0; b < 3; b++) {
		const jw_setup s = bundled(names[b]);
		const jw_jet_set set = jets_about(&s, 7, 5, 0.02);
		for (double pressure = 66e3; pressure < 112e3; pressure += 1150) {
			const jw_rejet_change change = {.kind = JW_REJET_PRESSURE, .value = pressure};
			const jw_rejet_request request = {
			    .setup = &s, .air = &air, .change = &change, .changes = 1, .anchored = 1, .jets = &set};
			const jw_rejet_answer a = rejetted(&request);
			const int largest = a.choice.piece[JW_PART_MAIN_JET].chosen >= set.main[6].bore_m;
			cr_expect(a.choice.safe || largest, "%s, %g Pa", names[b], pressure);
			at_largest += largest, within += !largest;
		}
	}
	cr_expect(within > 20, "%d within, %d at the largest", within, at_largest);
}

/* Every set of a few jets, grooves and turns is tried: none that is safe costs less than the choice. */
Test(rejet, brute_force_finds_no_better_choice)
{
	const jw_air air = mild_air();
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_jet_set set = jets_about(&s, 7, 3, 0.03);
		const jw_rejet_change change[] = {{.kind = JW_REJET_PRESSURE, .value = 85.3e3},
		                                  {.kind = JW_REJET_BORE, .value = 1.03 * s.engine.bore_m}};
		const jw_rejet_request request = {.setup = &s,
		                                  .air = &air,
		                                  .change = change,
		                                  .changes = 2,
		                                  .anchored = 1,
		                                  .jets = &set,
		                                  .grooves = {3, 2, 0.7e-3}};
		const jw_rejet_answer a = rejetted(&request);
		const int grooves = a.choice.piece[JW_PART_NEEDLE_POSITION].sought ? 3 : 1;
		double least = INFINITY;
		for (int m = 0; m < set.mains; m++) {
			const double by_main = main_cost_of(&a, set.main[m].bore_m);
			for (int p = 0; p < set.pilots; p++)
				for (int g = 0; g < grooves; g++)
					for (int t = -4; t <= 4; t++) {
						jw_setup trial = a.setup;
						double phi[JW_RANGE_COUNT], turns = s.carburetor.screw.turns + t * JW_REJET_SCREW_STEP;
						if (turns < 0.25 || turns > 5)
							continue;
						jw_part_set(&trial, JW_PART_MAIN_JET, set.main[m].bore_m, NULL);
						jw_part_set(&trial, JW_PART_PILOT_JET, set.pilot[p].bore_m, NULL);
						jw_part_set(&trial, JW_PART_MIXTURE_SCREW, turns, NULL);
						if (grooves > 1)
							jw_part_set(&trial, JW_PART_NEEDLE_POSITION, (g - 1) * 0.7e-3, NULL);
						const int moved = (m != 3) + (p != 1) + (grooves > 1 && g != 1) + (t != 0);
						for (int r = 0; r < JW_RANGE_COUNT; r++)
							phi[r] = phi_at(&trial, &a.air, (jw_range)r);
						if (phi[JW_FULL] >= a.choice.target[JW_FULL] * (1 - JW_REJET_LEANER))
							least = fmin(least, by_main + cost_of(&a.choice, phi, set.pilot[p].bore_m, turns, moved));
					}
		}
		cr_expect(a.choice.safe, "%s", bundled_names[b]);
		cr_expect(a.choice.cost <= least * (1 + 1e-9) + 1e-9, "%s: %g, brute force %g", bundled_names[b], a.choice.cost,
		          least);
	}
}

/* Few main jets, none of them near the one that is wanted, and many pilot jets: the one that is fitted is within a size
 * and a half of its ideal, the screw within a turn. Where they helped full throttle they went up to 0.14 mm or 2.6
 * turns. */
Test(rejet, no_pilot_jet_makes_up_for_a_main_jet)
{
	static const struct {
		const char *engine;
		double pressure_pa, celsius, humidity;
		int ethanol;
	} rows[] = {{"four-600", 101325, -10, 0.9, 0},
	            {"trail-250", 101325, 35, 0.9, 0},
	            {"cruiser-1200", 74682, 20, 0.5, 0},
	            {"moped-50", 70108, 20, 0.5, 0},
	            {"estate-1100", 98e3, 20, 0.5, 1}};
	jw_jet_set set = {.mains = 21, .pilots = 9};
	for (int i = 0; i < 21; i++)
		set.main[i].bore_m = 0.8e-3 + i * 0.025e-3;
	for (int i = 0; i < 9; i++)
		set.pilot[i].bore_m = 0.3e-3 + i * 0.025e-3;
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const jw_air air = mild_air();
		const jw_setup s = bundled(rows[i].engine);
		const jw_rejet_change change[] = {
		    {.kind = JW_REJET_PRESSURE, .value = rows[i].pressure_pa},
		    {.kind = JW_REJET_TEMPERATURE, .value = 273.15 + rows[i].celsius},
		    {.kind = JW_REJET_HUMIDITY, .value = rows[i].humidity},
		    {.kind = JW_REJET_FUEL, .fuel = {.part = {{JW_ETHANOL, 0.85}, {JW_PETROL, 0.15}}, .parts = 2}}};
		const jw_rejet_request request = {.setup = &s,
		                                  .air = &air,
		                                  .change = change,
		                                  .changes = 3 + rows[i].ethanol,
		                                  .anchored = 1,
		                                  .jets = &set,
		                                  .grooves = {5, 3, 1e-3}};
		const jw_rejet_answer a = rejetted(&request);
		const jw_rejet_piece *pilot = &a.choice.piece[JW_PART_PILOT_JET],
		                     *screw = &a.choice.piece[JW_PART_MIXTURE_SCREW];
		cr_expect(fabs(pilot->chosen - pilot->ideal) < 1.5 * 0.025e-3, "%s: pilot %g, ideal %g", rows[i].engine,
		          pilot->chosen, pilot->ideal);
		cr_expect(fabs(screw->chosen - screw->ideal) < 1, "%s: %g turns, ideal %g", rows[i].engine, screw->chosen,
		          screw->ideal);
	}
}

/* With any bore trials begin with the main jet whose lambda is lower by 1.645 standard uncertainties (JCGM 100, table
 * G.1). */
Test(rejet, trials_with_any_bore_begin_on_the_rich_side)
{
	const jw_air air = mild_air();
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_rejet_change change = {.kind = JW_REJET_BORE, .value = 1.05 * s.engine.bore_m};
		const jw_rejet_request request = {.setup = &s, .air = &air, .change = &change, .changes = 1, .anchored = 1};
		const jw_rejet_answer a = rejetted(&request);
		const jw_rejet_piece *piece = &a.choice.piece[JW_PART_MAIN_JET];
		jw_setup trial = a.setup;
		for (int p = 0; p < JW_PART_COUNT; p++)
			if (a.choice.piece[p].sought)
				jw_part_set(&trial, (jw_part)p, a.choice.piece[p].chosen, NULL);
		jw_part_set(&trial, JW_PART_MAIN_JET, piece->start, NULL);
		cr_expect(piece->start_covers && piece->start > piece->chosen, "%s: %g", bundled_names[b], piece->start);
		JW_NEAR_ABS(log(phi_at(&trial, &a.air, JW_FULL) / a.choice.target[JW_FULL]),
		            1.645 * a.choice.relative_change[JW_FULL], 1e-6);
	}
}

/* Of two bores in series fuel goes with the area of one as the share of the pull that it takes (Bernoulli). Where a
 * main jet would have to be so large that it takes less than a quarter, trials begin where it takes that, and do not
 * cover. */
Test(rejet, trials_with_any_bore_begin_with_a_jet_that_meters)
{
	const jw_air air = mild_air();
	int capped = 0;
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_rejet_change change = {.kind = JW_REJET_FILTER, .value = 0};
		const jw_rejet_request request = {
		    .setup = &s, .air = &air, .change = &change, .changes = 1, .anchored = 1, .grooves = {5, 3, 1e-3}};
		const jw_rejet_answer a = rejetted(&request);
		const jw_rejet_piece *piece = &a.choice.piece[JW_PART_MAIN_JET];
		const double step = 0.025 * piece->was;
		double share[2];
		for (int i = 0; i < 2; i++) {
			jw_setup less = a.setup;
			for (int p = 0; p < JW_PART_COUNT; p++)
				if (a.choice.piece[p].sought)
					jw_part_set(&less, (jw_part)p, a.choice.piece[p].chosen, NULL);
			jw_setup more = less;
			const double from = piece->start + (i - 1) * step;
			jw_part_set(&less, JW_PART_MAIN_JET, from, NULL);
			jw_part_set(&more, JW_PART_MAIN_JET, from + step, NULL);
			share[i] =
			    log(phi_at(&more, &a.air, JW_FULL) / phi_at(&less, &a.air, JW_FULL)) / (2 * log(1 + step / from));
		}
		cr_expect(piece->start < piece->chosen + step / 2 || share[0] > 0.25, "%s: %g", bundled_names[b], share[0]);
		if (piece->start_covers)
			continue;
		cr_expect(share[1] <= 0.25 + 1e-6, "%s: %g", bundled_names[b], share[1]);
		capped++;
	}
	cr_expect(capped > 0, "none");
}

/* Jets far below what is wanted, about it, and far above; where trials begin is at hand by its place. */
Test(rejet, tells_what_lies_beyond_the_jets_at_hand)
{
	const jw_air air = mild_air();
	const jw_rejet_change change = {.kind = JW_REJET_PRESSURE, .value = 90e3};
	const double shares[] = {0.7, 1, 1.4};
	for (size_t b = 0; b < BUNDLED; b++)
		for (int i = 0; i < 3; i++) {
			const jw_setup s = bundled(bundled_names[b]);
			jw_setup other = s;
			jw_part_set(&other, JW_PART_MAIN_JET, shares[i] * s.carburetor.main.fuel_jet.diameter_m, NULL);
			const jw_jet_set set = jets_about(&other, 5, 5, 0.03);
			jw_rejet_change in = brass_of(&other);
			const jw_rejet_change both[] = {change, in};
			const jw_rejet_request request = {
			    .setup = &s, .air = &air, .change = both, .changes = 2, .anchored = 1, .jets = &set};
			const jw_rejet_answer a = rejetted(&request);
			const jw_rejet_piece *main = &a.choice.piece[JW_PART_MAIN_JET];
			cr_expect_eq(main->beyond, 1 - i, "%s, %g: ideal %g", bundled_names[b], shares[i], main->ideal);
			cr_expect(main->start_place >= 0 && main->start_place < set.mains);
			JW_NEAR_REL(set.main[main->start_place].bore_m, main->start, 1e-12);
		}
}

/* Below full throttle the first trial is no leaner than what is wanted; where even the choice is leaner than its
 * tolerance there are none. */
Test(rejet, no_trials_begin_on_the_lean_side)
{
	static const char *const engines[] = {"moped-50", "trail-250", "twin-480"};
	const jw_air air = mild_air();
	int trials = 0, none = 0;
	for (size_t e = 0; e < 3; e++) {
		const jw_setup s = bundled(engines[e]);
		const jw_jet_set set = jets_about(&s, 7, 5, 0.07);
		for (double pressure = 65e3; pressure < 105e3; pressure += 4e3) {
			const jw_rejet_change change = {.kind = JW_REJET_PRESSURE, .value = pressure};
			const jw_rejet_request request = {.setup = &s,
			                                  .air = &air,
			                                  .change = &change,
			                                  .changes = 1,
			                                  .anchored = 1,
			                                  .jets = &set,
			                                  .grooves = {5, 3, 1e-3}};
			const jw_rejet_answer a = rejetted(&request);
			const jw_part parts[] = {JW_PART_NEEDLE_POSITION, JW_PART_PILOT_JET};
			for (int i = 0; i < 2; i++) {
				const jw_rejet_piece *piece = &a.choice.piece[parts[i]];
				const jw_range at = jw_rejet_tells(parts[i]);
				jw_setup first = a.setup;
				for (int p = 0; p < JW_PART_COUNT; p++)
					if (a.choice.piece[p].sought)
						jw_part_set(&first, (jw_part)p,
						            p == (int)parts[i] ? a.choice.piece[p].start : a.choice.piece[p].chosen, NULL);
				const int is_tried = piece->start > piece->chosen + 1e-9,
				          is_lean = log(a.choice.phi[at] / a.choice.target[at]) < -jw_rejet_tolerance(at);
				if (is_tried)
					cr_expect(phi_at(&first, &a.air, at) > a.choice.target[at] * (1 - 1e-6), "%s, %g Pa, part %d: %g",
					          engines[e], pressure, parts[i], 1 / phi_at(&first, &a.air, at));
				cr_expect(!is_lean || (!is_tried && !piece->start_covers), "%s, %g Pa, part %d", engines[e], pressure,
				          parts[i]);
				trials += is_tried;
				none += is_lean;
			}
		}
	}
	cr_expect(trials > 10 && none >= 3, "%d with trials, %d out of reach", trials, none);
}

/* Where every part stays the doubt of lambda with what is fitted is that of lambda as it is, whether the lambda wanted
 * is named or not. */
Test(choice, that_changes_nothing_has_the_doubt_of_what_there_is)
{
	const jw_air air = mild_air();
	const jw_setup s = scooter();
	const jw_jet_set set = {.mains = 0};
	const jw_rejet_change change = {.kind = JW_REJET_TEMPERATURE, .value = air.temperature_k + 0.1};
	jw_rejet_request request = {.setup = &s,
	                            .air = &air,
	                            .change = &change,
	                            .changes = 1,
	                            .anchored = 1,
	                            .jets = &set,
	                            .grooves = {3, 2, 0.7e-3}};
	const jw_rejet_answer a = rejetted(&request);
	request.target_lambda[JW_FULL] = 1 / a.range[JW_FULL].before.phi;
	const jw_rejet_answer named = rejetted(&request);
	cr_expect_eq(a.choice.piece[JW_PART_MAIN_JET].chosen, a.choice.piece[JW_PART_MAIN_JET].was);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		JW_NEAR_REL(a.choice.relative_after[r], a.range[r].relative_after, 1e-9);
		JW_NEAR_REL(named.choice.relative_after[r], a.choice.relative_after[r], 1e-9);
		JW_NEAR_REL(a.choice.relative_change[r], a.range[r].relative_change, 1e-9);
	}
	JW_NEAR_REL(named.choice.relative_change[JW_FULL], named.choice.relative_after[JW_FULL], 1e-9);
}

/* What is told of the start of the trials is the mixture with the parts that they start with. */
Test(rejet, trials_begin_with_the_mixture_that_is_told)
{
	const jw_air air = mild_air();
	const jw_setup s = scooter();
	const jw_jet_set set = jets_about(&s, 7, 3, 0.03);
	const jw_rejet_change change = {.kind = JW_REJET_BORE, .value = 1.05 * s.engine.bore_m};
	const jw_rejet_request request = {.setup = &s,
	                                  .air = &air,
	                                  .change = &change,
	                                  .changes = 1,
	                                  .anchored = 1,
	                                  .jets = &set,
	                                  .grooves = {3, 2, 0.7e-3}};
	const jw_rejet_answer a = rejetted(&request);
	jw_setup trial = a.setup;
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (a.choice.piece[p].sought)
			jw_part_set(&trial, (jw_part)p, a.choice.piece[p].start, NULL);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		JW_NEAR_REL(a.choice.start[r], phi_at(&trial, &a.air, (jw_range)r), 1e-9);
}

/* However the other parts are rounded to what there is of them, any bore brings full throttle on its target; the jet
 * that is in stays where that would hardly be another, and then moves fuel by less than its area would. */
Test(rejet, with_any_bore_full_throttle_is_met)
{
	const jw_air air = mild_air();
	int stays = 0;
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_rejet_change change = {.kind = JW_REJET_BORE, .value = 1.05 * s.engine.bore_m};
		const jw_rejet_request request = {
		    .setup = &s, .air = &air, .change = &change, .changes = 1, .anchored = 1, .grooves = {3, 2, 1.3e-3}};
		const jw_rejet_answer a = rejetted(&request);
		jw_setup chosen = a.setup;
		for (int p = 0; p < JW_PART_COUNT; p++)
			if (a.choice.piece[p].sought)
				jw_part_set(&chosen, (jw_part)p, a.choice.piece[p].chosen, NULL);
		const jw_rejet_piece *main = &a.choice.piece[JW_PART_MAIN_JET];
		const double off = log(phi_at(&chosen, &a.air, JW_FULL) / a.choice.target[JW_FULL]);
		JW_NEAR_ABS(off, 0, main->chosen == main->was ? 2 * JW_REJET_SAME_BORE : 1e-6);
		cr_expect_gt(off, -1.05 * JW_REJET_LEANER);
		stays += main->chosen == main->was;
	}
	cr_expect(stays > 0 && stays < (int)BUNDLED, "%d", stays);
}

/* Of the parts chosen but for the pilot jet. */
static double cost_with_pilot(const jw_rejet_answer *a, double pilot_m)
{
	double phi[JW_RANGE_COUNT];
	int moved = 0;
	jw_setup s = a->setup;
	for (int p = 0; p < JW_PART_COUNT; p++) {
		const jw_rejet_piece *piece = &a->choice.piece[p];
		const double value = p == JW_PART_PILOT_JET ? pilot_m : piece->chosen;
		if (piece->sought)
			jw_part_set(&s, (jw_part)p, value, NULL);
		moved += piece->sought && value != piece->was;
	}
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		phi[r] = phi_at(&s, &a->air, (jw_range)r);
	return cost_of(&a->choice, phi, pilot_m, a->choice.piece[JW_PART_MIXTURE_SCREW].chosen, moved);
}

/* Whether the pilot jet stays or becomes the ideal one, the other would be no better; a thousand metres up it stays in
 * most: the main jet is changed first (common practice, no source). */
Test(rejet, with_any_bore_a_pilot_jet_stays_that_is_as_good)
{
	const jw_air air = mild_air();
	const double pressures[] = {101325, 89875, 74682}; /* at 0, 1000 and 2500 m: ISO 2533:1975, table 5 */
	int stays[3] = {0};
	for (size_t b = 0; b < BUNDLED; b++)
		for (int i = 0; i < 3; i++) {
			const jw_setup s = bundled(bundled_names[b]);
			const jw_rejet_change change[] = {{.kind = JW_REJET_PRESSURE, .value = pressures[i]},
			                                  {.kind = JW_REJET_TEMPERATURE, .value = air.temperature_k - 12}};
			const jw_rejet_request request = {
			    .setup = &s, .air = &air, .change = change, .changes = 2, .anchored = 1, .grooves = {5, 3, 1e-3}};
			const jw_rejet_answer a = rejetted(&request);
			const jw_rejet_piece *pilot = &a.choice.piece[JW_PART_PILOT_JET];
			const int stayed = pilot->chosen == pilot->was;
			cr_expect(stayed || pilot->chosen == pilot->ideal, "%s", bundled_names[b]);
			cr_expect_geq(cost_with_pilot(&a, stayed ? pilot->ideal : pilot->was), cost_with_pilot(&a, pilot->chosen),
			              "%s, %g Pa", bundled_names[b], pressures[i]);
			stays[i] += stayed;
		}
	cr_expect(stays[1] >= 5 && stays[2] < (int)BUNDLED, "%d, %d and %d", stays[0], stays[1], stays[2]);
}

/* A tenth of a degree calls for no other jet, and one at hand that is 0.26 % wider (60 thousandths of an inch for
 * 1.520 mm) is none. */
Test(rejet, what_hardly_differs_stays)
{
	const jw_air air = mild_air();
	const jw_rejet_change warmer = {.kind = JW_REJET_TEMPERATURE, .value = air.temperature_k + 0.1};
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const double bore_m = s.carburetor.main.fuel_jet.diameter_m;
		const jw_jet_set set = {.mains = 3,
		                        .main = {{1, 0.97 * bore_m}, {2, 1.524 / 1.520 * bore_m}, {3, 1.03 * bore_m}}};
		const jw_rejet_request any = {
		    .setup = &s, .air = &air, .change = &warmer, .changes = 1, .anchored = 1, .grooves = {5, 3, 1e-3}};
		jw_rejet_request listed = any;
		listed.jets = &set;
		const jw_rejet_answer a = rejetted(&any), l = rejetted(&listed);
		for (int p = 0; p < JW_PART_COUNT; p++)
			cr_expect(a.choice.piece[p].chosen == a.choice.piece[p].was, "%s: %s", bundled_names[b],
			          jw_part_name((jw_part)p));
		const jw_rejet_piece *main = &l.choice.piece[JW_PART_MAIN_JET];
		cr_expect(main->chosen == bore_m && main->place == -1 && main->at_hand == 3, "%s: %g of %d", bundled_names[b],
		          main->chosen / bore_m, main->at_hand);
	}
}

/* Ranges that feel a part most, by more than half of what the one does that feels it most, and lie more than two
 * tolerances apart with every part ideal: no part serves both. */
Test(rejet, tells_which_ranges_a_part_cannot_serve_both)
{
	const jw_air air = mild_air();
	const jw_rejet_change change = {.kind = JW_REJET_PRESSURE, .value = 74682}; /* at 2500 m: ISO 2533:1975, table 5 */
	int torn = 0, whole = 0;
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_rejet_request request = {.setup = &s, .air = &air, .change = &change, .changes = 1, .anchored = 1};
		const jw_rejet_answer a = rejetted(&request);
		for (int p = 0; p < JW_PART_COUNT; p++) {
			const jw_rejet_piece *piece = &a.choice.piece[p];
			double off[JW_RANGE_COUNT], most = 0;
			int lean = -1, rich = -1;
			for (int r = 0; r < JW_RANGE_COUNT; r++) {
				off[r] = log(a.choice.ideal[r] / a.choice.target[r]) / jw_rejet_tolerance((jw_range)r);
				most = fmax(most, fabs(piece->effect[r]));
			}
			for (int r = 0; r < JW_RANGE_COUNT; r++) {
				if (fabs(piece->effect[r]) <= most / 2)
					continue;
				lean = lean < 0 || off[r] < off[lean] ? r : lean;
				rich = rich < 0 || off[r] > off[rich] ? r : rich;
			}
			if (!piece->sought)
				continue;
			cr_expect_eq(piece->torn, off[rich] - off[lean] > 2, "%s, part %d", bundled_names[b], p);
			cr_expect(piece->lean == (jw_range)lean && piece->rich == (jw_range)rich, "%s, part %d", bundled_names[b],
			          p);
			torn += piece->torn;
			whole += !piece->torn;
		}
	}
	cr_expect(torn > 0 && whole > 0, "%d and %d", torn, whole);
}

/* Jets, needle and screw put out at random, with lambda of the right ones as target: the right ones come back. */
Test(rejet, detuned_jets_are_found_again)
{
	const jw_air air = mild_air();
	draw d = {20240607};
	for (size_t b = 0; b < BUNDLED; b++) {
		const jw_setup s = bundled(bundled_names[b]);
		const jw_jet_set set = jets_about(&s, 9, 7, 0.025);
		for (int k = 0; k < 3; k++) {
			jw_rejet_change change = brass_of(&s);
			const int groove = 1 + (int)draw_between(&d, 0, 4.999);
			const int needle = s.carburetor.needle.straight_m > 0;
			const int main = (int)draw_between(&d, 0, 8.999), pilot = (int)draw_between(&d, 0, 6.999);
			change.part[JW_PART_MAIN_JET] = set.main[main].bore_m;
			change.part[JW_PART_PILOT_JET] = set.pilot[pilot].bore_m;
			if (needle)
				change.part[JW_PART_NEEDLE_POSITION] += (groove - 3) * 0.8e-3;
			jw_rejet_request request = {.setup = &s,
			                            .air = &air,
			                            .change = &change,
			                            .changes = 1,
			                            .anchored = 1,
			                            .jets = &set,
			                            .grooves = {5, groove, 0.8e-3}};
			const jw_rejet_answer a = rejetted(&request);
			const jw_rejet_piece *piece = a.choice.piece;
			cr_expect_eq(piece[JW_PART_MAIN_JET].place, 4, "%s %d: main %d", bundled_names[b], k,
			             piece[JW_PART_MAIN_JET].place);
			cr_expect_eq(piece[JW_PART_PILOT_JET].place, 3, "%s %d: pilot %d", bundled_names[b], k,
			             piece[JW_PART_PILOT_JET].place);
			if (needle)
				cr_expect_eq(piece[JW_PART_NEEDLE_POSITION].place, 3, "%s %d: groove %d", bundled_names[b], k,
				             piece[JW_PART_NEEDLE_POSITION].place);
			cr_expect(fabs(piece[JW_PART_MIXTURE_SCREW].chosen - s.carburetor.screw.turns) < 1e-9, "%s %d: %g turns",
			          bundled_names[b], k, piece[JW_PART_MIXTURE_SCREW].chosen);
			cr_expect(fabs(piece[JW_PART_MAIN_JET].ideal / s.carburetor.main.fuel_jet.diameter_m - 1) < 0.025,
			          "%s %d: ideal %g", bundled_names[b], k, piece[JW_PART_MAIN_JET].ideal);
			for (int r = 0; r < JW_RANGE_COUNT; r++)
				cr_expect(fabs(log(a.choice.ideal[r] / a.choice.target[r])) < jw_rejet_tolerance((jw_range)r),
				          "%s %d range %d: ideal %g, wanted %g", bundled_names[b], k, r, 1 / a.choice.ideal[r],
				          1 / a.choice.target[r]);
		}
	}
}

/* By the usual step of the header: 2.5 % of a bore, half a millimetre of needle, an eighth of a turn, half of it either
 * way. */
Test(choice, tells_what_a_usual_step_of_each_part_does)
{
	const jw_air air = mild_air();
	const jw_setup s = bundled("trail-250");
	const jw_rejet_change change = {.kind = JW_REJET_PRESSURE, .value = 90e3};
	const jw_rejet_request request = {
	    .setup = &s, .air = &air, .change = &change, .changes = 1, .anchored = 1, .grooves = {5, 2, 0.6e-3}};
	const jw_rejet_answer a = rejetted(&request);
	const double step[JW_PART_COUNT] = {[JW_PART_MAIN_JET] = 0.025 * jw_part_value(&s, JW_PART_MAIN_JET),
	                                    [JW_PART_PILOT_JET] = 0.025 * jw_part_value(&s, JW_PART_PILOT_JET),
	                                    [JW_PART_NEEDLE_POSITION] = 0.5e-3,
	                                    [JW_PART_MIXTURE_SCREW] = 0.125};
	jw_setup chosen = a.setup;
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (a.choice.piece[p].sought)
			cr_assert(jw_part_set(&chosen, (jw_part)p, a.choice.piece[p].chosen, NULL) >= 0);
	int told = 0;
	for (int p = 0; p < JW_PART_COUNT; p++) {
		if (!a.choice.piece[p].sought)
			continue;
		jw_setup more = chosen, less = chosen;
		jw_part_set(&more, (jw_part)p, a.choice.piece[p].chosen + 0.5 * step[p], NULL);
		jw_part_set(&less, (jw_part)p, a.choice.piece[p].chosen - 0.5 * step[p], NULL);
		for (int r = 0; r < JW_RANGE_COUNT; r++)
			JW_NEAR_ABS(a.choice.piece[p].effect[r],
			            log(phi_at(&more, &a.air, (jw_range)r) / phi_at(&less, &a.air, (jw_range)r)), 1e-6);
		told++;
	}
	cr_expect_eq(told, 4);
	cr_expect(a.choice.piece[JW_PART_MAIN_JET].effect[JW_FULL] > 0.01);
}

/* The fitted jet among those of the set counts once, one that is none of them besides; a needle hangs in one of its
 * grooves; with any bore at hand there is nothing to count. */
Test(choice, counts_what_is_at_hand)
{
	const jw_air air = mild_air();
	const jw_setup s = bundled("trail-250");
	const double pilot_m = jw_part_value(&s, JW_PART_PILOT_JET);
	jw_jet_set jets = jets_about(&s, 3, 2, 0.05);
	jets.pilot[0].bore_m = 0.9 * pilot_m;
	jets.pilot[1].bore_m = 1.1 * pilot_m;
	jw_rejet_request request = {.setup = &s, .air = &air, .anchored = 1, .jets = &jets, .grooves = {5, 2, 0.6e-3}};
	jw_rejet_answer a = rejetted(&request);
	cr_expect_eq(a.choice.piece[JW_PART_MAIN_JET].at_hand, 3);
	cr_expect_eq(a.choice.piece[JW_PART_PILOT_JET].at_hand, 3);
	cr_expect_eq(a.choice.piece[JW_PART_NEEDLE_POSITION].at_hand, 5);
	cr_expect_eq(a.choice.piece[JW_PART_MAIN_JET].place, 1);
	cr_expect_eq(a.choice.piece[JW_PART_PILOT_JET].place, -1);
	cr_expect_eq(a.choice.piece[JW_PART_NEEDLE_POSITION].place, 2);

	int moved = 0;
	for (int p = 0; p < JW_PART_COUNT; p++)
		moved += a.choice.piece[p].chosen != a.choice.piece[p].was;
	JW_NEAR_ABS(a.choice.cost,
	            main_cost_of(&a, a.choice.piece[JW_PART_MAIN_JET].chosen) +
	                cost_of(&a.choice, a.choice.phi, a.choice.piece[JW_PART_PILOT_JET].chosen,
	                        a.choice.piece[JW_PART_MIXTURE_SCREW].chosen, moved),
	            1e-9);
	request.jets = NULL;
	a = rejetted(&request);
	cr_expect_eq(a.choice.piece[JW_PART_MAIN_JET].at_hand, 1);
	cr_expect_eq(a.choice.piece[JW_PART_PILOT_JET].at_hand, 1);
}
