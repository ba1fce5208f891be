/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The liquids one by one, as handbooks have them. */
#include "fuel/liquid.h"
#include "limits.h"

/* Density at 20 C and dynamic viscosity at 25 C, CRC Handbook of Chemistry and Physics, from memory; oxygen by atoms,
 * and lower heating value (Heywood, Internal Combustion Engine Fundamentals, 1988, app. D, from memory). */
static const struct {
	jw_liquid liquid;
	double density, viscosity, oxygen, heat;
} known[] = {{JW_ETHANOL, 789.3, 1.074e-3, 15.999 / 46.069, 26.9e6},
             {JW_METHANOL, 791.4, 0.544e-3, 15.999 / 32.042, 20.0e6},
             {JW_ISOOCTANE, 691.9, 0.478e-3, 0, 44.3e6},
             {JW_N_HEPTANE, 683.8, 0.387e-3, 0, 44.6e6},
             {JW_TOLUENE, 866.9, 0.560e-3, 0, 40.6e6},
             {JW_MTBE, 740.5, 0.34e-3, 15.999 / 88.150, 35.1e6}};

static jw_fuel_state alone(jw_liquid liquid, double temperature_k)
{
	const jw_fuel fuel = {.part = {{liquid, 1.0, 0, 0}}, .parts = 1};
	jw_fuel_state state = {0};
	cr_assert_geq(jw_fuel_at(&fuel, temperature_k, &state, NULL), 0);
	return state;
}

Test(liquids, are_those_of_the_handbooks)
{
	for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
		const char *name = jw_liquid_name(known[i].liquid);
		double density, viscosity;
		cr_assert_geq(jw_liquid_at(known[i].liquid, 293.15, &density, &viscosity, NULL), 0);
		cr_expect(fabs(density / known[i].density - 1) < 0.004, "%s: %g kg/m3", name, density);
		cr_assert_geq(jw_liquid_at(known[i].liquid, 298.15, &density, &viscosity, NULL), 0);
		cr_expect(fabs(viscosity / known[i].viscosity - 1) < 0.06, "%s: %g Pa s", name, viscosity);
		const jw_fuel_state s = alone(known[i].liquid, 298.15);
		JW_NEAR_REL(s.viscosity_m2_s * s.density_kg_m3, viscosity, 1e-12);
		JW_NEAR_ABS(s.oxygen_mass_fraction, known[i].oxygen, 2e-5);
		JW_NEAR_REL(s.heating_value_j_kg, known[i].heat, 0.01);
	}
}

/* Its molar mass is that of its atoms (IUPAC); what is burnt takes the oxygen that these lack. */
Test(liquids, weigh_what_their_atoms_do)
{
	int pure = 0;
	for (int i = 0; i < JW_LIQUID_COUNT; i++) {
		const jw_liquid_data *row = jw_liquid_row((jw_liquid)i);
		const double mass = 12.011 * row->carbon + 1.008 * row->hydrogen + 15.999 * row->oxygen;
		if (row->molar_mass > 0 && ++pure)
			JW_NEAR_REL(row->molar_mass, mass, 1e-4);
		JW_NEAR_REL(alone((jw_liquid)i, 300).stoichiometric_afr,
		            jw_stoichiometric_afr(row->carbon, row->hydrogen, row->oxygen), 1e-12);
	}
	cr_expect_eq(pure, 6);
}

/* By mass, of parts that are told by volume. */
Test(liquids, share_oxygen_and_heat_by_mass)
{
	const jw_fuel blend = {.part = {{JW_ISOOCTANE, 0.7, 0, 0}, {JW_ETHANOL, 0.3, 0, 0}}, .parts = 2};
	jw_fuel_state s;
	cr_assert_geq(jw_fuel_at(&blend, 288.15, &s, NULL), 0);
	const jw_fuel_state oil = alone(JW_ISOOCTANE, 288.15), spirit = alone(JW_ETHANOL, 288.15);
	const double light = 0.7 * oil.density_kg_m3, heavy = 0.3 * spirit.density_kg_m3, all = light + heavy;
	JW_NEAR_REL(s.density_kg_m3, all, 1e-12);
	JW_NEAR_REL(s.oxygen_mass_fraction, heavy / all * spirit.oxygen_mass_fraction, 1e-12);
	JW_NEAR_REL(s.heating_value_j_kg, (light * oil.heating_value_j_kg + heavy * spirit.heating_value_j_kg) / all,
	            1e-12);
	JW_NEAR_REL(s.stoichiometric_afr, (light * oil.stoichiometric_afr + heavy * spirit.stoichiometric_afr) / all,
	            1e-12);
	JW_NEAR_REL(log(s.viscosity_m2_s), 0.7 * log(oil.viscosity_m2_s) + 0.3 * log(spirit.viscosity_m2_s), 1e-12);
}

/* ---- limits ---- */

static jw_status ask(int which, double value, jw_error *error)
{
	jw_fuel fuel = {.part = {{JW_PETROL, 0.8, 745, 1.9}, {JW_PREMIX_OIL, 0.2, 880, 1.9}}, .parts = 2, .reid_pa = 60e3};
	double temperature_k = 300;
	double *const member[] = {&temperature_k,
	                          &fuel.reid_pa,
	                          &fuel.part[0].density_15c_kg_m3,
	                          &fuel.part[0].hydrogen_per_carbon,
	                          &fuel.part[1].density_15c_kg_m3,
	                          &fuel.part[1].hydrogen_per_carbon,
	                          &fuel.part[0].volume_fraction};
	*member[which] = value;
	jw_fuel_state state;
	return jw_fuel_at(&fuel, temperature_k, &state, error);
}

static jw_status factor(int which, double value, jw_error *error)
{
	double state[] = {745, 300}, found;
	state[which] = value;
	return jw_petroleum_volume_factor(state[0], state[1], &found, error);
}

static jw_status one(int which, double value, jw_error *error)
{
	(void)which;
	double density, viscosity;
	return jw_liquid_at(JW_TOLUENE, value, &density, &viscosity, error);
}

Test(liquids, have_limits)
{
	static const limits rows[] = {{"temperature_k", 213.15, 393.15}, {"reid_pa", 10e3, 110e3},
	                              {"density_15c_kg_m3", 653, 787},   {"hydrogen_per_carbon", 1.5, 2.3},
	                              {"density_15c_kg_m3", 780, 950},   {"hydrogen_per_carbon", 1.5, 2.3},
	                              {"volume_fraction", 0, 1}},
	                    of_factor[] = {{"density_60f_kg_m3", 610.6, 1163.5}, {"temperature_k", 223.15, 423.15}};
	hold_limits(ask, rows, sizeof rows / sizeof *rows);
	hold_limits(factor, of_factor, 2);
	hold_limits(one, rows, 1);
	cr_expect_eq(one(0, 243.15, NULL), JW_OK);
	cr_expect_eq(one(0, 243.14, NULL), JW_W_EXTRAPOLATED);
	cr_expect_eq(one(0, 333.15, NULL), JW_OK);
	cr_expect_eq(one(0, 333.16, NULL), JW_W_EXTRAPOLATED);
	/* Parts add up to one, within a millionth. */
	cr_expect_geq(ask(6, 0.8 + 0.9e-6, NULL), 0);
	cr_expect_geq(ask(6, 0.8 - 0.9e-6, NULL), 0);
	cr_expect_eq(ask(6, 0.8 + 1.1e-6, NULL), JW_E_RANGE);
	cr_expect_eq(ask(6, 0.8 - 1.1e-6, NULL), JW_E_RANGE);
}

/* Petroleum liquids expand the less the denser they are, from group to group of API MPMS 11.1 with hardly a step (the
 * standard's constants meet within 1 %). */
Test(liquids, of_petroleum_expand_less_the_denser)
{
	double before = INFINITY;
	for (double density = 611; density < 1163; density += 0.25) {
		double factor_of;
		cr_assert_eq(jw_petroleum_volume_factor(density, 300, &factor_of, NULL), JW_OK);
		const double expansion = -log(factor_of) / (300 - 288.7056);
		if (isfinite(before))
			cr_expect(expansion < 1.002 * before && expansion > 0.985 * before, "%g kg/m3: %g after %g", density,
			          expansion, before);
		before = expansion;
	}
	/* Petrol of 745 kg/m3, 0.0012 per K; fuel oil of 950 kg/m3, 0.0007 (common practice, no source). */
	double petrol, oil;
	cr_assert_eq(jw_petroleum_volume_factor(745, 298.7056, &petrol, NULL), JW_OK);
	cr_assert_eq(jw_petroleum_volume_factor(950, 298.7056, &oil, NULL), JW_OK);
	JW_NEAR_ABS(1 - petrol, 0.0122, 0.0005);
	JW_NEAR_ABS(1 - oil, 0.0070, 0.0005);
}
