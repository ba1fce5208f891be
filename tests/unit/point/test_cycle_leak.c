/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the throttle is shut in the cycle-resolved form: air past it, and no fuel of the main circuit. */
#include "bundled.h"
#include "point/cycle.h"

/* Where the manifold never rises to what chokes it, a hole lets the same through at every angle (isentropic nozzle:
 * White, Fluid Mechanics, 9.4), and the plate, choked too, as much as without it. */
Test(cycle_leak, a_choked_hole_lets_its_flow_in)
{
	static jw_cycle tight, leaking;
	jw_setup s = bundled("estate-1100");
	const jw_air air = mild_air();
	const jw_point braking = {2.5 * s.range[JW_IDLE].speed_rev_s, s.range[JW_IDLE].throttle, 0};
	cr_assert(jw_cycle_at(&s, &air, &braking, NULL, &tight, NULL) >= 0);
	cr_expect_eq(tight.leak_kg_s, 0);
	s.leak_m = 1e-3;
	cr_assert(jw_cycle_at(&s, &air, &braking, NULL, &leaking, NULL) >= 0);
	for (int n = 0; n < JW_CYCLE_NODES; n++)
		cr_assert_lt(leaking.trace.manifold_pa[n], 0.5 * air.pressure_pa, "%d: %g", n, leaking.trace.manifold_pa[n]);
	const double flux = air.pressure_pa * 0.6847 / sqrt(air.gas_constant_j_kg_k * air.temperature_k);
	JW_NEAR_REL(leaking.leak_kg_s, 0.6 * 0.25 * JW_PI * 1e-6 * flux, 1e-4);
	JW_NEAR_REL(leaking.plate_kg_s, tight.plate_kg_s, 1e-4);
	cr_expect_lt(leaking.phi, tight.phi);
}

/* What draws nothing has no gain to tell of. */
Test(cycle_leak, without_main_fuel_the_gain_is_one)
{
	static jw_cycle c;
	const jw_setup s = bundled("estate-1100");
	const jw_air air = mild_air();
	cr_assert(jw_cycle_at(&s, &air, &s.range[JW_IDLE], NULL, &c, NULL) >= 0);
	cr_assert_eq(c.main_kg_s, 0);
	cr_expect_eq(c.main_gain, 1);
}
