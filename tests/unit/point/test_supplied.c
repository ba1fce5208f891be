/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bundled.h"
#include "draw.h"

static const char *const described[] = {"courier-150", "pump-200", "estate-1100"};
#define DESCRIBED (sizeof described / sizeof *described)

static jw_status settled(const jw_setup *setup, jw_range range, jw_supplied *s)
{
	jw_air air = mild_air();
	jw_error error = {0};
	jw_status status = jw_mixture_supplied(setup, &air, &setup->range[range], s, &error);
	cr_assert(status >= 0, "%s: %s", jw_status_name(status), error.field);
	return status;
}

static jw_lasting lasting(const jw_setup *setup, jw_range range, double lambda, double longest_s)
{
	jw_air air = mild_air();
	jw_error error = {0};
	jw_lasting l = {0};
	jw_status status = jw_supply_lasts(setup, &air, &setup->range[range], lambda, longest_s, &l, &error);
	cr_assert(status >= 0, "%s: %s", jw_status_name(status), error.field);
	return l;
}

Test(supplied, sound_engines_hold_in_every_range)
{
	jw_air air = mild_air();
	for (size_t i = 0; i < DESCRIBED; i++) {
		jw_setup s = bundled(described[i]);
		for (int range = 0; range < JW_RANGE_COUNT; range++) {
			jw_supplied at;
			jw_status status = settled(&s, range, &at);
			cr_expect_eq(status & (JW_W_SHORT_SUPPLY | JW_W_STARVED | JW_W_OVERFLOW | JW_W_BOILING), 0, "%s %d",
			             described[i], range);
			cr_expect(at.level_m < 0 && at.level_m > -s.supply.travel_m, "%s %d", described[i], range);
			cr_expect(at.could_kg_s > 1.5 * at.needed_kg_s, "%s %d: %g of %g", described[i], range, at.could_kg_s,
			          at.needed_kg_s);
			/* What the jets pass has come through the needle, and the mixture is that of the level. */
			jw_setup low = s;
			low.carburetor.bowl.level_error_m = at.level_m;
			JW_NEAR_REL(at.mixture.phi, mixture_of(&low, &air, &s.range[range]).phi, 1e-12);
		}
	}
}

/* Each part so far blocked that it passes between the need of light and of full load. */
static const struct fault {
	const char *name;
	size_t offset;
	double factor;
} faults[] = {
    {"tap", offsetof(jw_setup, supply.tap_m), 0.32},
    {"hose", offsetof(jw_setup, supply.hose_m), 0.2},
    {"filter", offsetof(jw_setup, supply.filter_pa), 10},
    {"cap vent", offsetof(jw_setup, supply.vent_m), 0.15},
    {"seat", offsetof(jw_setup, supply.seat_m), 0.45},
    {"head", offsetof(jw_setup, supply.head_m), 0.12},
    {"needle", offsetof(jw_setup, supply.seat_coefficient), 0.25},
};

Test(supplied, a_weak_supply_is_a_threshold_in_fuel_flow_not_in_opening)
{
	for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
		jw_setup sound = scooter(), s = sound;
		*(double *)((char *)&s + faults[i].offset) *= faults[i].factor;
		jw_supplied idle, full, before;
		settled(&sound, JW_IDLE, &before);
		cr_expect_eq(settled(&s, JW_IDLE, &idle) & JW_W_SHORT_SUPPLY, 0, "%s", faults[i].name);
		JW_NEAR_REL(idle.mixture.phi, before.mixture.phi, 0.02);
		cr_expect(settled(&s, JW_FULL, &full) & JW_W_SHORT_SUPPLY, "%s", faults[i].name);
		settled(&sound, JW_FULL, &before);
		cr_expect(full.mixture.phi < 0.9 * before.mixture.phi, "%s: %g of %g", faults[i].name, full.mixture.phi,
		          before.mixture.phi);
		/* Starved, the engine burns what comes through. */
		JW_NEAR_REL(full.mixture.fuel_kg_s, full.could_kg_s, 0.01);
		/* Wide open at a speed that asks for less it holds. */
		s.range[JW_FULL].speed_rev_s = sound.range[JW_IDLE].speed_rev_s;
		cr_expect_eq(settled(&s, JW_FULL, &full) & JW_W_SHORT_SUPPLY, 0, "%s", faults[i].name);
	}
}

/* With the tap shut the bowl alone is drawn: what the engine burns is what the level gave. */
Test(lasting, a_shut_tap_leaves_the_bowl)
{
	jw_setup s = scooter();
	jw_supplied dry;
	s.supply.tap_m = 0;
	cr_expect(settled(&s, JW_FULL, &dry) & JW_W_NO_FUEL);
	cr_expect_eq(dry.mixture.phi, 0);
	JW_NEAR_ABS(dry.level_m, -s.supply.jet_depth_m, 1e-9);
	jw_lasting l = lasting(&s, JW_FULL, 1.3, 600);
	cr_assert_eq(l.lean, 1);
	JW_NEAR_REL(l.phi, 1 / 1.3, 1e-6);
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&s.fuel, 293.15, &fuel, NULL) == JW_OK);
	double drawn = -l.level_m * s.supply.bowl_area_m2 * fuel.density_kg_m3;
	jw_air air = mild_air();
	jw_setup low = s;
	low.carburetor.bowl.level_error_m = l.level_m;
	double most = dry.needed_kg_s, least = mixture_of(&low, &air, &s.range[JW_FULL]).fuel_kg_s;
	cr_expect(drawn / most < l.seconds && l.seconds < drawn / (0.6 * least), "%g s of %g to %g", l.seconds,
	          drawn / most, drawn / least);
	/* Summed over the level by Simpson's rule: dt = rho A dh/m. */
	enum { STEPS = 400 };
	double sum = 0, step = (-s.supply.jet_depth_m + s.carburetor.main.fuel_jet.diameter_m) / STEPS;
	for (int i = 0; i <= STEPS; i++) {
		low.carburetor.bowl.level_error_m = i * step;
		double each = 1 / mixture_of(&low, &air, &s.range[JW_FULL]).fuel_kg_s;
		sum += (i == 0 || i == STEPS ? 1 : i % 2 ? 4 : 2) * each;
	}
	double covered = sum * -step / 3 * s.supply.bowl_area_m2 * fuel.density_kg_m3;
	/* The same to the top of the jet, from where a millimetre is left. */
	double rest = s.carburetor.main.fuel_jet.diameter_m * s.supply.bowl_area_m2 * fuel.density_kg_m3;
	cr_expect(l.seconds > covered && l.seconds < covered + rest / (0.6 * least), "%g after %g", l.seconds, covered);
}

Test(lasting, what_holds_never_leans)
{
	for (size_t i = 0; i < DESCRIBED; i++) {
		jw_setup s = bundled(described[i]);
		jw_supplied at;
		settled(&s, JW_FULL, &at);
		jw_lasting l = lasting(&s, JW_FULL, 1.2, 60);
		cr_expect(l.lean == 0 && l.seconds == 60 && l.level_m == at.level_m && l.tank_pa == at.tank_pa);
		/* Too lean from the start. */
		l = lasting(&s, JW_FULL, 0.8, 60);
		cr_expect(l.lean == 1 && l.seconds == 0 && l.level_m == 0);
	}
}

Test(lasting, the_way_down_ends_where_the_balance_is)
{
	for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
		jw_setup s = scooter();
		*(double *)((char *)&s + faults[i].offset) *= faults[i].factor;
		jw_supplied at;
		settled(&s, JW_FULL, &at);
		jw_lasting near = lasting(&s, JW_FULL, 0.999 / at.mixture.phi, 3600);
		cr_expect_eq(near.lean, 1, "%s", faults[i].name);
		JW_NEAR_ABS(near.level_m, at.level_m, 0.05e-3);
		JW_NEAR_ABS(near.tank_pa, at.tank_pa, 20);
		cr_expect_eq(lasting(&s, JW_FULL, 1.001 / at.mixture.phi, 3600).lean, 0, "%s", faults[i].name);
		double half = lasting(&s, JW_FULL, 0.95 / at.mixture.phi, 3600).seconds;
		cr_expect(half > 0 && half < near.seconds, "%s: %g, %g", faults[i].name, half, near.seconds);
	}
}

/* The air that was in the tank fills the room of the fuel that left (Boyle), beside the fuel's vapour. */
Test(lasting, a_shut_cap_starves_later_the_more_air_the_tank_holds)
{
	jw_setup s = scooter();
	s.supply.vent_m = 0;
	jw_lasting before = lasting(&s, JW_FULL, 1.3, 3600);
	cr_assert_eq(before.lean, 1);
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&s.fuel, 293.15, &fuel, NULL) == JW_OK);
	double air_pa = 101325 - fuel.vapour_pa, room = s.supply.tank_air_m3;
	double left = room * (air_pa / (before.tank_pa - fuel.vapour_pa) - 1) * fuel.density_kg_m3;
	double bowl = -before.level_m * s.supply.bowl_area_m2 * fuel.density_kg_m3;
	jw_supplied at;
	settled(&s, JW_FULL, &at);
	double burnt = left + bowl, rate = burnt / before.seconds;
	cr_expect(rate < at.needed_kg_s && rate > 0.85 * at.needed_kg_s, "%g of %g", rate, at.needed_kg_s);
	s.supply.tank_air_m3 *= 2;
	jw_lasting after = lasting(&s, JW_FULL, 1.3, 3600);
	cr_expect(after.lean && after.seconds > 1.5 * before.seconds, "%g after %g", after.seconds, before.seconds);
	/* A cap that breathes a little never starves at idle. */
	s.supply.vent_m = 0.15e-3;
	settled(&s, JW_IDLE, &at);
	cr_expect(at.mixture.phi > 0.95);
}

Test(supplied, a_leaking_needle_floods_at_idle_first)
{
	jw_setup s = scooter();
	jw_supplied idle, full, sound;
	settled(&s, JW_IDLE, &sound);
	s.supply.needle_leak_m = 0.4e-3;
	cr_expect(settled(&s, JW_IDLE, &idle) & JW_W_OVERFLOW);
	JW_NEAR_ABS(idle.level_m, s.supply.overflow_m, 1e-12);
	cr_expect(idle.spilled_kg_s > 0 && idle.mixture.phi > sound.mixture.phi);
	cr_expect_eq(settled(&s, JW_FULL, &full) & JW_W_OVERFLOW, 0);
	cr_expect_eq(full.spilled_kg_s, 0);
}

Test(supplied, a_float_set_low_shifts_the_level)
{
	jw_setup s = scooter();
	jw_supplied before, after;
	settled(&s, JW_HALF, &before);
	s.carburetor.bowl.level_error_m = -4e-3;
	settled(&s, JW_HALF, &after);
	JW_NEAR_ABS(after.level_m - before.level_m, -4e-3, 0.2e-3);
	cr_expect(after.mixture.phi < before.mixture.phi);
}

Test(supplied, a_hot_bowl_boils)
{
	jw_setup s = scooter();
	jw_air air = mild_air();
	jw_mixture m;
	cr_expect_eq(jw_mixture_at(&s, &air, &s.range[JW_HALF], &m, NULL) & JW_W_BOILING, 0);
	s.bowl_heating_k = 50;
	cr_expect(jw_mixture_at(&s, &air, &s.range[JW_HALF], &m, NULL) & JW_W_BOILING);
	s.fuel.reid_pa = 0;
	cr_expect_eq(jw_mixture_at(&s, &air, &s.range[JW_HALF], &m, NULL) & JW_W_BOILING, 0);
	/* Thin air boils it sooner. */
	s = scooter();
	s.bowl_heating_k = 25;
	cr_expect_eq(jw_mixture_at(&s, &air, &s.range[JW_HALF], &m, NULL) & JW_W_BOILING, 0);
	air = air_of(70e3, 293.15, 0.5);
	cr_expect(jw_mixture_at(&s, &air, &s.range[JW_HALF], &m, NULL) & JW_W_BOILING);
}

/* Over random set-ups: no bowl fills higher for a narrower, longer or lower supply. */
Test(supplied, nothing_that_gets_worse_raises_the_level)
{
	static const struct {
		size_t offset;
		double factor;
	} worse[] = {
	    {offsetof(jw_setup, supply.vent_m), 0.7},    {offsetof(jw_setup, supply.tap_m), 0.7},
	    {offsetof(jw_setup, supply.hose_m), 0.7},    {offsetof(jw_setup, supply.hose_length_m), 1.4},
	    {offsetof(jw_setup, supply.filter_pa), 1.4}, {offsetof(jw_setup, supply.seat_m), 0.7},
	    {offsetof(jw_setup, supply.pump_pa), 0.7},
	};
	draw d = {20260101};
	rejections turned_down = {0};
	int fell = 0, drawn = 0;
	for (int i = 0; i < 200; i++) {
		jw_setup s;
		jw_air air;
		jw_supplied before, after;
		draw_accepted(&d, &s, &turned_down);
		draw_air(&d, &air);
		jw_point point = draw_point(&d);
		if (!(s.supply.bowl_area_m2 > 0))
			continue;
		drawn++;
		jw_error error = {0};
		jw_status status = jw_mixture_supplied(&s, &air, &point, &before, &error);
		cr_assert(status >= 0, "draw %d: %s %s", i, jw_status_name(status), error.field ? error.field : "");
		for (size_t k = 0; k < sizeof worse / sizeof *worse; k++) {
			jw_setup w = s;
			*(double *)((char *)&w + worse[k].offset) *= worse[k].factor;
			cr_assert(jw_mixture_supplied(&w, &air, &point, &after, &error) >= 0, "draw %d, %zu", i, k);
			cr_expect(after.level_m <= before.level_m + 2e-8, "draw %d, %zu: %g above %g", i, k, after.level_m,
			          before.level_m);
			cr_expect(after.could_kg_s <= before.could_kg_s * (1 + 1e-9), "draw %d, %zu", i, k);
			fell += after.level_m < before.level_m - 1e-6;
		}
	}
	rejections_print(&turned_down);
	cr_expect(drawn > 150 && fell > 50, "%d drawn, %d fell", drawn, fell);
}

Test(supplied, what_it_cannot_answer_is_an_error_and_moves_nothing)
{
	jw_setup s = scooter();
	jw_air air = mild_air();
	jw_error error = {0};
	jw_supplied at = {.level_m = 7};
	jw_lasting l = {.seconds = 7};
	const jw_point *full = &s.range[JW_FULL];
	cr_expect_eq(jw_supply_lasts(&s, &air, full, 0.1, 60, &l, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "lambda");
	cr_expect_eq(jw_supply_lasts(&s, &air, full, 1.2, INFINITY, &l, &error), JW_E_NOT_FINITE);
	jw_point bad = {0.5, 0.5, 0};
	cr_expect_eq(jw_mixture_supplied(&s, &air, &bad, &at, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "speed_rev_s");
	cr_expect_eq(jw_supply_lasts(&s, &air, &bad, 1.2, 60, &l, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "speed_rev_s");
	jw_setup none = bundled("moped-50");
	none.supply = (jw_supply){0};
	cr_expect_eq(jw_setup_check(&none, NULL), JW_OK);
	cr_expect_eq(jw_mixture_supplied(&none, &air, full, &at, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "supply.bowl_area_m2");
	cr_expect(at.level_m == 7 && l.seconds == 7);
}
