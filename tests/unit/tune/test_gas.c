/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "limits.h"
#include <jetwright/jetwright.h>

/* Dried exhaust of CHyOz burnt at a lambda: CO and H2 in water-gas equilibrium (K = 3.5) where air is short, a share of
 * the fuel not burnt at all; by the balance of atoms alone. */
static jw_gas_analysis burnt(double y, double z, double lambda, double unburnt)
{
	const double oxygen = lambda * (1 + y / 4 - z / 2), carbon = 1 - unburnt;
	double low = 0, high = carbon, co = 0, co2 = carbon, water = 0, left = 0;
	for (int i = 0; i < 200; i++) {
		co = 0.5 * (low + high);
		co2 = carbon - co;
		water = 0.5 * carbon * y * 3.5 * co2 / (3.5 * co2 + co);
		left = 0.5 * (carbon * z + 2 * oxygen - 2 * co2 - co - water);
		*(left < 0 ? &low : &high) = co;
	}
	double hydrogen = 0.5 * carbon * y - water, hexane = unburnt / 6;
	double dry = co2 + co + hydrogen + left + hexane + 3.773 * oxygen;
	return (jw_gas_analysis){.co = co / dry, .co2 = co2 / dry, .o2 = fmax(left, 0) / dry, .hc = hexane / dry};
}

Test(gas, lambda_of_computed_exhaust_comes_back)
{
	const double atoms[][2] = {{1.87, 0}, {1.8, 0.017}, {3, 0.5}};
	for (size_t i = 0; i < 3; i++)
		for (int step = 0; step < 24; step++) {
			double lambda = 0, wanted = 0.75 + 0.05 * (step % 12), unburnt = step < 12 ? 0 : 0.01;
			jw_gas_analysis gas = burnt(atoms[i][0], atoms[i][1], wanted, unburnt);
			cr_assert_eq(jw_lambda_from_gas(&gas, atoms[i][0], atoms[i][1], &lambda, NULL), JW_OK);
			JW_NEAR_ABS(lambda, wanted, 1e-9);
		}
}

/* CO alone gives back a rich mixture that burnt clean, and refuses what it cannot tell. */
Test(gas, lambda_of_carbon_monoxide_alone)
{
	double lambda = -1;
	for (double wanted = 0.7; wanted < 0.975; wanted += 0.05) {
		jw_gas_analysis gas = burnt(1.8, 0.017, wanted, 0);
		cr_assert_eq(jw_lambda_from_co(gas.co, 1.8, 0.017, &lambda, NULL), JW_OK);
		JW_NEAR_ABS(lambda, wanted, 1e-4);
	}
	cr_expect_eq(jw_lambda_from_co(0.001, 1.8, 0, &lambda, NULL), JW_E_RANGE);
	cr_expect_eq(jw_lambda_from_co(NAN, 1.8, 0, &lambda, NULL), JW_E_NOT_FINITE);
	cr_expect_eq(jw_lambda_from_co(0.05, 5, 0, &lambda, NULL), JW_E_RANGE);
}

/* 5 % of air in the sample raise lambda by about 5 % of the air that it holds already. */
Test(gas, air_in_the_sample_leans)
{
	jw_gas_analysis gas = burnt(1.8, 0.017, 1.0, 0);
	const double leak = 0.05;
	double lambda = 0;
	gas = (jw_gas_analysis){
	    .co = gas.co * (1 - leak), .co2 = gas.co2 * (1 - leak), .o2 = gas.o2 * (1 - leak) + 0.2095 * leak};
	cr_assert_eq(jw_lambda_from_gas(&gas, 1.8, 0.017, &lambda, NULL), JW_OK);
	JW_NEAR_ABS(lambda, 1.05, 0.005);
}

Test(gas, wrong_analyses_are_refused)
{
	const jw_gas_analysis bad[] = {{.co = -0.01, .co2 = 0.13}, {.co = 0.01, .co2 = 0.3}, {.co2 = 0.13, .o2 = NAN},
	                               {.co2 = 0.13, .hc = 0.2},   {.co2 = 0.13, .no = 0.1}, {.o2 = 0.2}};
	double lambda = -1;
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		jw_error error = {0};
		cr_expect_lt(jw_lambda_from_gas(&bad[i], 1.8, 0, &lambda, &error), 0, "row %zu", i);
		cr_expect(error.field, "row %zu", i);
	}
	const jw_gas_analysis fine = {.co = 0.01, .co2 = 0.13, .o2 = 0.01};
	cr_expect_eq(jw_lambda_from_gas(&fine, 5, 0, &lambda, NULL), JW_E_RANGE);
	cr_expect_eq(lambda, -1, "untouched");
}

static jw_status from_co(int which, double value, jw_error *error)
{
	double of[] = {0.05, 1.8, 0.02}, lambda;
	of[which] = value;
	return jw_lambda_from_co(of[0], of[1], of[2], &lambda, error);
}

Test(gas, limits_of_carbon_monoxide_alone)
{
	static const limits rows[] = {{"co", 0.005, 0.2}, {"hydrogen_per_carbon", 0, 4}, {"oxygen_per_carbon", 0, 1}};
	hold_limits(from_co, rows, sizeof rows / sizeof *rows);
}

/* Formulas of pure liquids: C8H18, C7H16, C7H8, C2H6O, CH4O, C5H12O. */
Test(gas, atoms_of_pure_liquids)
{
	const struct {
		jw_liquid liquid;
		double hydrogen, oxygen;
	} rows[] = {{JW_ISOOCTANE, 18.0 / 8, 0}, {JW_N_HEPTANE, 16.0 / 7, 0}, {JW_TOLUENE, 8.0 / 7, 0},
	            {JW_ETHANOL, 3, 0.5},        {JW_METHANOL, 4, 1},         {JW_MTBE, 12.0 / 5, 0.2}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const jw_fuel fuel = {{{rows[i].liquid, 1, 0, 0}}, 1};
		jw_fuel_state state;
		double hydrogen = 0, oxygen = 0;
		cr_assert(jw_fuel_at(&fuel, 293.15, &state, NULL) >= 0);
		cr_assert_eq(jw_fuel_atoms(&state, &hydrogen, &oxygen, NULL), JW_OK, "row %zu", i);
		JW_NEAR_ABS(hydrogen, rows[i].hydrogen, 2e-5);
		JW_NEAR_ABS(oxygen, rows[i].oxygen, 2e-5);
	}
}
