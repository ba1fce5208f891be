/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <jetwright/flow.h>

static const jw_liquid_flow petrol = {743.1, 0.551e-6};
static const jw_gas air = {293.7, 287.4, 1.81e-5};

Test(flow_checks, inverses_return_what_went_in)
{
	for (double bore = 0.23e-3; bore < 2.3e-3; bore *= 1.37)
		for (double drop = 37.0; drop < 2e4; drop *= 3.1) {
			jw_orifice jet = {bore, 1.9e-3, 0.0};
			double flow, back_pa, back_m;
			cr_assert(jw_liquid_mass_flow(&jet, &petrol, drop, &flow) >= 0);
			cr_assert(jw_liquid_drop(&jet, &petrol, flow, &back_pa, NULL) >= 0);
			cr_assert(jw_bore_for_liquid_flow(&jet, &petrol, drop, flow, &back_m, NULL) >= 0);
			JW_NEAR_REL(back_pa, drop, 1e-9);
			JW_NEAR_REL(back_m, bore, 1e-9);
		}
	for (double ratio = 0.54; ratio < 0.9999; ratio += 0.023) {
		double flow, back;
		jw_gas_mass_flow(3.1e-6, &air, 98.7e3, ratio * 98.7e3, &flow);
		cr_assert_eq(jw_gas_downstream_pressure(3.1e-6, &air, 98.7e3, flow, &back), JW_OK);
		JW_NEAR_REL(back, ratio * 98.7e3, 1e-9);
	}
}

/* Closed form with powers of the ratio (Cengel and Cimbala, Fluid Mechanics, compressible flow through nozzles). */
Test(flow_checks, gas_follows_the_isentropic_nozzle)
{
	double p0 = 101.9e3, scale = 2.3e-5 * p0 / sqrt(287.4 * 293.7);
	for (double r = 0.53; r < 0.999; r += 0.031) {
		double flow, wanted = scale * sqrt(7.0 * (pow(r, 2.0 / 1.4) - pow(r, 2.4 / 1.4)));
		cr_expect_eq(jw_gas_mass_flow(2.3e-5, &air, p0, r * p0, &flow), JW_OK);
		JW_NEAR_REL(flow, wanted, 1e-10);
		double reversed;
		jw_gas_mass_flow(2.3e-5, &air, r * p0, p0, &reversed);
		JW_NEAR_REL(-reversed, flow, 1e-14);
	}
	double choked;
	cr_expect_eq(jw_gas_mass_flow(2.3e-5, &air, p0, 0.31 * p0, &choked), JW_W_CHOKED);
	JW_NEAR_REL(choked, jw_gas_choked_flow(2.3e-5, &air, p0), 1e-14);
}

/* Greatest flux over all outlet pressures by search, against the solved choking. */
Test(flow_checks, emulsion_chokes_where_its_flux_is_greatest)
{
	const double qualities[] = {0.0007, 0.013, 0.17, 0.63, 1.0};
	for (size_t i = 0; i < sizeof qualities / sizeof *qualities; i++) {
		jw_emulsion e = {qualities[i], 741.0, 84.3e3, 0};
		double p0 = 97.3e3, most = 0.0, flow;
		double gas = e.quality * e.gas_rt_j_kg, liquid = (1.0 - e.quality) / 741.0;
		for (double p = 0.002 * p0; p < p0; p += 1e-4 * p0) {
			double speed = sqrt(2.0 * (gas * log(p0 / p) + liquid * (p0 - p)));
			most = fmax(most, speed / (gas / p + liquid));
		}
		cr_expect_eq(jw_emulsion_mass_flow(1e-6, &e, p0, 0.001 * p0, &flow), JW_W_CHOKED);
		JW_NEAR_REL(flow, 1e-6 * most, 1e-6);
	}
}

Test(flow_checks, a_film_costs_a_small_jet_more)
{
	jw_orifice small = {0.35e-3, 0.9e-3, 0}, large = {1.05e-3, 2.6e-3, 0};
	jw_restriction s, l, back;
	cr_assert(jw_restrict(&small, JW_FILM, 0.03e-3, &petrol, 900.0, &s, NULL) >= 0);
	cr_assert(jw_restrict(&large, JW_FILM, 0.03e-3, &petrol, 900.0, &l, NULL) >= 0);
	JW_NEAR_REL(s.blocked_area, 1.0 - (0.29 / 0.35) * (0.29 / 0.35), 1e-12);
	JW_NEAR_REL(l.blocked_area, 1.0 - (0.99 / 1.05) * (0.99 / 1.05), 1e-12);
	cr_expect(s.flow_share < l.flow_share - 0.15, "%g %g", s.flow_share, l.flow_share);
	cr_assert(jw_restrict(&small, JW_FLOW_SHARE, s.flow_share, &petrol, 900.0, &back, NULL) >= 0);
	JW_NEAR_REL(back.film_m, 0.03e-3, 1e-7);
	cr_assert(jw_restrict(&small, JW_BLOCKED_AREA, s.blocked_area, &petrol, 900.0, &back, NULL) >= 0);
	JW_NEAR_REL(back.flow_share, s.flow_share, 1e-9);
	cr_expect_eq(jw_restrict(&small, JW_FILM, 0.3e-3, &petrol, 900.0, &back, NULL), JW_E_RANGE);
}
