/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Friction in a hose. */
#include "near.h"
#include <jetwright/flow.h>

static const jw_liquid_flow petrol = {745, 0.58e-6};

static double drop_of(double bore_m, double length_m, double kg_s)
{
	double drop_pa = NAN;
	cr_assert_eq(jw_pipe_drop(bore_m, length_m, &petrol, kg_s, &drop_pa, NULL), JW_OK);
	return drop_pa;
}

static double reynolds_of(double bore_m, double kg_s)
{
	return kg_s * 4 / (acos(-1) * bore_m * petrol.density_kg_m3 * petrol.viscosity_m2_s);
}

/* Laminar: Hagen and Poiseuille, 128 nu m L / (pi d^4), down to a flow of next to nothing. */
Test(pipe, creeps_by_hagen_and_poiseuille)
{
	for (double kg_s = 1e-310; kg_s < 1e-4; kg_s *= 1e10) {
		const double drop = 128 * petrol.viscosity_m2_s * kg_s * 0.4 / (acos(-1) * pow(5e-3, 4));
		cr_expect_lt(reynolds_of(5e-3, kg_s), 1000);
		JW_NEAR_ABS(drop_of(5e-3, 0.4, kg_s), drop, 1e-9 * drop + 1e-300);
	}
	const double below_100 = 90.0 / reynolds_of(5e-3, 1), above = 110.0 / reynolds_of(5e-3, 1);
	JW_NEAR_REL(drop_of(5e-3, 0.4, above) / drop_of(5e-3, 0.4, below_100), 110.0 / 90.0, 1e-6);
}

/* Turbulent in a smooth pipe: Prandtl's law 1/sqrt(f) = 2 log10(Re sqrt(f)) - 0.8 (White, Fluid Mechanics, 7th
 * ed., 6.38), which Churchill's formula (Chem. Eng. 84 (1977) no. 24, 91) meets within 2 %; and no step on the way
 * there. */
Test(pipe, is_smooth_when_turbulent)
{
	for (double re = 1e4; re < 1e7; re *= 1.7) {
		double f = 0.02;
		for (int i = 0; i < 50; i++)
			f = 1 / pow(2 * log10(re * sqrt(f)) - 0.8, 2);
		JW_NEAR_REL(jw_friction_factor(re), f, 0.02);
	}
	for (double re = 50; re < 1e6; re *= 1.01)
		cr_expect(jw_friction_factor(1.01 * re) * 1.01 * 1.01 > jw_friction_factor(re), "drop falls at Re %g", re);
}

/* The law of similar flows: drop by length and dynamic pressure depends on the Reynolds number alone; and it turns
 * round with the flow. */
Test(pipe, is_alike_at_one_reynolds_number)
{
	for (double kg_s = 1e-5; kg_s < 0.3; kg_s *= 4) {
		const double one = drop_of(4e-3, 0.5, kg_s), wide = drop_of(8e-3, 1.0, 2 * kg_s);
		JW_NEAR_REL(wide, one / 4, 1e-12);
		JW_NEAR_REL(drop_of(4e-3, 1.0, kg_s), 2 * one, 1e-12);
		cr_expect_eq(drop_of(4e-3, 0.5, -kg_s), -one);
		const double speed = kg_s / (petrol.density_kg_m3 * acos(-1) / 4 * 16e-6);
		JW_NEAR_REL(one,
		            jw_friction_factor(reynolds_of(4e-3, kg_s)) * 0.5 / 4e-3 * petrol.density_kg_m3 * speed * speed / 2,
		            1e-12);
	}
	cr_expect_eq(drop_of(4e-3, 0.5, 0), 0);
	cr_expect_eq(drop_of(4e-3, 0, 1e-3), 0);
}

Test(pipe, refuses_what_is_none)
{
	static const struct {
		double bore_m, length_m, kg_s, density, viscosity;
		const char *field;
		double high;
	} rows[] = {
	    {1.01, 1, 1e-3, 745, 0.58e-6, "bore_m", 1},          {0, 1, 1e-3, 745, 0.58e-6, "bore_m", 1},
	    {5e-3, -1e-3, 1e-3, 745, 0.58e-6, "length_m", 1e3},  {5e-3, 1001, 1e-3, 745, 0.58e-6, "length_m", 1e3},
	    {5e-3, 1, 1001, 745, 0.58e-6, "kg_s", 1e3},          {5e-3, 1, -1001, 745, 0.58e-6, "kg_s", 1e3},
	    {5e-3, 1, 1e-3, 0.9, 0.58e-6, "density_kg_m3", 1e5}, {5e-3, 1, 1e-3, 745, 0, "viscosity_m2_s", 1},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const jw_liquid_flow liquid = {rows[i].density, rows[i].viscosity};
		double drop = 7;
		jw_error error = {0};
		cr_expect_eq(jw_pipe_drop(rows[i].bore_m, rows[i].length_m, &liquid, rows[i].kg_s, &drop, &error), JW_E_RANGE,
		             "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
		cr_expect_eq(error.high, rows[i].high, "row %zu", i);
		cr_expect_eq(drop, 7);
	}
	double drop = 7;
	cr_expect_eq(jw_pipe_drop(5e-3, 1, &petrol, NAN, &drop, NULL), JW_E_NOT_FINITE);
	cr_expect_eq(jw_pipe_drop(1, 1e3, &petrol, 1e3, &drop, NULL), JW_OK);
}
