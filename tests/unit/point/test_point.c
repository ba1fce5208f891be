/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A solved point is the balance of its parts, put together here from the functions of the modules below. */
#include "allocations.h"
#include "base/base.h"
#include "bundled.h"
#include "draw.h"
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

static double leak_area(double bore_m)
{
	return 0.6 * 0.25 * JW_PI * bore_m * bore_m;
}

/* Air: what the engine draws at the manifold pressure comes past the plate and the leak, from the pressures that the
 * carburetor has at that flow. */
static void check_air(const jw_setup *s, const jw_air *air, const jw_point *point, const jw_mixture *m)
{
	const jw_gas gas = {air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s};
	const jw_controls controls = {point->throttle, point->enrichener};
	double opening = jw_carburetor_plate(&s->carburetor, point->throttle), drawn = 0, leak = 0, past_plate = 0;
	jw_pulse pulse = jw_engine_pulse(&s->engine, point->speed_rev_s, opening,
	                                 sqrt(JW_AIR_GAMMA * air->gas_constant_j_kg_k * air->temperature_k));
	cr_expect_eq(memcmp(&pulse, &m->pulse, sizeof pulse), 0);
	jw_engine_demand(&s->engine, air->pressure_pa, air->temperature_k, air->gas_constant_j_kg_k, m->manifold_pa,
	                 point->speed_rev_s, &drawn);
	JW_NEAR_REL(m->demand_kg_s, s->coefficient.air * drawn, 1e-12);
	jw_gas_mass_flow(leak_area(s->leak_m), &gas, air->pressure_pa, m->manifold_pa, &leak);
	JW_NEAR_REL(m->leak_kg_s, leak, 1e-12);
	JW_NEAR_REL(m->plate_kg_s + m->leak_kg_s, m->demand_kg_s, 1e-12);

	jw_air_path path;
	cr_assert(jw_carburetor_air(&s->carburetor, &controls, &gas, air->pressure_pa, m->plate_kg_s, pulse.throat, &path,
	                            NULL) >= 0);
	/* a floating slide is found to 1e-10 of its flow, from wherever the search began */
	JW_NEAR_REL(m->path.box_pa, path.box_pa, 1e-12);
	JW_NEAR_REL(m->path.mouth_pa, path.mouth_pa, 1e-12);
	JW_NEAR_REL(m->path.throat_pa, path.throat_pa, 1e-9);
	JW_NEAR_REL(m->path.throat_steady_pa, path.throat_steady_pa, 1e-9);
	JW_NEAR_REL(m->path.plate_pa, path.plate_pa, 1e-9);
	JW_NEAR_REL(m->path.lift_m, path.lift_m, 1e-9);
	JW_NEAR_REL(m->path.throat_area_m2, path.throat_area_m2, 1e-9);
	jw_gas_mass_flow(opening / sqrt(pulse.plate), &gas, m->path.plate_pa, m->manifold_pa, &past_plate);
	past_plate = fmin(past_plate, jw_carburetor_capacity(&s->carburetor, &controls, &gas, air->pressure_pa));
	/* The manifold pressure is found to 1e-5 Pa; a wide plate turns that into flow. */
	JW_NEAR_REL(past_plate, m->plate_kg_s, 1e-6);
}

static double air_through(const jw_circuit_flow *flow)
{
	double air = flow->bleed_kg_s;
	for (int i = 0; i < JW_OUTLETS; i++)
		air += fmax(-flow->outlet_kg_s[i], 0);
	return air;
}

/* What the circuits lie between at a point. */
static jw_fuel_ends ends_at(const jw_air *air, const jw_point *point, const jw_mixture *m, const jw_fuel_state *fuel)
{
	return (jw_fuel_ends){m->path,
	                      air->pressure_pa,
	                      m->manifold_pa,
	                      {point->throttle, point->enrichener},
	                      m->main_gain,
	                      {fuel->density_kg_m3, fuel->viscosity_m2_s},
	                      {air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s}};
}

/* Fuel: the circuits between those pressures, with the coefficients on jets and needle; and the sums. */
static void check_fuel(const jw_setup *s, const jw_air *air, const jw_point *point, const jw_mixture *m)
{
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&s->fuel, air->temperature_k + s->bowl_heating_k, &fuel, NULL) >= 0);
	jw_carburetor c = s->carburetor;
	c.main.fuel_coefficient *= s->coefficient.main;
	c.needle.coefficient *= s->coefficient.needle;
	c.pilot.fuel_coefficient *= s->coefficient.pilot;
	const jw_fuel_ends ends = ends_at(air, point, m, &fuel);
	jw_carburetor_flow f;
	cr_assert(jw_carburetor_fuel(&c, &ends, &f, NULL) >= 0);
	cr_expect_eq(memcmp(&f, &m->flow, sizeof f), 0);

	double total = m->plate_kg_s + m->leak_kg_s + air_through(&f.main) + air_through(&f.pilot) + air_through(&f.power) +
	               air_through(&f.enrichener);
	double brought = f.main.fuel_kg_s + f.pilot.fuel_kg_s + f.power.fuel_kg_s + f.enrichener.fuel_kg_s;
	JW_NEAR_REL(m->air_kg_s, total, 1e-12);
	JW_NEAR_REL(m->dry_air_kg_s, total * air->dry_fraction, 1e-12);
	JW_NEAR_REL(m->fuel_kg_s, brought, 1e-12);
	JW_NEAR_REL(m->afr, total * air->dry_fraction / brought, 1e-12);
	JW_NEAR_REL(m->phi, fuel.stoichiometric_afr / m->afr, 1e-12);
}

/* A circuit of its own: the scooter's pilot between the pressures that the point returns. */
static void check_scooter_pilot(const jw_setup *s, const jw_air *air, const jw_point *point, const jw_mixture *m)
{
	const jw_carburetor *c = &s->carburetor;
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&s->fuel, air->temperature_k + s->bowl_heating_k, &fuel, NULL) >= 0);
	double angle = jw_plate_angle(&c->plate, point->throttle), behind = 0, ahead = 0;
	for (int i = 0; i < c->ports; i++) {
		double area = c->screw.coefficient * 0.25 * JW_PI * c->port[i].diameter_m * c->port[i].diameter_m;
		double share = jw_port_exposure(&c->plate, &c->port[i], angle);
		behind += share * area, ahead += (1 - share) * area;
	}
	jw_circuit pilot = c->pilot;
	pilot.fuel_coefficient *= s->coefficient.pilot;
	const jw_circuit_ends ends = {air->pressure_pa,
	                              m->path.box_pa,
	                              {{c->screw.coefficient * jw_screw_area(&c->screw), m->manifold_pa},
	                               {behind, m->manifold_pa},
	                               {ahead, m->path.plate_pa}},
	                              3,
	                              {fuel.density_kg_m3, fuel.viscosity_m2_s},
	                              {air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s},
	                              NULL};
	jw_circuit_flow flow;
	cr_assert(jw_circuit_solve(&pilot, &ends, &flow, NULL) >= 0);
	JW_NEAR_REL(m->flow.pilot.fuel_kg_s, flow.fuel_kg_s, 1e-9);
}

Test(point, is_put_together_from_its_parts)
{
	const jw_air air = air_of(97.6e3, 287.3, 0.71);
	for (size_t e = 0; e < BUNDLED; e++)
		for (int leaky = 0; leaky < 2; leaky++) {
			jw_setup s = bundled(bundled_names[e]);
			s.coefficient.air = 1.03;
			s.carburetor.power.air_jet = (jw_orifice){0.5e-3, 2e-3, 0};
			s.leak_m = leaky * 0.6e-3;
			for (int r = 0; r < JW_RANGE_COUNT; r++) {
				jw_point point = s.range[r];
				point.enrichener = r % 3 * 0.2;
				jw_mixture m = mixture_of(&s, &air, &point);
				check_air(&s, &air, &point, &m);
				check_fuel(&s, &air, &point, &m);
				if (e == 0)
					check_scooter_pilot(&s, &air, &point, &m);
			}
		}
}

/* Without inertia the fuel follows the air at once, and a column without a bleed that is slow enough feels all of the
 * mean; nothing lies beyond. */
Test(point, fuel_feels_the_pulse_through_its_column)
{
	const jw_air air = mild_air();
	jw_setup s = scooter();
	const jw_point *full = &s.range[JW_FULL];
	jw_mixture stock = mixture_of(&s, &air, full);
	cr_expect(stock.main_gain > 1 && stock.main_gain < stock.pulse.throat);
	s.carburetor.main_column_m = 1e-3, s.carburetor.main_column_bore_m = 20e-3;
	JW_NEAR_ABS(mixture_of(&s, &air, full).main_gain, 1, 0.01);
	s.carburetor.main_column_m = 0.3, s.carburetor.main_column_bore_m = 0.9e-3;
	s.carburetor.main.air_jet.diameter_m = 0;
	JW_NEAR_REL(mixture_of(&s, &air, full).main_gain, stock.pulse.throat, 0.01);
	s.carburetor.main.fuel_jet.diameter_m = 0;
	cr_expect_eq(mixture_of(&s, &air, full).main_gain, 1);
}

/* What counts is what a jet passes, not how wide it is. */
Test(point, fuel_of_a_wide_poor_jet_feels_no_more_of_the_pulse_than_that_of_a_narrow_one)
{
	const jw_air air = mild_air();
	jw_setup s = scooter();
	const jw_point *full = &s.range[JW_FULL];
	s.carburetor.main.fuel_jet.coefficient = 0.8;
	double gain = mixture_of(&s, &air, full).main_gain;
	s.carburetor.main.fuel_jet.diameter_m *= 2;
	cr_expect(mixture_of(&s, &air, full).main_gain > gain + 0.01);
	s.carburetor.main.fuel_jet.coefficient /= 4;
	JW_NEAR_REL(mixture_of(&s, &air, full).main_gain, gain, 1e-12);
	s.carburetor.main.fuel_jet.coefficient *= 4, s.carburetor.main.fuel_coefficient /= 4;
	JW_NEAR_REL(mixture_of(&s, &air, full).main_gain, gain, 1e-12);
}

/* One change of the scooter, and what the status says of it. */
static void shut_plate(jw_setup *s)
{
	s->carburetor.plate.idle_rad = s->carburetor.plate.closed_rad;
}

static void gape(jw_setup *s)
{
	s->leak_m = 12e-3;
}

static void shut_plate_and_gape(jw_setup *s)
{
	shut_plate(s);
	gape(s);
}

/* So much back pressure that a two-stroke draws nothing: its leak exceeds nothing. */
static void gape_and_hold_back(jw_setup *s)
{
	gape(s);
	s->engine.strokes = 2;
	s->engine.crankcase_ratio = 1.05;
	s->engine.exhaust_back_pa = 60e3;
}

static void shut_jets(jw_setup *s)
{
	s->carburetor.main.fuel_jet.diameter_m = s->carburetor.pilot.fuel_jet.diameter_m = 0;
}

/* Numbers below the least normal one: a ratio to them is beyond all numbers. */
static void all_but_shut_jets(jw_setup *s)
{
	s->carburetor.main.fuel_jet.diameter_m = 0;
	s->carburetor.pilot.fuel_coefficient = 1e-310;
}

static void tiny_throat(jw_setup *s)
{
	s->carburetor.throat.bore_m = 5e-3, s->carburetor.slide.base_area_m2 = 0;
}

static void change_nothing(jw_setup *s)
{
	(void)s;
}

Test(point, status_says_what_is_missing)
{
	static const struct {
		const char *what;
		void (*change)(jw_setup *s);
		jw_range range;
		jw_status wanted, unwanted;
	} rows[] = {
	    {"healthy idle", change_nothing, JW_IDLE, 0,
	     JW_W_NO_FUEL | JW_W_CLOSED | JW_W_NO_DEMAND | JW_W_LEAK_ABOVE_DEMAND | JW_W_CAPACITY},
	    {"healthy full", change_nothing, JW_FULL, 0,
	     JW_W_NO_FUEL | JW_W_CLOSED | JW_W_NO_DEMAND | JW_W_LEAK_ABOVE_DEMAND | JW_W_CAPACITY | JW_W_CHOKED},
	    {"plate shut", shut_plate, JW_IDLE, JW_W_CLOSED | JW_W_NO_DEMAND, JW_W_LEAK_ABOVE_DEMAND},
	    {"leak", gape, JW_IDLE, 0, JW_W_CLOSED | JW_W_NO_DEMAND},
	    {"leak with plate shut", shut_plate_and_gape, JW_IDLE, JW_W_CLOSED | JW_W_LEAK_ABOVE_DEMAND, JW_W_NO_DEMAND},
	    {"leak where nothing is drawn", gape_and_hold_back, JW_IDLE, JW_W_NO_DEMAND, JW_W_LEAK_ABOVE_DEMAND},
	    {"jets shut", shut_jets, JW_HALF, JW_W_NO_FUEL, JW_W_CLOSED},
	    {"jets all but shut", all_but_shut_jets, JW_HALF, JW_W_NO_FUEL, JW_W_CLOSED},
	    {"throat too small", tiny_throat, JW_FULL, JW_W_CAPACITY, JW_W_CLOSED},
	};
	const jw_air air = mild_air();
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_setup s = scooter();
		rows[i].change(&s);
		jw_mixture m;
		jw_error error = {0};
		jw_status status = jw_mixture_at(&s, &air, &s.range[rows[i].range], &m, &error);
		cr_assert(status >= 0, "%s: %s", rows[i].what, jw_status_name(status));
		cr_expect_eq(status & rows[i].wanted, rows[i].wanted, "%s: status %d", rows[i].what, status);
		cr_expect_eq(status & rows[i].unwanted, 0, "%s: status %d", rows[i].what, status);
		cr_expect_eq(m.phi > 0, !(status & (JW_W_NO_FUEL | JW_W_NO_DEMAND)), "%s: phi %g", rows[i].what, m.phi);
		cr_expect_eq(m.afr > 0, m.phi > 0, "%s: AFR %g", rows[i].what, m.afr);
		if (status & JW_W_NO_FUEL)
			cr_expect(m.phi == 0 && m.afr == 0 && m.fuel_kg_s < 1e-25, "%s", rows[i].what);
		cr_expect(m.air_kg_s > 0 || status & JW_W_NO_DEMAND, "%s", rows[i].what);
	}
}

/* From any neighbour, of whatever engine, the same answer. */
Test(point, is_the_same_from_any_neighbour)
{
	draw d = {1605};
	jw_mixture neighbour, cold, warm;
	const jw_setup first = scooter();
	const jw_air mild = mild_air();
	cr_assert(jw_mixture_at(&first, &mild, &first.range[JW_HALF], &neighbour, NULL) >= 0);
	double worst = 0;
	int dry = 0; /* with some fuel from one side, none from the other */
	jw_setup engines[BUNDLED];
	for (size_t e = 0; e < BUNDLED; e++)
		engines[e] = bundled(bundled_names[e]);
	for (int i = 0; i < 20000; i++) {
		jw_setup s = engines[i / 20 % (int)BUNDLED];
		s.coefficient = (jw_coefficients){draw_between(&d, 0.8, 1.2), draw_between(&d, 0.7, 1.4),
		                                  draw_between(&d, 0.7, 1.4), draw_between(&d, 0.7, 1.4)};
		const jw_air air = air_of(draw_between(&d, 70e3, 103e3), draw_between(&d, 263, 313), draw_unit(&d));
		const jw_point point = {draw_between(&d, 12, 120), draw_unit(&d), i % 7 ? 0 : draw_unit(&d)};
		jw_status status = jw_mixture_at(&s, &air, &point, &cold, NULL);
		cr_assert(status >= 0, "draw %d", i);
		jw_status again = jw_mixture_near(&s, &air, &point, &neighbour, &warm, NULL);
		cr_assert(again >= 0, "draw %d", i);
		/* The rounding of 1e5 Pa passes 1e-11 kg/s of fuel where it starts to flow: below that there may be some or
		 * none. Past the start it is a hundredth of that. */
		if (fmax(cold.phi, warm.phi) > 1e-5) {
			cr_expect_eq(again, status, "draw %d: %d, %d; %g", i, status, again, cold.phi);
			const double rounded = 1e-13 / cold.fuel_kg_s;
			worst = fmax(worst, fabs(warm.phi / cold.phi - 1) - rounded);
			JW_NEAR_REL(warm.phi, cold.phi, 2e-8 + rounded);
		} else
			dry += again != status;
		JW_NEAR_REL(warm.manifold_pa, cold.manifold_pa, 2e-8);
		JW_NEAR_REL(warm.air_kg_s, cold.air_kg_s, 2e-8);
		neighbour = warm;
	}
	cr_expect(dry < 20, "%d", dry);
	printf("largest difference between neighbours' answers: %.2g of phi\n", worst);
	jw_mixture strange;
	memset(&strange, 0xff, sizeof strange); /* all no numbers */
	cr_assert(jw_mixture_near(&first, &mild, &first.range[JW_HALF], &strange, &warm, NULL) >= 0);
	cr_assert(jw_mixture_at(&first, &mild, &first.range[JW_HALF], &cold, NULL) >= 0);
	JW_NEAR_REL(warm.phi, cold.phi, 1e-12);
}

/* Coefficients at the ends of their ranges err like any other: a step beyond is no impossible engine. */
Test(point, coefficients_at_the_ends_of_their_ranges_have_uncertainty)
{
	const jw_air air = mild_air();
	const double ends[] = {0.05, 20.0};
	for (int i = 0; i < 2; i++) {
		jw_setup s = scooter();
		s.coefficient.main = s.coefficient.pilot = ends[i];
		s.carburetor.main.fuel_coefficient = s.carburetor.enrichener.fuel_coefficient = i ? 5.0 : 0.01;
		s.uncertainty = (jw_coefficients){0.0, 0.1, 0.0, 0.0};
		cr_assert(jw_setup_check(&s, NULL) >= 0);
		jw_coefficients slope;
		double relative;
		jw_error error = {0};
		cr_assert(jw_mixture_sensitivity(&s, &air, &s.range[JW_FULL], &slope, &error) >= 0, "%s %g", error.field,
		          error.value);
		cr_assert(jw_mixture_uncertainty(&s, &air, &s.range[JW_FULL], &relative, &error) >= 0);
		cr_expect(slope.main > 0 && slope.main <= 1.01, "%g", slope.main);
		/* Over one standard uncertainty either way the slope hardly bends. */
		JW_NEAR_REL(relative, 0.1 * slope.main, 0.1);
	}
}

/* Between the last number that its range allows and the next the other side tells what it does. */
Test(point, a_number_at_the_end_of_its_range_has_a_contribution)
{
	const jw_air air = mild_air();
	jw_setup s = scooter();
	const jw_unmeasured bore = {"main jet", offsetof(jw_setup, carburetor.main.fuel_jet.diameter_m), 0, 1, 0.1, 0.0};
	double inside, end, relative;
	s.carburetor.main.fuel_jet.diameter_m = 4.9e-3;
	cr_assert(jw_mixture_contributions(&s, &air, &s.range[JW_FULL], &bore, 1, NULL, &inside, &relative, NULL) >= 0);
	s.carburetor.main.fuel_jet.diameter_m = 5e-3;
	cr_assert(jw_mixture_contributions(&s, &air, &s.range[JW_FULL], &bore, 1, NULL, &end, &relative, NULL) >= 0);
	cr_expect(end > 0 && inside > 0);
	JW_NEAR_REL(end, inside, 0.2);
}

/* A number that is none of the set-up's would be read, and written, beside it. */
Test(point, unmeasured_numbers_lie_in_the_set_up)
{
	const jw_air air = mild_air();
	const size_t bore = offsetof(jw_setup, carburetor.main.fuel_jet.diameter_m), beyond = sizeof(jw_setup);
	const struct {
		jw_unmeasured unmeasured;
		jw_status status;
		const char *field;
	} rows[] = {
	    {{"far", 1000000000, 0, 1, 0.1, 0}, JW_E_RANGE, "unmeasured.offset"},
	    {{"end", beyond, 0, 1, 0.1, 0}, JW_E_RANGE, "unmeasured.offset"},
	    {{"between", bore + 4, 0, 1, 0.1, 0}, JW_E_RANGE, "unmeasured.offset"},
	    {{"odd", bore, 4, 2, 0.1, 0}, JW_E_RANGE, "unmeasured.offset"},
	    {{"none", bore, 0, 0, 0.1, 0}, JW_E_RANGE, "unmeasured.count"},
	    {{"many", beyond - 16, 8, 3, 0.1, 0}, JW_E_RANGE, "unmeasured.count"},
	    {{"wide", bore, (size_t)-8, 2, 0.1, 0}, JW_E_RANGE, "unmeasured.count"},
	    {{"share", bore, 0, 1, NAN, 0}, JW_E_NOT_FINITE, "unmeasured.relative"},
	    {{"metres", bore, 0, 1, 0, INFINITY}, JW_E_NOT_FINITE, "unmeasured.absolute"},
	};
	struct {
		jw_setup setup;
		double beside[4];
	} moved = {scooter(), {1, 2, 3, 4}}, before = moved;
	const jw_setup *s = &before.setup;
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_error error = {0};
		double relative = 7;
		cr_expect_eq(jw_mixture_contributions(s, &air, &s->range[JW_FULL], &rows[i].unmeasured, 1, NULL, NULL,
		                                      &relative, &error),
		             rows[i].status, "%s", rows[i].unmeasured.key);
		cr_expect(error.field && !strcmp(error.field, rows[i].field), "%s", rows[i].unmeasured.key);
		cr_expect_eq(relative, 7);
		if (i < 4)
			jw_setup_shift(&moved.setup, &rows[i].unmeasured, 1);
	}
	cr_expect(!memcmp(&moved, &before, sizeof moved), "left alone");
	jw_setup_shift(&moved.setup, &rows[5].unmeasured, 1);
	cr_expect(!memcmp(moved.beside, before.beside, sizeof moved.beside));
	double relative;
	cr_expect_eq(jw_mixture_contributions(s, &air, &s->range[JW_FULL], NULL, 1, NULL, NULL, &relative, NULL),
	             JW_E_ARGUMENT);
}

#define MAP_ROWS 12
#define MAP_COLUMNS 40
#define MAP_POINTS (MAP_ROWS * MAP_COLUMNS)

/* Rows over the throttle, every other one with the enrichener a little open. */
static void lay_out(jw_point *points)
{
	for (int i = 0; i < MAP_POINTS; i++) {
		int row = i / MAP_COLUMNS;
		points[i] = (jw_point){15.0 + 9.0 * row, (double)(i % MAP_COLUMNS) / (MAP_COLUMNS - 1), row % 2 ? 0.2 : 0.0};
	}
}

static void shuffle(jw_point *points, draw *d)
{
	for (int i = MAP_POINTS - 1; i > 0; i--) {
		int other = draw_whole(d, 0, i);
		jw_point kept = points[i];
		points[i] = points[other];
		points[other] = kept;
	}
}

/* Returns the worst difference of phi. */
static double check_map(const jw_setup *s, const jw_air *air, const jw_point *points)
{
	static jw_mixture map[MAP_POINTS];
	jw_status statuses[MAP_POINTS], all = JW_OK;
	double worst = 0;
	jw_status said = jw_mixture_map(s, air, points, MAP_POINTS, map, statuses, NULL);
	for (int i = 0; i < MAP_POINTS; i++) {
		jw_mixture alone;
		jw_status status = jw_mixture_at(s, air, &points[i], &alone, NULL);
		all |= status;
		cr_assert(status >= 0);
		cr_expect_eq(statuses[i], status, "point %d: %d, alone %d", i, statuses[i], status);
		JW_NEAR_REL(map[i].phi, alone.phi, 2e-8);
		JW_NEAR_REL(map[i].air_kg_s, alone.air_kg_s, 2e-8);
		JW_NEAR_REL(map[i].manifold_pa, alone.manifold_pa, 2e-8);
		if (alone.phi > 0)
			worst = fmax(worst, fabs(map[i].phi / alone.phi - 1));
	}
	cr_expect_eq(said, all);
	cr_expect_eq(jw_mixture_map(s, air, points, MAP_POINTS, map, NULL, NULL), all);
	return worst;
}

Test(point, a_map_is_its_points_in_any_order)
{
	draw d = {77};
	double in_rows = 0, in_disorder = 0;
	const jw_air air = mild_air();
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		jw_point points[MAP_POINTS];
		lay_out(points);
		in_rows = fmax(in_rows, check_map(&s, &air, points));
		shuffle(points, &d);
		in_disorder = fmax(in_disorder, check_map(&s, &air, points));
	}
	printf("largest difference between a map's phi and its points': %.2g in rows, %.2g in disorder\n", in_rows,
	       in_disorder);
	const jw_setup s = scooter();
	const jw_point same[] = {s.range[JW_HALF], s.range[JW_HALF], s.range[JW_HALF]};
	jw_mixture map[3];
	cr_assert(jw_mixture_map(&s, &air, same, 3, map, NULL, NULL) >= 0);
	JW_NEAR_REL(map[2].phi, map[0].phi, 1e-9);
	cr_expect_eq(jw_mixture_map(&s, &air, NULL, 0, NULL, NULL, NULL), JW_OK);
}

typedef struct map_outputs {
	jw_mixture mixtures[4];
	jw_status statuses[4];
} map_outputs;

static int untouched(const map_outputs *out, int i)
{
	const unsigned char *bytes = (const unsigned char *)&out->mixtures[i];
	for (size_t k = 0; k < sizeof out->mixtures[i]; k++)
		if (bytes[k] != 0x5a)
			return 0;
	return out->statuses[i] == 0x5a5a5a5a;
}

static jw_status map_of_four(const jw_setup *s, double third_rev_s, map_outputs *out, jw_error *error)
{
	const jw_air air = mild_air();
	const jw_point points[] = {{20, 0.3, 0}, {21, 0.3, 0}, {third_rev_s, 0.3, 0}, {22, 0.3, 0}};
	memset(out, 0x5a, sizeof *out);
	return jw_mixture_map(s, &air, points, 4, out->mixtures, out->statuses, error);
}

/* A point out of range is named before any is solved; one without an answer, when its turn comes. */
Test(point, a_map_stops_at_the_point_at_fault)
{
	map_outputs out;
	jw_error error = {0};
	jw_setup s = scooter();
	cr_expect_eq(map_of_four(&s, 501, &out, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "speed_rev_s");
	for (int i = 0; i < 4; i++)
		cr_expect(untouched(&out, i), "point %d", i);

	s.engine.ve_points = 2;
	s.engine.ve_speed_rev_s[0] = 50;
	s.engine.ve_speed_rev_s[1] = 100;
	s.engine.ve[1] = NAN;
	cr_expect_eq(map_of_four(&s, 75, &out, &error), JW_E_NOT_FINITE);
	for (int i = 0; i < 4; i++)
		cr_expect_eq(untouched(&out, i), i > 1, "point %d", i);
	cr_expect_gt(out.mixtures[1].phi, 0);
}

Test(point, nonsense_is_named)
{
	static const struct {
		jw_point point;
		double temperature_k;
		jw_status status;
		const char *field;
	} rows[] = {
	    {{0.99, 0.5, 0}, 293, JW_E_RANGE, "speed_rev_s"},     {{501, 0.5, 0}, 293, JW_E_RANGE, "speed_rev_s"},
	    {{NAN, 0.5, 0}, 293, JW_E_NOT_FINITE, "speed_rev_s"}, {{60, -0.01, 0}, 293, JW_E_RANGE, "throttle"},
	    {{60, 1.01, 0}, 293, JW_E_RANGE, "throttle"},         {{60, NAN, 0}, 293, JW_E_NOT_FINITE, "throttle"},
	    {{60, 0.5, 1.01}, 293, JW_E_RANGE, "enrichener"},     {{60, 0.5, -0.1}, 293, JW_E_RANGE, "enrichener"},
	    {{60, 0.5, 0}, 354, JW_E_RANGE, "air.temperature_k"},
	};
	const jw_setup s = scooter();
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_air air = mild_air();
		air.temperature_k = rows[i].temperature_k;
		jw_mixture m = {.phi = 7};
		jw_coefficients slope = {.air = 7};
		double spread = 7;
		jw_error error = {0};
		cr_expect_eq(jw_mixture_at(&s, &air, &rows[i].point, &m, &error), rows[i].status, "row %zu", i);
		cr_assert_not_null(error.field, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
		cr_expect_eq(m.phi, 7, "row %zu", i);
		cr_expect_eq(jw_mixture_sensitivity(&s, &air, &rows[i].point, &slope, NULL), rows[i].status, "row %zu", i);
		cr_expect_eq(jw_mixture_uncertainty(&s, &air, &rows[i].point, &spread, NULL), rows[i].status, "row %zu", i);
		cr_expect(slope.air == 7 && spread == 7, "row %zu", i);
	}
}

Test(point, ranges_have_words)
{
	static const char *const words[] = {"idle", "off_idle", "quarter", "half", "three_quarter", "full"};
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		cr_expect_str_eq(jw_range_name((jw_range)r), words[r]);
	cr_expect_null(jw_range_name(JW_RANGE_COUNT));
	cr_expect_null(jw_range_name((jw_range)-1));
}

/* Common practice, no source: a power jet stands shut off idle, and feeds a part of full throttle. */
Test(point, a_power_jet_is_for_full_throttle)
{
	const jw_air air = mild_air();
	int fitted = 0;
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		if (!(s.carburetor.power_outlet_m > 0))
			continue;
		const jw_mixture off_idle = mixture_of(&s, &air, &s.range[JW_OFF_IDLE]);
		const jw_mixture full = mixture_of(&s, &air, &s.range[JW_FULL]);
		const double share = full.flow.power.fuel_kg_s / full.fuel_kg_s;
		cr_expect(off_idle.flow.power.fuel_kg_s < 0.03 * off_idle.fuel_kg_s, "%s", bundled_names[e]);
		cr_expect(share > 0.1 && share < 0.3, "%s: %g", bundled_names[e], share);
		fitted++;
	}
	cr_expect(fitted >= 2);
}

static double *coefficient_of(jw_setup *s, size_t i)
{
	double *const member[] = {&s->coefficient.air, &s->coefficient.main, &s->coefficient.needle, &s->coefficient.pilot};
	return member[i];
}

/* Central differences of three times the step say the same, unless the main circuit begins to bleed between them. */
Test(sensitivity, larger_differences_agree)
{
	const jw_air air = mild_air();
	const double step = 0.03;
	double worst = 0;
	int kinks = 0;
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		for (int r = 0; r <= JW_HALF; r++) {
			jw_coefficients slope;
			cr_assert(jw_mixture_sensitivity(&s, &air, &s.range[r], &slope, NULL) >= 0);
			const double slopes[] = {slope.air, slope.main, slope.needle, slope.pilot};
			for (size_t i = 0; i < 4; i++) {
				jw_setup less = s, more = s;
				*coefficient_of(&less, i) *= 1 - step;
				*coefficient_of(&more, i) *= 1 + step;
				jw_mixture low = mixture_of(&less, &air, &s.range[r]), high = mixture_of(&more, &air, &s.range[r]);
				if ((low.flow.main.bleed_kg_s > 0) != (high.flow.main.bleed_kg_s > 0)) {
					kinks++;
					continue;
				}
				double wide = log(high.phi / low.phi) / log((1 + step) / (1 - step));
				worst = fmax(worst, fabs(wide - slopes[i]));
				cr_expect(fabs(wide - slopes[i]) < 0.006, "%s %s coefficient %zu: %g, wider %g", bundled_names[e],
				          jw_range_name((jw_range)r), i, slopes[i], wide);
			}
		}
	}
	printf("largest difference between slopes: %.3g; %d left out\n", worst, kinks);
	cr_expect(kinks <= 4);
}

/* Nothing changes what is not there. */
Test(sensitivity, no_fuel_is_no_slope)
{
	jw_setup s = scooter();
	const jw_air air = mild_air();
	jw_coefficients slope;
	shut_jets(&s);
	cr_assert(jw_mixture_sensitivity(&s, &air, &s.range[JW_HALF], &slope, NULL) & JW_W_NO_FUEL);
	cr_expect(slope.air == 0 && slope.main == 0 && slope.needle == 0 && slope.pilot == 0);
	/* a main circuit alone, its lip lifted past where it stops: with fuel on one side only the change is finite */
	int one_sided = 0;
	s = bundled("moped-50");
	s.carburetor.pilot.fuel_jet.diameter_m = 0;
	for (double lip = 0; lip < 20e-3; lip += 0.02e-3) {
		s.carburetor.main.outlet_height_m = lip;
		cr_assert(jw_mixture_sensitivity(&s, &air, &s.range[JW_IDLE], &slope, NULL) >= 0);
		cr_expect(fabs(slope.air) <= 100.0001, "lip %g: %g", lip, slope.air);
		one_sided += fabs(slope.air) > 99.999;
	}
	cr_expect(one_sided > 0, "no lip was just at the threshold");
}

/* JCGM 100: root of the sum of squares; JCGM 101: what drawn coefficients scatter phi by. */
Test(sensitivity, uncertainty_is_what_draws_scatter_by)
{
	const jw_air air = mild_air();
	jw_setup s = scooter();
	s.uncertainty = (jw_coefficients){0.02, 0.03, 0.025, 0.015};
	const jw_range ranges[] = {JW_IDLE, JW_QUARTER, JW_HALF};
	draw d = {10101};
	for (size_t k = 0; k < 3; k++) {
		const jw_point *point = &s.range[ranges[k]];
		jw_coefficients slope;
		double relative = 0, sum = 0, square = 0;
		const int draws = 4000;
		cr_assert(jw_mixture_sensitivity(&s, &air, point, &slope, NULL) >= 0);
		cr_assert(jw_mixture_uncertainty(&s, &air, point, &relative, NULL) >= 0);
		JW_NEAR_REL(relative,
		            sqrt(jw_square(slope.air * 0.02) + jw_square(slope.main * 0.03) + jw_square(slope.needle * 0.025) +
		                 jw_square(slope.pilot * 0.015)),
		            0.02);
		for (int i = 0; i < draws; i++) {
			jw_setup drawn = s;
			drawn.coefficient.air *= exp(0.02 * draw_normal(&d));
			drawn.coefficient.main *= exp(0.03 * draw_normal(&d));
			drawn.coefficient.needle *= exp(0.025 * draw_normal(&d));
			drawn.coefficient.pilot *= exp(0.015 * draw_normal(&d));
			double lnphi = log(phi_at(&drawn, &air, ranges[k]));
			sum += lnphi, square += lnphi * lnphi;
		}
		double scatter = sqrt((square - sum * sum / draws) / (draws - 1));
		/* A standard deviation of 4000 draws is known to 1/sqrt(8000) = 1.1 %. */
		JW_NEAR_REL(relative, scatter, 0.04);
	}
}

typedef struct all_points {
	const jw_setup *setups;
	jw_air air;
	jw_mixture m[BUNDLED][JW_RANGE_COUNT];
} all_points;

static void *solve_all(void *context)
{
	all_points *all = context;
	for (int again = 0; again < 20; again++)
		for (size_t e = 0; e < BUNDLED; e++)
			for (int r = 0; r < JW_RANGE_COUNT; r++)
				jw_mixture_at(&all->setups[e], &all->air, &all->setups[e].range[r], &all->m[e][r], NULL);
	return NULL;
}

/* Once alone, then by two threads at once: bit for bit. The struct is all doubles, so no padding is compared. */
Test(point, is_the_same_on_every_thread)
{
	static all_points alone, together[2];
	jw_setup setups[BUNDLED];
	for (size_t e = 0; e < BUNDLED; e++)
		setups[e] = bundled(bundled_names[e]);
	alone.setups = together[0].setups = together[1].setups = setups;
	alone.air = together[0].air = together[1].air = mild_air();
	solve_all(&alone);
	pthread_t threads[2];
	for (int i = 0; i < 2; i++)
		cr_assert_eq(pthread_create(&threads[i], NULL, solve_all, &together[i]), 0);
	for (int i = 0; i < 2; i++) {
		pthread_join(threads[i], NULL);
		cr_expect_eq(memcmp(alone.m, together[i].m, sizeof alone.m), 0, "thread %d", i);
	}
	cr_expect(alone.m[0][0].phi > 0 && alone.m[BUNDLED - 1][JW_FULL].phi > 0);
}

Test(point, nothing_is_allocated)
{
	const jw_air air = mild_air();
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		jw_mixture m;
		double spread;
		long before = jw_allocations;
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			jw_mixture_at(&s, &air, &s.range[r], &m, NULL);
			jw_mixture_uncertainty(&s, &air, &s.range[r], &spread, NULL);
		}
		jw_setup_check(&s, NULL);
		cr_expect_eq(jw_allocations, before, "%s", bundled_names[e]);
	}
#ifndef JW_SANITIZED
	long before = jw_allocations;
	void *volatile block = malloc(17); /* the counter does count */
	free(block);
	cr_expect_eq(jw_allocations, before + 1);
#endif
}

/* Below half of ambient an outlet of froth chokes, which is told; near ambient it does not. */
Test(point, a_choked_outlet_is_told)
{
	const jw_setup s = scooter();
	const jw_air air = mild_air();
	const jw_point idle = s.range[JW_IDLE];
	const jw_mixture m = mixture_of(&s, &air, &idle);
	jw_fuel_state fuel;
	jw_carburetor_flow flow;
	cr_assert(jw_fuel_at(&s.fuel, air.temperature_k, &fuel, NULL) >= 0);
	jw_fuel_ends ends = ends_at(&air, &idle, &m, &fuel);
	ends.manifold_pa = 30e3;
	cr_expect(jw_carburetor_fuel(&s.carburetor, &ends, &flow, NULL) & JW_W_CHOKED);
	ends.manifold_pa = 0.97 * air.pressure_pa;
	cr_expect_not(jw_carburetor_fuel(&s.carburetor, &ends, &flow, NULL) & JW_W_CHOKED);
}
