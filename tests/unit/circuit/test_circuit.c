/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/circuit.h>

static jw_circuit_ends between(double bowl_pa, double air_pa, double area_m2, double outlet_pa)
{
	return (jw_circuit_ends){.bowl_pa = bowl_pa,
	                         .air_pa = air_pa,
	                         .outlet = {{area_m2, outlet_pa}},
	                         .outlets = 1,
	                         .fuel = {743.0, 0.55e-6},
	                         .air = {293.0, 287.1, 1.8e-5}};
}

/* Two orifices in series without a bleed: 1/A^2 adds. */
Test(circuit, series_without_bleed)
{
	jw_circuit c = {.fuel_jet = {0.97e-3, 2e-3, 0.74}, .fuel_coefficient = 1.0};
	jw_circuit_ends ends = between(101.3e3, 101.3e3, 0.83e-6, 99.1e3);
	jw_circuit_flow flow;
	cr_assert(jw_circuit_solve(&c, &ends, &flow, NULL) >= 0);
	double jet = 0.74 * jw_orifice_area(&c.fuel_jet), joint = jet * 0.83e-6 / hypot(jet, 0.83e-6);
	JW_NEAR_REL(flow.fuel_kg_s, joint * sqrt(2.0 * 743.0 * 2200.0), 1e-9);
	JW_NEAR_ABS(flow.quality, 0.0, 0.0);
}

Test(circuit, starts_at_the_lip)
{
	jw_circuit c = {.fuel_jet = {0.97e-3, 2e-3, 0}, .outlet_height_m = 13e-3, .fuel_coefficient = 1.0};
	double lip = 743.0 * 9.80665 * 13e-3;
	jw_circuit_ends below = between(101.3e3, 101.3e3, 0.8e-6, 101.3e3 - 0.99 * lip);
	jw_circuit_ends above = between(101.3e3, 101.3e3, 0.8e-6, 101.3e3 - 1.01 * lip);
	jw_circuit_flow flow;
	cr_expect_eq(jw_circuit_solve(&c, &below, &flow, NULL), JW_W_NO_FUEL);
	cr_expect_eq(flow.fuel_kg_s, 0.0);
	jw_status status = jw_circuit_solve(&c, &above, &flow, NULL);
	cr_expect(status & JW_W_NEAR_THRESHOLD);
	cr_expect_gt(flow.fuel_kg_s, 0.0);
}

Test(circuit, a_shut_jet_is_a_status)
{
	jw_circuit c = {.fuel_jet = {0.0, 2e-3, 0}, .air_jet = {0.9e-3, 3e-3, 0}, .fuel_coefficient = 1.0};
	jw_circuit_ends ends = between(101.3e3, 101.3e3, 0.8e-6, 60e3);
	jw_circuit_flow flow;
	jw_status status = jw_circuit_solve(&c, &ends, &flow, NULL);
	cr_expect(status >= 0 && (status & JW_W_NO_FUEL));
	cr_expect_eq(flow.fuel_kg_s, 0.0);
	cr_expect_gt(flow.bleed_kg_s, 0.0);
	JW_NEAR_REL(flow.outlet_kg_s[0], flow.bleed_kg_s, 1e-12);
}

Test(circuit, an_outlet_above_the_well_draws_air_in)
{
	jw_circuit c = {.fuel_jet = {0.4e-3, 1e-3, 0}, .fuel_coefficient = 1.0};
	jw_circuit_ends ends = between(101.3e3, 101.3e3, 0.3e-6, 55e3);
	ends.outlet[ends.outlets++] = (jw_outlet){0.4e-6, 101.2e3};
	jw_circuit_flow flow;
	cr_assert(jw_circuit_solve(&c, &ends, &flow, NULL) >= 0);
	cr_expect_lt(flow.outlet_kg_s[1], 0.0);
	JW_NEAR_REL(flow.outlet_kg_s[0], flow.fuel_kg_s - flow.outlet_kg_s[1], 1e-12);
}

Test(circuit, refuses_what_is_no_pressure)
{
	jw_circuit c = {.fuel_jet = {0.4e-3, 1e-3, 0}, .fuel_coefficient = 1.0};
	jw_circuit_ends ends = between(NAN, 101.3e3, 0.3e-6, 55e3);
	jw_circuit_flow flow = {.fuel_kg_s = 7.0};
	jw_error error;
	cr_expect_eq(jw_circuit_solve(&c, &ends, &flow, &error), JW_E_NOT_FINITE);
	cr_expect_str_eq(error.field, "bowl_pa");
	cr_expect_eq(flow.fuel_kg_s, 7.0);
}
