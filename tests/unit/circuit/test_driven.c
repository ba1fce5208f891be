/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A well whose fuel is given, beside one that draws it through its jet. */
#include "base/base.h"
#include "circuit/near.h"
#include "draw.h"
#include "near.h"

#define DRAWS 3000

static const jw_liquid_flow petrol = {745, 0.57e-6};
static const jw_gas mild = {293.15, 287.9, 1.81e-5};

/* Bled circuits of one to three outlets between bowl and throat or manifold. */
static void any(draw *d, jw_circuit *c, jw_circuit_ends *e)
{
	*c = (jw_circuit){.fuel_jet = {draw_between(d, 0.35e-3, 1.5e-3), 2e-3, 0},
	                  .air_jet = {draw_between(d, 0, 1) < 0.2 ? 0 : draw_between(d, 0.4e-3, 1.6e-3), 3e-3, 0},
	                  .bleed_depth_m = draw_between(d, -10e-3, 20e-3),
	                  .outlet_height_m = draw_between(d, 2e-3, 25e-3),
	                  .fuel_coefficient = draw_between(d, 0.8, 1.2)};
	*e = (jw_circuit_ends){.bowl_pa = 101325, .air_pa = 101325 - draw_between(d, 0, 300), .fuel = petrol, .air = mild};
	e->outlets = 1 + (int)draw_between(d, 0, 2.999);
	for (int i = 0; i < e->outlets; i++)
		e->outlet[i] =
		    (jw_outlet){exp(draw_between(d, log(2e-7), log(6e-6))), 101325 - exp(draw_between(d, log(400), log(60e3)))};
}

static double out_of(const jw_circuit_ends *e, const jw_circuit_flow *f)
{
	double sum = 0;
	for (int i = 0; i < e->outlets; i++)
		sum += f->outlet_kg_s[i];
	return sum;
}

/* Given what its jet draws, a well stands where it stood then, bleeds as much and lets out as much, wherever the search
 * begins. Above the air at its air jet it lets out there too, which one that draws does not. */
Test(driven, by_what_its_jet_draws_it_is_the_same)
{
	draw d = {51};
	int bled = 0, covered = 0;
	for (int i = 0; i < DRAWS; i++) {
		jw_circuit c;
		jw_circuit_ends e;
		jw_circuit_flow drawn, given;
		any(&d, &c, &e);
		cr_assert_geq(jw_circuit_solve(&c, &e, &drawn, NULL), 0);
		const int lets_out = c.air_jet.diameter_m > 0 && drawn.well_pa > e.air_pa;
		if (!(drawn.fuel_kg_s > 1e-7) || lets_out)
			continue;
		const double starts[] = {NAN, drawn.well_pa + 500, 60e3, 101e3};
		jw_well_near near = {starts[i % 4], NAN};
		jw_error error = {0};
		cr_assert_geq(jw_circuit_driven(&c, &e, drawn.fuel_kg_s, &near, &given, &error), 0, "%d: %s", i, error.field);
		const double pull = e.bowl_pa - drawn.well_pa + 10;
		cr_expect(fabs(given.well_pa - drawn.well_pa) < 1e-5 * fabs(pull) + 0.01, "%d: well %.9g, %.9g", i,
		          given.well_pa, drawn.well_pa);
		cr_expect_eq(near.well_pa, given.well_pa);
		cr_expect_gt(near.slope, 0);
		cr_expect_eq(given.fuel_kg_s, drawn.fuel_kg_s);
		JW_NEAR_ABS(given.bleed_kg_s, drawn.bleed_kg_s, 1e-4 * drawn.bleed_kg_s + 1e-10);
		JW_NEAR_ABS(given.quality, drawn.quality, 1e-4);
		JW_NEAR_ABS(out_of(&e, &given), given.fuel_kg_s + given.bleed_kg_s,
		            1e-5 * (given.fuel_kg_s + given.bleed_kg_s));
		for (int k = 0; k < e.outlets; k++)
			JW_NEAR_ABS(given.outlet_kg_s[k], drawn.outlet_kg_s[k], 1e-4 * fabs(drawn.outlet_kg_s[k]) + 1e-9);
		bled += drawn.bleed_kg_s > 0;
		covered += !(drawn.bleed_kg_s > 0);
	}
	cr_expect(bled > DRAWS / 5 && covered > DRAWS / 20, "%d bled, %d not", bled, covered);
}

/* More fuel lifts the well, and never lets it bleed more. Past what the outlets draw by themselves, pressed out above
 * the highest of them. */
Test(driven, more_fuel_lifts_the_well)
{
	draw d = {53};
	for (int i = 0; i < 300; i++) {
		jw_circuit c;
		jw_circuit_ends e;
		any(&d, &c, &e);
		double well = 0, bleed = INFINITY;
		for (double kg_s = 1e-6; kg_s < 5e-3; kg_s *= 2.7) {
			jw_well_near near = {NAN, NAN};
			jw_circuit_flow f;
			if (jw_circuit_driven(&c, &e, kg_s, &near, &f, NULL) < 0)
				continue;
			cr_expect(f.well_pa > well && f.bleed_kg_s <= bleed * (1 + 1e-6) + 1e-12,
			          "%d, %g kg/s: well %.9g after %.9g", i, kg_s, f.well_pa, well);
			well = f.well_pa;
			bleed = f.bleed_kg_s;
		}
		cr_expect_gt(well, 0);
	}
}

/* The column from the bleed holes to the outlet: of liquid while the well covers the holes, rho g h; bled, less, and
 * never less than nothing. */
Test(driven, column_is_liquid_while_the_holes_are_covered)
{
	draw d = {57};
	for (int i = 0; i < 300; i++) {
		jw_circuit c;
		jw_circuit_ends e;
		any(&d, &c, &e);
		const double liquid = 745 * 9.80665 * (c.outlet_height_m + c.bleed_depth_m);
		if (!(liquid > 0) || !(c.air_jet.diameter_m > 0))
			continue;
		JW_NEAR_REL(jw_circuit_head(&c, &e, e.air_pa + 2 * liquid + 10), liquid, 1e-6);
		double before = liquid * (1 + 1e-9);
		for (double below = 0; below < 3 * liquid; below += liquid / 7) {
			const double head = jw_circuit_head(&c, &e, e.air_pa - below);
			cr_expect(head <= before && head >= 0 && head <= liquid * (1 + 1e-9), "%d: %g of %g", i, head, liquid);
			before = head;
		}
		cr_expect_lt(before, liquid);
	}
}
