/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/fuel.h>
#include <string.h>

static jw_fuel ethanol_blend(double ethanol)
{
	return (jw_fuel){.part = {{JW_PETROL, 1.0 - ethanol, 737.3, 1.93}, {JW_ETHANOL, ethanol, 0.0, 0.0}}, .parts = 2};
}

static jw_fuel_state state_at(const jw_fuel *fuel, double temperature_k)
{
	jw_fuel_state state = {0};
	cr_assert_geq(jw_fuel_at(fuel, temperature_k, &state, NULL), 0);
	return state;
}

Test(fuel, petrol_keeps_the_density_it_was_given)
{
	for (double density = 653.0; density <= 787.0; density += 2.9) {
		jw_fuel fuel = {.part = {{JW_PETROL, 1.0, density, 0.0}}, .parts = 1};
		/* Three sweeps leave 1e-10 in the transition group. */
		JW_NEAR_REL(state_at(&fuel, 288.15).density_kg_m3, density, 1e-9);
	}
}

Test(fuel, petrol_agrees_with_the_factor_from_60_f)
{
	/* 60 F is 288.7056 K: from the density there, the public factor leads to any other temperature. */
	jw_fuel fuel = {.part = {{JW_PETROL, 1.0, 751.7, 0.0}}, .parts = 1};
	double rho60 = state_at(&fuel, 288.15 + 1.0 / 1.8).density_kg_m3, factor;
	for (double t = 246.2; t < 333.0; t += 9.7) {
		cr_assert_eq(jw_petroleum_volume_factor(rho60, t, &factor, NULL), JW_OK);
		JW_NEAR_REL(state_at(&fuel, t).density_kg_m3, rho60 * factor, 1e-9);
	}
}

Test(fuel, every_liquid_expands_and_thins_with_heat)
{
	for (int liquid = 0; liquid < JW_LIQUID_COUNT; liquid++) {
		double last_density = HUGE_VAL, last_viscosity = HUGE_VAL;
		for (double t = 213.2; t < 393.0; t += 8.3) {
			double density, viscosity;
			cr_assert_geq(jw_liquid_at((jw_liquid)liquid, t, &density, &viscosity, NULL), 0);
			cr_expect(density > 500.0 && density < last_density, "%s at %g K: %g", jw_liquid_name(liquid), t, density);
			cr_expect(viscosity > 5e-5 && viscosity < last_viscosity, "%s at %g K: %g", jw_liquid_name(liquid), t,
			          viscosity);
			last_density = density;
			last_viscosity = viscosity;
		}
	}
}

Test(fuel, one_part_is_the_liquid_itself)
{
	for (int liquid = 0; liquid < JW_LIQUID_COUNT; liquid++) {
		jw_fuel fuel = {.part = {{(jw_liquid)liquid, 1.0, 0.0, 0.0}}, .parts = 1};
		double density, viscosity;
		cr_assert_eq(jw_liquid_at((jw_liquid)liquid, 303.7, &density, &viscosity, NULL), JW_OK);
		jw_fuel_state state = state_at(&fuel, 303.7);
		JW_NEAR_REL(state.density_kg_m3, density, 1e-14);
		JW_NEAR_REL(state.viscosity_m2_s * density, viscosity, 1e-14);
	}
}

Test(fuel, a_blend_lies_between_its_parts_and_does_not_mind_their_order)
{
	jw_fuel_state petrol, pure, last;
	jw_fuel fuel = ethanol_blend(0.0), spirit = ethanol_blend(1.0);
	petrol = last = state_at(&fuel, 297.4);
	pure = state_at(&spirit, 297.4);
	for (double share = 0.07; share < 1.0; share += 0.13) {
		fuel = ethanol_blend(share);
		jw_fuel_state state = state_at(&fuel, 297.4);
		cr_expect_lt(state.stoichiometric_afr, last.stoichiometric_afr, "E%g", share);
		cr_expect_lt(state.heating_value_j_kg, last.heating_value_j_kg, "E%g", share);
		cr_expect_gt(state.oxygen_mass_fraction, last.oxygen_mass_fraction, "E%g", share);
		cr_expect_gt(state.viscosity_m2_s, last.viscosity_m2_s, "E%g", share);
		cr_expect(state.density_kg_m3 > petrol.density_kg_m3 && state.density_kg_m3 < pure.density_kg_m3, "E%g", share);
		jw_fuel swapped = {.part = {fuel.part[1], fuel.part[0]}, .parts = 2};
		JW_NEAR_REL(state_at(&swapped, 297.4).density_kg_m3, state.density_kg_m3, 1e-15);
		last = state;
	}
}

Test(fuel, splitting_a_part_changes_nothing)
{
	jw_fuel whole = ethanol_blend(0.3), split = whole;
	split.part[1].volume_fraction = 0.11;
	split.part[2] = split.part[1];
	split.part[2].volume_fraction = 0.19;
	split.parts = 3;
	jw_fuel_state a = state_at(&whole, 271.9), b = state_at(&split, 271.9);
	JW_NEAR_REL(b.density_kg_m3, a.density_kg_m3, 1e-14);
	JW_NEAR_REL(b.viscosity_m2_s, a.viscosity_m2_s, 1e-13);
	JW_NEAR_REL(b.stoichiometric_afr, a.stoichiometric_afr, 1e-14);
}

Test(fuel, premix_oil_thickens_and_weighs)
{
	jw_fuel straight = {.part = {{JW_PETROL, 1.0, 0.0, 0.0}}, .parts = 1};
	jw_fuel premix = {.part = {{JW_PETROL, 0.97, 0.0, 0.0}, {JW_PREMIX_OIL, 0.03, 0.0, 0.0}}, .parts = 2};
	jw_fuel_state a = state_at(&straight, 288.15), b = state_at(&premix, 288.15);
	cr_expect_gt(b.viscosity_m2_s, 1.05 * a.viscosity_m2_s);
	JW_NEAR_ABS(b.density_kg_m3, 0.97 * 745.0 + 0.03 * 870.0, 1e-6);
}

Test(fuel, bad_blends_are_named)
{
	static const struct {
		jw_fuel fuel;
		double temperature_k;
		jw_status expected;
		const char *field;
	} rows[] = {
	    {{.parts = 0}, 290.0, JW_E_RANGE, "parts"},
	    {{.parts = JW_FUEL_PARTS + 1}, 290.0, JW_E_RANGE, "parts"},
	    {{.part = {{JW_LIQUID_COUNT, 1.0}}, .parts = 1}, 290.0, JW_E_RANGE, "liquid"},
	    {{.part = {{(jw_liquid)-1, 1.0}}, .parts = 1}, 290.0, JW_E_RANGE, "liquid"},
	    {{.part = {{JW_PETROL, 1.1}}, .parts = 1}, 290.0, JW_E_RANGE, "volume_fraction"},
	    {{.part = {{JW_PETROL, -0.1}}, .parts = 1}, 290.0, JW_E_RANGE, "volume_fraction"},
	    {{.part = {{JW_PETROL, NAN}}, .parts = 1}, 290.0, JW_E_NOT_FINITE, "volume_fraction"},
	    {{.part = {{JW_PETROL, 0.6}, {JW_ETHANOL, 0.39}}, .parts = 2}, 290.0, JW_E_RANGE, "sum of volume_fraction"},
	    {{.part = {{JW_PETROL, 1.0, 652.9}}, .parts = 1}, 290.0, JW_E_RANGE, "density_15c_kg_m3"},
	    {{.part = {{JW_PETROL, 1.0, 787.1}}, .parts = 1}, 290.0, JW_E_RANGE, "density_15c_kg_m3"},
	    {{.part = {{JW_PREMIX_OIL, 1.0, 745.0}}, .parts = 1}, 290.0, JW_E_RANGE, "density_15c_kg_m3"},
	    {{.part = {{JW_ETHANOL, 1.0, 794.0}}, .parts = 1}, 290.0, JW_E_RANGE, "density_15c_kg_m3"},
	    {{.part = {{JW_PETROL, 1.0, NAN}}, .parts = 1}, 290.0, JW_E_NOT_FINITE, "density_15c_kg_m3"},
	    {{.part = {{JW_PETROL, 1.0, 0.0, 2.4}}, .parts = 1}, 290.0, JW_E_RANGE, "hydrogen_per_carbon"},
	    {{.part = {{JW_TOLUENE, 1.0, 0.0, 1.9}}, .parts = 1}, 290.0, JW_E_RANGE, "hydrogen_per_carbon"},
	    {{.part = {{JW_PETROL, 1.0}}, .parts = 1}, 213.1, JW_E_RANGE, "temperature_k"},
	    {{.part = {{JW_PETROL, 1.0}}, .parts = 1}, 393.2, JW_E_RANGE, "temperature_k"},
	    {{.part = {{JW_PETROL, 1.0}}, .parts = 1, .reid_pa = 9e3}, 290.0, JW_E_RANGE, "reid_pa"},
	    {{.part = {{JW_PETROL, 1.0}}, .parts = 1}, INFINITY, JW_E_NOT_FINITE, "temperature_k"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_fuel_state state = {.density_kg_m3 = -7.0};
		jw_error error = {.field = ""};
		cr_expect_eq(jw_fuel_at(&rows[i].fuel, rows[i].temperature_k, &state, &error), rows[i].expected, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu: %s", i, error.field);
		cr_expect_eq(state.density_kg_m3, -7.0, "row %zu", i);
	}
}

Test(fuel, bad_arguments_of_the_parts)
{
	double a = -7.0, b = -7.0;
	jw_error error;
	cr_expect_eq(jw_liquid_at(JW_LIQUID_COUNT, 290.0, &a, &b, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "liquid");
	cr_expect_eq(jw_liquid_at(JW_MTBE, 200.0, &a, &b, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "temperature_k");
	cr_expect_eq(jw_petroleum_volume_factor(610.5, 290.0, &a, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "density_60f_kg_m3");
	cr_expect_eq(jw_petroleum_volume_factor(745.0, 423.2, &a, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "temperature_k");
	cr_expect_eq(a, -7.0);
	cr_expect_eq(b, -7.0);
}

/* EPA AP-42, table 7.1-2 (from memory): motor gasoline of Reid 10 psi has ln P = 11.724 - 5237.3/T in psi and degrees
 * Rankine, and 5.1817 psi at 60 F. */
Test(fuel, vapour_pressure_follows_the_table)
{
	const double psi = 6894.757;
	jw_fuel fuel = {.part = {{JW_PETROL, 1.0}}, .parts = 1, .reid_pa = 10 * psi};
	for (double r = 490; r < 600; r += 15)
		JW_NEAR_REL(state_at(&fuel, r / 1.8).vapour_pa, psi * exp(11.724 - 5237.3 / r), 1e-3);
	JW_NEAR_REL(state_at(&fuel, 519.67 / 1.8).vapour_pa, 5.1817 * psi, 1e-3);
	/* The light ends boil first: between the heats of vaporisation of butane and pentane at 25 C, 21.0 and 26.4 kJ/mol
	 * (from memory). */
	double cold = state_at(&fuel, 283.15).vapour_pa, warm = state_at(&fuel, 303.15).vapour_pa;
	double heat = 8.314462 * log(warm / cold) / (1 / 283.15 - 1 / 303.15);
	cr_expect(heat > 21.0e3 && heat < 26.4e3, "%g J/mol", heat);
	fuel.reid_pa = 0;
	cr_expect_eq(state_at(&fuel, 300).vapour_pa, 0);
}

Test(fuel, warns_outside_the_fitted_range)
{
	jw_fuel fuel = ethanol_blend(0.085);
	jw_fuel_state state;
	cr_expect_eq(jw_fuel_at(&fuel, 243.15, &state, NULL), JW_OK);
	cr_expect_eq(jw_fuel_at(&fuel, 333.15, &state, NULL), JW_OK);
	cr_expect_eq(jw_fuel_at(&fuel, 243.1, &state, NULL), JW_W_EXTRAPOLATED);
	cr_expect_eq(jw_fuel_at(&fuel, 333.2, &state, NULL), JW_W_EXTRAPOLATED);
	cr_expect(isfinite(state.density_kg_m3) && isfinite(state.viscosity_m2_s));
}

Test(fuel, names_are_distinct_and_end)
{
	for (int i = 0; i < JW_LIQUID_COUNT; i++)
		for (int j = 0; j < i; j++)
			cr_expect_str_neq(jw_liquid_name((jw_liquid)i), jw_liquid_name((jw_liquid)j));
	cr_expect_null(jw_liquid_name(JW_LIQUID_COUNT));
	cr_expect_null(jw_liquid_name((jw_liquid)-1));
}

Test(fuel, stoichiometry_counts_atoms)
{
	/* Twice the molecule burns with the same ratio by mass; oxygen aboard needs less air. */
	JW_NEAR_REL(jw_stoichiometric_afr(14.0, 32.0, 0.0), jw_stoichiometric_afr(7.0, 16.0, 0.0), 1e-15);
	cr_expect_lt(jw_stoichiometric_afr(2.0, 6.0, 1.0), jw_stoichiometric_afr(2.0, 6.0, 0.0));
}
