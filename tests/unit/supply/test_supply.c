/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "gravity.h"
#include "near.h"
#include <jetwright/air.h>
#include <jetwright/supply.h>

static const double density = 742.0, viscosity = 0.55e-6, ambient = 101325.0;

static jw_supply_ends open_tank(void)
{
	return (jw_supply_ends){.fuel = {density, viscosity},
	                        .air = {293.15, 287.05, 1.8e-5},
	                        .ambient_pa = ambient,
	                        .bowl_pa = ambient,
	                        .tank_pa = ambient,
	                        .speed_rev_s = 100};
}

static jw_supply_flow passed(const jw_supply *supply, const jw_supply_ends *ends, double level_m)
{
	jw_supply_flow flow = {0};
	cr_assert_eq(jw_supply_pass(supply, ends, level_m, &flow, NULL), JW_OK);
	return flow;
}

static double level_at(const jw_supply *supply, const jw_supply_ends *ends, double kg_s, jw_status *status)
{
	double level = NAN;
	*status = jw_supply_level(supply, ends, kg_s, &level, NULL);
	cr_assert(*status >= 0);
	return level;
}

Test(vent, breathes_both_ways_by_the_drop)
{
	jw_supply s = gravity();
	jw_supply_ends ends = open_tank();
	const double drop = 40, area = 0.25 * 3.14159265358979 * s.vent_m * s.vent_m;
	/* Over so small a drop air hardly expands: Cd A sqrt(2 rho dp), density p/(R T). */
	const double by_hand = 0.6 * area * sqrt(2 * ambient / (287.05 * 293.15) * drop);
	JW_NEAR_REL(jw_vent_flow(&s, &ends, ambient - drop), by_hand, 1e-3);
	JW_NEAR_REL(jw_vent_flow(&s, &ends, ambient + drop), -by_hand, 1e-3);
	cr_expect_eq(jw_vent_flow(&s, &ends, ambient), 0);
	s.vent_m = 0;
	cr_expect_eq(jw_vent_flow(&s, &ends, ambient - drop), 0);
}

Test(needle, opens_evenly_with_its_fall_and_never_beyond_its_seat)
{
	jw_supply s = gravity();
	double seat = 0.25 * 3.14159265358979 * 1.6e-3 * 1.6e-3;
	cr_expect_eq(jw_float_needle_area(&s, 0), 0);
	cr_expect_eq(jw_float_needle_area(&s, 3e-3), 0);
	JW_NEAR_REL(jw_float_needle_area(&s, -0.5e-3), seat / 3, 1e-12);
	JW_NEAR_REL(jw_float_needle_area(&s, -1.5e-3), seat, 1e-12);
	s.needle_leak_m = 0.8e-3;
	JW_NEAR_REL(jw_float_needle_area(&s, 1e-3), seat / 4, 1e-12);
	JW_NEAR_REL(jw_float_needle_area(&s, -9e-3), seat, 1e-12);
}

/* Each loss by its own law, worked out here. */
Test(chain, pushes_and_losses_add_up)
{
	jw_supply s = gravity();
	s.pump_pa = 5e3, s.pump_m3_s = 20e-6, s.pump_speed_rev_s = 50;
	jw_supply_ends ends = open_tank();
	ends.tank_pa = ambient - 400;
	jw_supply_flow f = passed(&s, &ends, -1e-3);
	double q = f.kg_s / density, tap = 0.6 * 0.25 * 3.14159265358979 * 9e-6;
	cr_assert(f.kg_s > 1e-3);
	JW_NEAR_REL(f.head_pa, density * 9.80665 * 0.25, 1e-12);
	JW_NEAR_REL(f.pump_pa, 5e3 * (1 - q / 40e-6), 1e-9);
	JW_NEAR_REL(f.tap_pa, 0.5 * density * (q / tap) * (q / tap), 1e-9);
	JW_NEAR_REL(f.filter_pa, 300 * q / 2e-6, 1e-3); /* the viscosity is that of petrol at 20 C */
	double hose;
	cr_assert_eq(jw_pipe_drop(5e-3, 0.3, &ends.fuel, f.kg_s, &hose, NULL), JW_OK);
	JW_NEAR_REL(f.hose_pa, hose, 1e-9);
	JW_NEAR_REL(f.kg_s, 0.62 * jw_float_needle_area(&s, -1e-3) * sqrt(2 * density * f.seat_pa), 1e-9);
	JW_NEAR_REL(f.tap_pa + f.hose_pa + f.filter_pa + f.seat_pa, -400 + f.head_pa + f.pump_pa, 1e-9);
}

/* Every member, by which factor it is made worse, and whether 0 shuts the flow. */
typedef struct member_row {
	const char *name;
	size_t offset;
	double factor;
	int shuts;
} member_row;
#define MEMBER(name, factor, shuts)                                                                                    \
	{                                                                                                                  \
#name, offsetof(jw_supply, name), factor, shuts                                                                \
	}
static const member_row members[] = {
    MEMBER(head_m, 0.8, 1), MEMBER(vent_m, 0.4, 1),           MEMBER(tap_m, 0.5, 1),         MEMBER(hose_m, 0.5, 1),
    MEMBER(seat_m, 0.8, 1), MEMBER(seat_coefficient, 0.8, 1), MEMBER(hose_length_m, 1.5, 0), MEMBER(filter_pa, 1.5, 0),
};

Test(chain, nothing_that_gets_worse_delivers_more)
{
	for (size_t i = 0; i < sizeof members / sizeof *members; i++) {
		jw_supply s = gravity();
		jw_supply_ends ends = open_tank();
		ends.tank_pa = 0; /* as the vent leaves it */
		double *member = (double *)((char *)&s + members[i].offset), sound = *member;
		double before = passed(&s, &ends, -2e-3).kg_s;
		for (int step = 0; step < 8; step++) {
			*member *= members[i].factor;
			double after = passed(&s, &ends, -2e-3).kg_s;
			cr_expect(after < before, "%s at %g: %g, before %g", members[i].name, *member, after, before);
			before = after;
		}
		*member = 0;
		double none = passed(&s, &ends, -2e-3).kg_s;
		if (members[i].shuts)
			cr_expect(none == 0, "%s of 0 still passes %g", members[i].name, none);
		else
			cr_expect(none > before, "%s of %g passes more than without", members[i].name, sound);
	}
}

/* Finer than any law of pipes knows: no error, and no fuel. */
Test(chain, a_hose_of_next_to_no_bore_is_shut)
{
	jw_supply s = gravity();
	jw_supply_ends ends = open_tank();
	s.hose_m = 0.9e-6;
	cr_expect_eq(passed(&s, &ends, -2e-3).kg_s, 0);
	s.hose_m = 50e-6;
	cr_expect(passed(&s, &ends, -2e-3).kg_s > 0);
}

Test(chain, a_tank_below_needs_its_pump)
{
	jw_supply s = gravity();
	jw_supply_ends ends = open_tank();
	s.head_m = -0.3;
	cr_expect_eq(passed(&s, &ends, -5e-3).kg_s, 0);
	s.pump_pa = 15e3, s.pump_m3_s = 20e-6, s.pump_speed_rev_s = 50;
	double slow, fast;
	ends.speed_rev_s = 20, slow = passed(&s, &ends, -5e-3).kg_s;
	ends.speed_rev_s = 80, fast = passed(&s, &ends, -5e-3).kg_s;
	cr_expect(0 < slow && slow < fast);
	s.pump_speed_rev_s = 0;
	double electric = passed(&s, &ends, -5e-3).kg_s;
	ends.speed_rev_s = 1;
	cr_expect_eq(passed(&s, &ends, -5e-3).kg_s, electric);
	cr_expect(electric < 20e-6 * density);
}

/* Incompressible: over so small a drop air obeys Bernoulli. */
Test(tank, the_vent_lets_in_what_the_fuel_leaves)
{
	jw_supply s = gravity();
	jw_supply_ends ends = open_tank();
	double kg_s = 1.5e-3, q = kg_s / density, tank, air = ambient / (287.05 * 293.15);
	cr_assert_eq(jw_supply_tank(&s, &ends, kg_s, &tank, NULL), JW_OK);
	double speed = q / (0.6 * 0.25 * 3.14159265358979 * 1e-6);
	JW_NEAR_REL(ambient - tank, 0.5 * air * speed * speed, 1e-3);
	s.vent_m = 0;
	cr_assert_eq(jw_supply_tank(&s, &ends, kg_s, &tank, NULL), JW_OK);
	cr_expect_eq(tank, 0);
	/* In the long run nothing comes out of such a tank, and it hangs on its vacuum. */
	ends.tank_pa = 0;
	jw_supply_flow held = passed(&s, &ends, -2e-3);
	cr_expect_eq(held.kg_s, 0);
	JW_NEAR_ABS(ambient - held.tank_pa, density * 9.80665 * 0.25, 1e-6);
	ends.vapour_pa = 30e3;
	cr_assert_eq(jw_supply_tank(&s, &ends, kg_s, &tank, NULL), JW_OK);
	cr_expect_eq(tank, 30e3);
	cr_assert_eq(jw_supply_tank(&s, &ends, 0, &tank, NULL), JW_OK);
	cr_expect_eq(tank, ambient);
}

Test(level, is_where_the_needle_passes_what_is_drawn)
{
	jw_supply s = gravity();
	jw_supply_ends ends = open_tank();
	jw_status status;
	double most = passed(&s, &ends, -s.travel_m).kg_s, before = 1;
	for (double share = 0; share < 1; share += 0.09) {
		double level = level_at(&s, &ends, share * most, &status);
		cr_expect_eq(status, JW_OK, "share %g", share);
		cr_expect(level < before && level <= 0 && level >= -s.travel_m, "share %g: %g", share, level);
		JW_NEAR_ABS(passed(&s, &ends, level).kg_s, share * most, 1e-6 * most);
		before = level;
	}
	cr_expect_eq(level_at(&s, &ends, 1.01 * most, &status), -s.travel_m);
	cr_expect_eq(status, JW_W_SHORT_SUPPLY);
	/* A lower tank never raises the level. */
	double high = level_at(&s, &ends, 0.6 * most, &status);
	s.head_m = 0.2;
	cr_expect(level_at(&s, &ends, 0.6 * most, &status) < high);
}

Test(level, a_leaking_needle_floods_what_draws_less)
{
	jw_supply s = gravity();
	jw_supply_ends ends = open_tank();
	jw_status status;
	s.needle_leak_m = 0.5e-3;
	double leak = passed(&s, &ends, 0).kg_s;
	cr_assert(leak > 0);
	cr_expect_eq(level_at(&s, &ends, 0, &status), s.overflow_m);
	cr_expect_eq(status, JW_W_OVERFLOW);
	cr_expect_eq(level_at(&s, &ends, 0.99 * leak, &status), s.overflow_m);
	cr_expect(level_at(&s, &ends, 1.1 * leak, &status) < 0);
	cr_expect_eq(status, JW_OK);
}

Test(supply, nonsense_is_refused)
{
	jw_supply s = gravity();
	jw_supply_ends ends = open_tank();
	jw_error error = {0};
	jw_supply_flow flow = {.kg_s = 7};
	double level = 7;
	cr_expect_eq(jw_supply_pass(&s, &ends, NAN, &flow, &error), JW_E_NOT_FINITE);
	cr_expect_eq(jw_supply_level(&s, &ends, -1, &level, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "kg_s");
	cr_expect_eq(jw_supply_tank(&s, &ends, INFINITY, &level, &error), JW_E_NOT_FINITE);
	s.hose_length_m = 1e6;
	cr_expect_eq(jw_supply_pass(&s, &ends, -1e-3, &flow, &error), JW_E_RANGE);
	cr_expect(flow.kg_s == 7 && level == 7);
}
