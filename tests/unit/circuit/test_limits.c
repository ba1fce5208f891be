/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The limits of a circuit handed in from outside. */
#include "limits.h"
#include <jetwright/circuit.h>

/* The circuit itself, or one that draws from its well. */
static jw_status solve(int branch, int which, double value, jw_error *error)
{
	jw_circuit c[2] = {{{1.1e-3, 2e-3, 0}, {0.9e-3, 3e-3, 0}, 5e-3, 12e-3, 1},
	                   {{0.38e-3, 1.1e-3, 0}, {1.15e-3, 3e-3, 0}, 5e-3, 19e-3, 1}};
	jw_circuit_ends e[2] = {{101325, 101325, {{5e-6, 98e3}}, 1, {745, 0.57e-6}, {293.15, 287.9, 1.81e-5}},
	                        {101325, 101325, {{1e-6, 60e3}}, 1, {745, 0.57e-6}, {293.15, 287.9, 1.81e-5}}};
	jw_branch side;
	jw_circuit *c0 = &c[branch];
	jw_circuit_ends *e0 = &e[branch];
	double *const member[] = {&c0->fuel_jet.diameter_m,
	                          &c0->fuel_jet.length_m,
	                          &c0->fuel_jet.coefficient,
	                          &c0->air_jet.diameter_m,
	                          &c0->air_jet.length_m,
	                          &c0->air_jet.coefficient,
	                          &c0->bleed_depth_m,
	                          &c0->outlet_height_m,
	                          &e0->air.temperature_k,
	                          &e0->air.gas_constant_j_kg_k,
	                          &e0->air.viscosity_pa_s,
	                          &e0->outlet[0].effective_area_m2,
	                          &e0->air_pa,
	                          &e0->fuel.density_kg_m3,
	                          &e0->fuel.viscosity_m2_s,
	                          &c0->fuel_coefficient,
	                          &e0->outlet[0].pressure_pa,
	                          &e0->bowl_pa};
	*member[which] = value;
	jw_circuit_flow flow;
	if (branch) {
		side = (jw_branch){.circuit = c[1], .ends = e[1]};
		e[0].branch = &side;
	}
	return jw_circuit_solve(&c[0], &e[0], &flow, error);
}

static jw_status of_itself(int which, double value, jw_error *error)
{
	return solve(0, which, value, error);
}

static jw_status of_its_branch(int which, double value, jw_error *error)
{
	return solve(1, which, value, error);
}

static const limits rows[] = {{"fuel_jet.diameter_m", 0, 0.1},
                              {"fuel_jet.length_m", 0, 1},
                              {"fuel_jet.coefficient", 0, 10},
                              {"air_jet.diameter_m", 0, 0.1},
                              {"air_jet.length_m", 0, 1},
                              {"air_jet.coefficient", 0, 10},
                              {"bleed_depth_m", -1, 1},
                              {"outlet_height_m", -1, 1},
                              {"temperature_k", 100, 1000},
                              {"gas_constant_j_kg_k", 10, 1e4},
                              {"viscosity_pa_s", 1e-7, 1e-3},
                              {"effective_area_m2", 0, 1e-2},
                              {"air_pa", 1e3, 1e6},
                              {"density_kg_m3", 1, 1e5},
                              {"viscosity_m2_s", 1e-9, 1},
                              {"fuel_coefficient", 0, 1000},
                              {"outlet_pa", 1e2, 1e6},
                              {"bowl_pa", 1e3, 1e6}};

Test(limits, of_a_circuit)
{
	hold_limits(of_itself, rows, sizeof rows / sizeof *rows);
}

/* All but what stands on its bowl, which is the well that it draws from. */
Test(limits, of_a_branch)
{
	hold_limits(of_its_branch, rows, sizeof rows / sizeof *rows - 1);
	jw_error error = {0};
	cr_expect_eq(of_its_branch(sizeof rows / sizeof *rows - 1, NAN, &error), of_its_branch(0, 0.38e-3, &error));
}

/* Outlets that are not there would be read past the end; a branch of a branch would go round and round. */
Test(limits, of_the_outlets_of_a_branch)
{
	static const int none[] = {-1, JW_OUTLETS + 1, 1000};
	const jw_circuit c = {{1.1e-3, 2e-3, 0}, {0.9e-3, 3e-3, 0}, 5e-3, 12e-3, 1};
	jw_circuit_ends e = {101325, 101325, {{5e-6, 98e3}}, 1, {745, 0.57e-6}, {293.15, 287.9, 1.81e-5}};
	jw_branch side = {c, e};
	jw_circuit_flow flow = {.fuel_kg_s = 7};
	jw_error error = {0};
	e.branch = &side;
	for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
		side.ends.outlets = none[i];
		cr_expect_eq(jw_circuit_solve(&c, &e, &flow, &error), JW_E_RANGE);
		cr_expect(!strcmp(error.field, "outlets") && error.value == none[i] && error.high == JW_OUTLETS);
	}
	side.ends.outlets = 1;
	side.ends.branch = &side;
	cr_expect_eq(jw_circuit_solve(&c, &e, &flow, &error), JW_E_ARGUMENT);
	cr_expect_str_eq(error.field, "branch.ends.branch");
	cr_expect_eq(flow.fuel_kg_s, 7, "untouched");
}
