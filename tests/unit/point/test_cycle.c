/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The periodic cycle: balances, convergence, limits, and the fuel column against its closed form. */
#include "bundled.h"
#include "finite.h"
#include "point/fuel_columns.h"
#include <string.h>

static jw_cycle mild_cycle(const jw_setup *setup, const jw_point *point, const jw_cycle_options *options)
{
	const jw_air air = mild_air();
	return cycle_of(setup, &air, point, options);
}

/* The last node is the first again. */
static double mean_of(const double trace[JW_CYCLE_NODES + 1])
{
	double sum = 0;
	for (int n = 0; n < JW_CYCLE_NODES; n++)
		sum += trace[n];
	return sum / JW_CYCLE_NODES;
}

/* Every bundled engine, every usual point: a cycle is found, all of it finite; mass and energy close, and what was
 * drawn in has a pressure to be drawn by. */
static void check_engine(const char *name)
{
	const jw_setup s = bundled(name);
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		const jw_cycle c = mild_cycle(&s, &s.range[range], NULL);
		cr_expect(doubles_finite(&c.phi, offsetof(jw_cycle, cycles)), "%s %d", name, range);
		cr_expect(doubles_finite(&c.trace, sizeof c.trace), "%s %d", name, range);
		cr_expect(fabs(c.mass_error) < 1e-4, "%s %d: mass %g", name, range, c.mass_error);
		cr_expect(fabs(c.energy_error) < 2e-4, "%s %d: energy %g", name, range, c.energy_error);
		cr_expect(c.nozzle_pa < c.box_pa && c.closing_pa > 0, "%s %d", name, range);
		cr_expect(c.residual >= 0 && c.residual <= 1, "%s %d: residual %g", name, range, c.residual);
		cr_expect(c.pulse.throat > 1, "%s %d: pulse %g", name, range, c.pulse.throat);
		/* A mean of squares is above the square of the mean: pi^2/(8 duty) of separate half sines, 4.9 of a quarter. */
		cr_expect(c.pulse.plate > 1 && c.pulse.plate < 8, "%s %d: plate %g", name, range, c.pulse.plate);
		JW_NEAR_REL(c.manifold_pa, mean_of(c.trace.manifold_pa), 1e-12);
		const double fuel = c.main_kg_s + c.pilot_kg_s + c.power_kg_s + c.enrichener_kg_s;
		JW_NEAR_REL(c.fuel_kg_s, fuel, 1e-12);
		/* each of four circuits ends where a cycle changes it by less than 1e-5 of all fuel */
		cr_expect(fabs(c.fuel_error) < 4e-5, "%s %d: fuel %g", name, range, c.fuel_error);
		JW_NEAR_REL(c.fuel_response * (c.pulse.throat - 1), c.main_gain - 1, 1e-12);
		const jw_air air = mild_air();
		const double closing_kg_m3 =
		    c.closing_pa / air.gas_constant_j_kg_k / (air.temperature_k + s.engine.manifold_heating_k);
		JW_NEAR_REL(c.closing_efficiency * closing_kg_m3, c.volumetric_efficiency * air.density_kg_m3, 1e-12);
		JW_NEAR_REL(c.volumetric_efficiency * jw_displacement(&s.engine) * mild_air().density_kg_m3 *
		                s.range[range].speed_rev_s * 2 / s.engine.strokes,
		            c.plate_kg_s + c.leak_kg_s, 1e-12);
	}
}

Test(cycle, every_bundled_engine_runs)
{
	for (size_t i = 0; i < BUNDLED; i++)
		check_engine(bundled_names[i]);
}

/* The box stands as far below the air as the filter takes at the flow that is drawn, with its square. */
Test(cycle, the_filter_takes_its_pressure)
{
	jw_setup s = bundled("courier-150");
	const jw_cycle open = mild_cycle(&s, &s.range[JW_FULL], NULL);
	s.carburetor.intake.loss_pa *= 4;
	const jw_cycle blocked = mild_cycle(&s, &s.range[JW_FULL], NULL);
	const double pressure = mild_air().pressure_pa;
	cr_expect(pressure - open.box_pa > 50 && blocked.air_kg_s < open.air_kg_s);
	JW_NEAR_REL((pressure - blocked.box_pa) / (pressure - open.box_pa),
	            4 * jw_square(blocked.plate_kg_s / open.plate_kg_s), 1e-3);
}

/* Finer steps, and a state closer to periodic, change little. */
Test(cycle, converged_in_step_and_cycles)
{
	static const char *const names[] = {"courier-150", "trail-250"};
	for (size_t i = 0; i < 2; i++) {
		const jw_setup s = bundled(names[i]);
		for (int range = 0; range < JW_RANGE_COUNT; range++) {
			const jw_cycle usual = mild_cycle(&s, &s.range[range], NULL);
			const jw_cycle_options fine = {.relative = 1e-8, .settled = 1e-6};
			const jw_cycle finer = mild_cycle(&s, &s.range[range], &fine);
			JW_NEAR_REL(usual.air_kg_s, finer.air_kg_s, 2e-5);
			JW_NEAR_REL(usual.phi, finer.phi, 1e-4);
			/* columns behind nearly shut openings that answer in a quarter of the crank angle */
			const jw_cycle_options quick = {.relaxation_rad = 0.125 / 4 * JW_PI / 180};
			const jw_cycle quicker = mild_cycle(&s, &s.range[range], &quick);
			JW_NEAR_REL(usual.air_kg_s, quicker.air_kg_s, 2e-4);
			JW_NEAR_REL(usual.phi, quicker.phi, 2e-4);
		}
	}
}

static double square_of_share(double change, double whole)
{
	return whole > 0 ? change * change / (whole * whole) : 0;
}

/* Halving the steps of the fuel columns: what flows is of second order, but the moments at which a column stops and
 * starts fall between steps, of first order. So the change is small, and from eighths of a step on no more than a
 * quarter of it is left. What wells store goes down with what a cycle may still change. */
Test(cycle, fuel_columns_converged_in_step)
{
	static const char *const names[] = {"kart-125", "estate-1100", "trail-250", "moped-50"};
	double coarse = 0, fine = 0;
	for (size_t i = 0; i < 4; i++) {
		const jw_setup s = bundled(names[i]);
		for (int range = 0; range < JW_RANGE_COUNT; range++) {
			double main[4], pilot[4];
			for (int halving = 0; halving < 4; halving++) {
				const jw_cycle_options o = {.relative = 4e-8, .settled = 1e-7, .fuel_parts = 1 << halving};
				const jw_cycle c = mild_cycle(&s, &s.range[range], &o);
				main[halving] = c.main_kg_s;
				pilot[halving] = c.pilot_kg_s;
				cr_expect(fabs(c.fuel_error) < 4e-7, "%s %d: fuel %g", names[i], range, c.fuel_error);
			}
			JW_NEAR_REL(main[0], main[1], 5e-4);
			JW_NEAR_REL(pilot[0], pilot[1], 5e-4);
			coarse += square_of_share(main[0] - main[1], main[3]) + square_of_share(pilot[0] - pilot[1], pilot[3]);
			fine += square_of_share(main[2] - main[3], main[3]) + square_of_share(pilot[2] - pilot[3], pilot[3]);
		}
	}
	printf("halving the step moves fuel by %.1e, from quarters to eighths by %.1e (rms)\n", sqrt(coarse / 48),
	       sqrt(fine / 48));
	cr_expect(sqrt(fine) < sqrt(coarse) / 4, "%g %g", fine, coarse);
}

/* A pilot that is fed from the main well burns no more than the main jet brings: between them the level falls until as
 * much comes as goes, to nothing where the jet is shut. */
Test(cycle, a_nested_pilot_takes_what_the_main_jet_brings)
{
	jw_setup s = bundled("pump-200");
	cr_assert(s.carburetor.pilot_from_main_well);
	const jw_point *idle = &s.range[JW_IDLE];
	const double whole = mild_cycle(&s, idle, NULL).fuel_kg_s;
	s.carburetor.main.fuel_jet.diameter_m *= 0.25;
	const jw_cycle blocked = mild_cycle(&s, idle, NULL);
	cr_expect(fabs(blocked.fuel_error) < 4e-5, "%g", blocked.fuel_error);
	cr_expect(blocked.fuel_kg_s < 0.9 * whole, "%g %g", blocked.fuel_kg_s, whole);
	s.carburetor.main.fuel_jet.diameter_m = 0;
	cr_expect_eq(mild_cycle(&s, idle, NULL).fuel_kg_s, 0.0);
}

/* Air that comes with the fuel. */
static double bled_of(const jw_cycle *c)
{
	return c->air_kg_s - c->plate_kg_s - c->leak_kg_s;
}

/* Many cylinders on a great volume draw evenly: factors go to 1, and each circuit, a pilot in the main well too, gives
 * what it gives steadily between those pressures. */
Test(cycle, many_cylinders_and_a_plenum_are_steady)
{
	jw_setup s = bundled("courier-150");
	s.engine.cylinders = 12;
	s.engine.bore_m *= 0.45;
	s.engine.stroke_m *= 0.5;
	s.engine.manifold_volume_m3 = 2e-3;
	const jw_carburetor floats = s.carburetor, lifted = bundled("trail-250").carburetor;
	const jw_cycle_options none = {.column_factor = -1};
	for (int nested = 0; nested <= 2; nested++) { /* at last with a lifted slide */
		s.carburetor = nested < 2 ? floats : lifted;
		s.carburetor.power = lifted.power;
		s.carburetor.power_outlet_m = 1.2e-3;
		s.carburetor.power.outlet_height_m = 2e-3;
		s.carburetor.pilot_from_main_well = nested == 1;
		const jw_point point = nested < 2 ? (jw_point){75, 0.3, 0} : (jw_point){150, 0.2, 0};
		const jw_cycle c = mild_cycle(&s, &point, NULL), at_once = mild_cycle(&s, &point, &none);
		cr_expect(fabs(c.pulse.throat - 1) < 2e-3, "%g", c.pulse.throat);
		if (nested != 1) /* the gain is that of a main circuit without a branch */
			cr_expect(fabs(c.main_gain - 1) < 2e-3, "%g", c.main_gain);
		JW_NEAR_REL(c.main_kg_s, at_once.main_kg_s, 1e-3);
		JW_NEAR_REL(c.pilot_kg_s, at_once.pilot_kg_s, 1e-3);
		cr_expect(c.power_kg_s > 0);
		JW_NEAR_REL(c.power_kg_s, at_once.power_kg_s, 1e-3);
		JW_NEAR_REL(bled_of(&c), bled_of(&at_once), 2e-3);
		cr_expect(bled_of(&c) > 1e-3 * c.air_kg_s, "%g of %g", bled_of(&c), c.air_kg_s);
	}
}

/* p V^1.4 stands from one node to another. */
static void expect_no_loss(const double *pa, const jw_breather *b, double node_s, int from, int to)
{
	cr_assert(to - from > 20, "%d to %d", from, to);
	const double first = pa[from] * pow(jw_chamber_volume(b, 1, from * node_s), 1.4);
	cr_assert_gt(first, 0);
	for (int n = from; n <= to; n++)
		JW_NEAR_REL(pa[n] * pow(jw_chamber_volume(b, 1, n * node_s), 1.4), first, 1e-4);
}

/* From the closing of the inlet to the top centre at which the charge burns. */
Test(cycle, shut_cylinder_is_compressed_without_loss)
{
	const jw_setup s = bundled("courier-150");
	const jw_point *point = &s.range[JW_FULL];
	const jw_cycle_options fine = {.relative = 1e-7};
	const jw_cycle c = mild_cycle(&s, point, &fine);
	const jw_breather b = jw_breather_of(&s.engine, point->speed_rev_s, 101325, 287, 0.004);
	const double node_s = 2 / point->speed_rev_s / JW_CYCLE_NODES;
	const double closes = b.start_rad[JW_INLET] + b.open_rad[JW_INLET] - b.cycle_rad;
	const int from = (int)ceil(closes / b.cycle_rad * JW_CYCLE_NODES);
	expect_no_loss(c.trace.cylinder_pa, &b, node_s, from, JW_CYCLE_NODES / 2 - 1);
}

/* Between inlet and transfer the crankcase is a shut vessel without heat. A four-stroke has none. */
Test(cycle, shut_crankcase_is_compressed_without_loss)
{
	const jw_setup s = bundled("kart-125");
	const jw_point *point = &s.range[JW_FULL];
	const jw_cycle c = mild_cycle(&s, point, NULL);
	const jw_breather b = jw_breather_of(&s.engine, point->speed_rev_s, 101325, 287, 0.004);
	const double node_s = 1 / point->speed_rev_s / JW_CYCLE_NODES;
	const double closes = b.start_rad[JW_INLET] + b.open_rad[JW_INLET] - b.cycle_rad, opens = b.start_rad[JW_TRANSFER];
	const int from = (int)ceil(closes / b.cycle_rad * JW_CYCLE_NODES), to = (int)(opens / b.cycle_rad * JW_CYCLE_NODES);
	expect_no_loss(c.trace.crankcase_pa, &b, node_s, from, to);
	const jw_setup four = bundled("courier-150");
	cr_expect_eq(mild_cycle(&four, &four.range[JW_FULL], NULL).trace.crankcase_pa[from], 0.0);
}

/* Columns without inertia, and wells that hold nothing, are what steady circuits give from moment to moment. */
Test(cycle, columns_without_inertia_follow_at_once)
{
	const jw_setup s = bundled("courier-150");
	const jw_cycle_options light = {.column_factor = 0.1}, lighter = {.column_factor = 0.01},
	                       none = {.column_factor = -1};
	const jw_cycle at_once = mild_cycle(&s, &s.range[JW_QUARTER], &none);
	JW_NEAR_REL(mild_cycle(&s, &s.range[JW_QUARTER], &light).pilot_kg_s, at_once.pilot_kg_s, 0.01);
	JW_NEAR_REL(mild_cycle(&s, &s.range[JW_QUARTER], &lighter).main_kg_s, at_once.main_kg_s, 0.01);
}

/* How far a lighter column is from that goes with its weight: a third of the factor leaves less than half. */
Test(cycle, lighter_columns_come_nearer_to_following_at_once)
{
	static const char *const names[] = {"kart-125", "four-600"};
	for (size_t i = 0; i < 2; i++) {
		const jw_setup s = bundled(names[i]);
		const jw_point *full = &s.range[JW_FULL];
		double off[2];
		static const double factor[] = {0.03, 0.01};
		const double at_once = mild_cycle(&s, full, &(jw_cycle_options){.column_factor = -1}).fuel_kg_s;
		for (int k = 0; k < 2; k++)
			off[k] =
			    fabs(mild_cycle(&s, full, &(jw_cycle_options){.column_factor = factor[k]}).fuel_kg_s / at_once - 1);
		cr_expect(off[1] < 0.5 * off[0], "%s: %g %g", names[i], off[0], off[1]);
	}
}

/* A strongly bled well between pulses that blow back loses no more than a few millimetres of emulsion let through: the
 * main circuit feels the pulse as others do. */
Test(cycle, a_strong_bleed_does_not_lose_the_pulse)
{
	const jw_setup s = bundled("trail-250");
	const jw_cycle c = mild_cycle(&s, &s.range[JW_HALF], NULL);
	cr_expect(c.main_gain > 1 && c.main_gain < c.pulse.throat * 1.2, "%g %g", c.main_gain, c.pulse.throat);
}

typedef struct start_up {
	jw_fuel_column column;
	double feed_pa, well_pa;
} start_up;

static void start_up_rates(double t, const double *y, double *rate, void *context)
{
	start_up *s = context;
	(void)t;
	cr_expect_eq(jw_fuel_column_rate(&s->column, s->feed_pa, s->well_pa, y[0], &rate[0]), JW_OK);
}

/* A jet of constant coefficient: w = w_end tanh(t dp/(I w_end)). */
Test(cycle, fuel_column_starts_as_the_hyperbolic_tangent)
{
	start_up s = {.column = {.branch.circuit = {.fuel_jet = {1.1e-3, 2e-3, 0.75}, .fuel_coefficient = 1.0},
	                         .branch.ends.fuel = {740, 6e-7},
	                         .inertance = 1.2e4,
	                         .root = 10,
	                         .flows = 1},
	              .feed_pa = 101e3,
	              .well_pa = 100e3};
	const double drop = 1e3, end = 0.75 * 0.25 * JW_PI * 1.1e-3 * 1.1e-3 * sqrt(2 * 740 * drop);
	const double time = s.column.inertance * end / drop, absolute[] = {1e-13};
	const jw_ode ode = {
	    .rates = start_up_rates, .context = &s, .unknowns = 1, .relative = 1e-9, .absolute = absolute, .longest = time};
	double y[] = {0}, t = 0;
	int stopped;
	for (int i = 1; i < 6; i++) {
		cr_assert_eq(jw_ode_run(&ode, &t, 0.4 * i * time, y, &stopped, NULL), JW_OK);
		JW_NEAR_REL(y[0], end * tanh(0.4 * i), 1e-6);
	}
}

/* A well between an air jet of 1 mm and an outlet. */
typedef struct bench_well {
	jw_circuit circuit;
	jw_circuit_ends ends;
	jw_bled_well well;
} bench_well;

static bench_well well_with(double outlet_pa, double air_jet_length_m)
{
	bench_well b = {.circuit = {.fuel_jet = {1e-3, 3e-3, 0.75},
	                            .air_jet = {1e-3, air_jet_length_m, 0.0},
	                            .bleed_depth_m = 5e-3,
	                            .outlet_height_m = 5e-3,
	                            .fuel_coefficient = 1.0},
	                .ends = {.bowl_pa = 1e5,
	                         .air_pa = 1e5,
	                         .outlet = {{1e-6, outlet_pa}},
	                         .outlets = 1,
	                         .fuel = {740, 6e-7},
	                         .air = {293.15, 287.05, 1.8e-5}}};
	b.well = jw_bled_well_of(&b.circuit, &b.ends, 3e-3, 1.0);
	return b;
}

/* One step of it. */
static jw_status step_a_well(double outlet_pa, double liquid_share, double air_jet_length_m, double fuel_kg_s,
                             double *y)
{
	bench_well b = well_with(outlet_pa, air_jet_length_m);
	double well_pa = 0, fills = 0;
	y[JW_WELL_LIQUID] = 740 * b.well.volume_m3 * liquid_share;
	const jw_status status = jw_bled_well_step(&b.well, &b.circuit, &b.ends, fuel_kg_s, 1e-4, y, &well_pa, &fills);
	cr_expect(status < 0 ? well_pa == 0 : well_pa > outlet_pa && isfinite(fills));
	return status;
}

/* From an outlet above the air's pressure only air comes back, by the law of gases, whatever stands in the well. */
Test(cycle, air_comes_back_into_a_well)
{
	const double outlet_pa[] = {100.2e3, 101e3, 104e3};
	for (size_t i = 0; i < sizeof outlet_pa / sizeof *outlet_pa; i++) {
		bench_well b = well_with(outlet_pa[i], 3e-3);
		double y[JW_WELL_UNKNOWNS] = {0, 740 * b.well.volume_m3 * 0.5}, well_pa = 0, fills = 0, flow = 0;
		for (int step = 0; step < 1000; step++)
			cr_assert(jw_bled_well_step(&b.well, &b.circuit, &b.ends, 1e-5, 1e-3, y, &well_pa, &fills) >= 0);
		const double inside_pa = well_pa - jw_circuit_head(&b.circuit, &b.ends, well_pa);
		cr_assert(jw_gas_mass_flow(1e-6, &b.ends.air, outlet_pa[i], inside_pa, &flow) >= 0);
		JW_NEAR_REL(y[JW_WELL_OUT], -flow, 1e-6);
		cr_expect_eq(fills, 1e-5);
		/* What comes drives the air whose place it takes out by the air jet, of whose area blown air fills the model's
		 * 0.75. */
		const double out =
		    flow + 1e-5 * 1e5 / (b.ends.air.gas_constant_j_kg_k * b.ends.air.temperature_k) / b.ends.fuel.density_kg_m3;
		cr_assert(jw_gas_mass_flow(0.75 * jw_orifice_area(&b.circuit.air_jet), &b.ends.air, well_pa, 1e5, &flow) >= 0);
		JW_NEAR_REL(flow, out, 1e-6);
	}
}

/* What the passages of a moving well say gets out of it, and a pressure that is not found too. */
Test(cycle, a_well_tells_what_befalls_it)
{
	double y[JW_WELL_UNKNOWNS] = {1e-4};
	cr_expect_eq(step_a_well(99.5e3, 0.7, 3e-3, 1e-4, y), JW_OK);
	cr_expect_eq(step_a_well(40e3, 0.0, 3e-3, 1e-4, y), JW_W_CHOKED);          /* air alone, half the pressure left */
	cr_expect_eq(step_a_well(99.5e3, 0.7, 20e-3, 1e-4, y), JW_W_EXTRAPOLATED); /* twenty bores long */
	y[JW_WELL_OUT] = 1e-4;
	cr_expect_eq(step_a_well(99.5e3, 0.7, 3e-3, NAN, y), JW_E_NOT_FINITE);
	cr_expect_eq(y[JW_WELL_OUT], 1e-4);
}

/* Air that is sped up between mouth and outlet pulls as well: the crests lift a power jet's fuel before the mean does.
 */
Test(cycle, crests_lift_the_fuel_of_a_power_jet)
{
	const jw_setup s = bundled("trail-250");
	const jw_air air = mild_air();
	const jw_cycle c = mild_cycle(&s, &s.range[JW_QUARTER], NULL);
	jw_mixture m;
	cr_assert_geq(jw_mixture_at(&s, &air, &s.range[JW_QUARTER], &m, NULL), 0);
	cr_expect(c.power_kg_s > 0.03 * c.fuel_kg_s && c.power_kg_s < 0.12 * c.fuel_kg_s, "%g", c.power_kg_s / c.fuel_kg_s);
	cr_expect_eq(m.flow.power.fuel_kg_s, 0);
}

/* And out of the columns of a whole cycle. */
Test(cycle, what_befalls_a_column_is_told)
{
	jw_setup s = bundled("courier-150");
	const jw_air air = mild_air();
	static jw_cycle c;
	cr_expect_eq(jw_cycle_at(&s, &air, &s.range[JW_FULL], NULL, &c, NULL), JW_OK);
	s.carburetor.main.air_jet.length_m = 20 * s.carburetor.main.air_jet.diameter_m;
	cr_expect_eq(jw_cycle_at(&s, &air, &s.range[JW_FULL], NULL, &c, NULL), JW_W_EXTRAPOLATED);
}

/* The pilot's well passes the pressure of the air twice in a cycle here: its air jet goes through zero, and what is
 * then out of the range of a formula is no air worth telling. What holds at all times is told. */
Test(cycle, an_air_jet_that_passes_zero_is_not_told)
{
	jw_setup s = bundled("kart-125");
	static jw_cycle c;
	for (double pa = 100340; pa < 100400; pa += 10) {
		const jw_air air = air_of(pa, 297.15, 0.65);
		cr_expect_eq(jw_cycle_at(&s, &air, &s.range[JW_OFF_IDLE], NULL, &c, NULL), JW_OK, "%g", pa);
	}
	s.carburetor.pilot.air_jet.length_m = 20 * s.carburetor.pilot.air_jet.diameter_m;
	const jw_air air = mild_air();
	cr_expect_eq(jw_cycle_at(&s, &air, &s.range[JW_OFF_IDLE], NULL, &c, NULL), JW_W_EXTRAPOLATED);
}

/* What cannot be is said; nothing is written. */
Test(cycle, refuses_what_cannot_be)
{
	const jw_setup s = bundled("courier-150");
	const jw_air air = mild_air();
	const jw_point still = {0.5, 0.3, 0}, wide = {100, 1.5, 0};
	static jw_cycle c;
	jw_error error;
	c.phi = -1;
	cr_expect_eq(jw_cycle_at(&s, &air, &still, NULL, &c, &error), JW_E_RANGE);
	cr_expect(!strcmp(error.field, "speed_rev_s"));
	cr_expect_eq(jw_cycle_at(&s, &air, &wide, NULL, &c, &error), JW_E_RANGE);
	const jw_cycle_options coarse = {.relative = 0.5};
	cr_expect_eq(jw_cycle_at(&s, &air, &s.range[JW_FULL], &coarse, &c, &error), JW_E_RANGE);
	const jw_cycle_options light = {.column_factor = 1e-3};
	cr_expect_eq(jw_cycle_at(&s, &air, &s.range[JW_FULL], &light, &c, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "column_factor");
	cr_expect_eq(c.phi, -1.0);
}

/* A carburetor that is no obstacle, on an engine of stated valves and no columns. */
static jw_setup unhindered(void)
{
	jw_setup s = bundled("courier-150");
	s.carburetor.kind = JW_FIXED_VENTURI;
	s.carburetor.throat = (jw_throat){60e-3, 0.85, 0.9};
	s.carburetor.plate = (jw_plate){60e-3, 0, 0.1, 0.2, 0.85};
	s.carburetor.intake.loss_pa = 0;
	s.engine.manifold_heating_k = 0;
	s.engine.exhaust_back_pa = 0;
	s.engine.breathing = (jw_breathing){.rod_ratio = 4,
	                                    .inlet = {0.2, 0.8, 30e-3, 8e-3},
	                                    .exhaust = {0.8, 0.2, 26e-3, 7e-3},
	                                    .runner_m = 5e-3,
	                                    .runner_bore_m = 60e-3,
	                                    .ahead_m = 5e-3};
	return s;
}

/* No volume and hardly an inertia, valves that change at the dead centres, a long rod. */
static jw_setup draws_a_half_sine(void)
{
	jw_setup s = unhindered();
	s.engine.manifold_volume_m3 = 2e-6;
	s.engine.compression_ratio = 18;
	s.engine.breathing.rod_ratio = 12;
	s.engine.breathing.inlet = (jw_window){0, 0, 60e-3, 20e-3};
	s.engine.breathing.exhaust = (jw_window){0, 0, 60e-3, 20e-3};
	return s;
}

/* No volume and no inertia: a slow piston draws its own sine, and the mean square over the square of the mean is that
 * of a half sine over a quarter of the cycle, pi^2/(8 d). */
Test(cycle, slow_piston_draws_a_half_sine)
{
	const jw_setup s = draws_a_half_sine();
	const jw_cycle c = mild_cycle(&s, &(jw_point){3, 1, 0}, NULL);
	JW_NEAR_REL(c.pulse.throat, jw_pulse_factor(0.25), 0.01);
	JW_NEAR_REL(c.volumetric_efficiency, 1, 0.01);
}

/* A main circuit of nothing but a jet of constant coefficient. */
static jw_setup bare_jet(void)
{
	jw_setup s = draws_a_half_sine();
	s.carburetor.throat = (jw_throat){12e-3, 0.85, 0.9};
	s.carburetor.main = (jw_circuit){.fuel_jet = {0.2e-3, 0.6e-3, 0.75}, .fuel_coefficient = 1};
	s.coefficient.main = 1;
	s.engine.breathing.ahead_m = 0.5e-3; /* or the nozzle feels the air's inertia */
	return s;
}

/* Half-sine draughts over a quarter of the cycle, no plenum. Fuel without inertia goes with the air at each moment, so
 * that the stroke draws as much as steady flow of the same mean; a heavy column follows the mean depression, which
 * gives pi/(2 sqrt(2 d)) = 2.22144 times as much (worked out, row Q_0.250 of tests/published/worked_out.csv). What
 * swings in the inlet while it is shut draws a little too. */
Test(cycle, fuel_of_a_half_sine_lies_between_its_limits)
{
	const jw_setup s = bare_jet();
	const jw_point slow = {3, 1, 0};
	const jw_cycle_options none = {.column_factor = -1}, heavy = {.column_factor = 1000};
	const jw_cycle at_once = mild_cycle(&s, &slow, &none), evened = mild_cycle(&s, &slow, &heavy);
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&s.fuel, mild_air().temperature_k + s.bowl_heating_k, &fuel, NULL) >= 0);
	const double steady = 0.75 * 0.25 * JW_PI * 0.04e-6 * sqrt(2 * fuel.density_kg_m3 * at_once.steady_depression_pa);
	double stroke = 0;
	for (int n = 0; n < JW_CYCLE_NODES / 4; n++)
		stroke += at_once.trace.main_kg_s[n] / JW_CYCLE_NODES;
	JW_NEAR_REL(stroke, steady, 3e-3); /* its rod bends the sine by a thousandth or so */
	JW_NEAR_REL(evened.main_kg_s / stroke, 2.22144, 3e-3);
	cr_expect(at_once.main_kg_s > stroke && at_once.main_kg_s < evened.main_kg_s);
}

/* Air that comes back past the nozzle makes a depression there too, of what the throat recovers, and draws fuel again:
 * where a flow stands at its turning point, backwards, no column weighs on the nozzle. */
Test(cycle, reverse_flow_meters_fuel_again)
{
	const jw_setup s = bundled("kart-125");
	const jw_cycle_options none = {.column_factor = -1};
	const jw_cycle c = mild_cycle(&s, &s.range[JW_QUARTER], &none);
	int back = 0, forth = 0;
	for (int n = 1; n < JW_CYCLE_NODES; n++) {
		back = c.trace.air_kg_s[n] < c.trace.air_kg_s[back] ? n : back;
		forth = c.trace.air_kg_s[n] > c.trace.air_kg_s[forth] ? n : forth;
	}
	const double most = c.trace.air_kg_s[forth], least = c.trace.air_kg_s[back];
	const double forwards = c.box_pa - c.trace.nozzle_pa[forth], backwards = c.box_pa - c.trace.nozzle_pa[back];
	printf("air %g g/s forth and %g back, %g Pa and %g, fuel %g and %g\n", 1e3 * most, 1e3 * least, forwards, backwards,
	       1e6 * c.trace.main_kg_s[forth], 1e6 * c.trace.main_kg_s[back]);
	cr_assert(least < -0.3 * most);
	JW_NEAR_REL(backwards / forwards, s.carburetor.throat.recovery * least * least / (most * most), 0.05);
	cr_expect(c.trace.main_kg_s[back] > 0);
}

/* Inlet Mach index (Taylor, The Internal-Combustion Engine in Theory and Practice, vol. 1, ch. 6, from memory): piston
 * area over mean effective valve area, times mean piston speed over the speed of sound. */
static double mach_index(const jw_setup *s, double speed_rev_s)
{
	const jw_breather b = jw_breather_of(&s->engine, speed_rev_s, 101325, 287, 0.004);
	double area = 0;
	const double opens = -s->engine.breathing.inlet.opens_rad, length = b.open_rad[JW_INLET];
	for (int i = 0; i < 1000; i++) {
		const double angle = opens + (i + 0.5) / 1000 * length;
		area += jw_gate_area(&b, 0, (angle < 0 ? angle + b.cycle_rad : angle) / b.turning_rad_s) / 1000;
	}
	const double piston = 0.25 * JW_PI * s->engine.bore_m * s->engine.bore_m;
	return piston / area * 2 * s->engine.stroke_m * speed_rev_s / 343;
}

/* Filling holds up to an index of about 0.5, and falls steeply from 0.6 on. */
Test(cycle, filling_falls_above_a_mach_index_of_a_half)
{
	const jw_setup s = unhindered();
	double ve[4];
	static const double index[] = {0.2, 0.45, 0.7, 1.0};
	for (int i = 0; i < 4; i++) {
		const double speed = 50 * index[i] / mach_index(&s, 50);
		ve[i] = mild_cycle(&s, &(jw_point){speed, 1, 0}, NULL).volumetric_efficiency;
		printf("mach index %.2f: volumetric efficiency %.3f\n", index[i], ve[i]);
	}
	cr_expect(fabs(ve[1] / ve[0] - 1) < 0.08, "%g %g", ve[0], ve[1]);
	cr_expect(ve[2] < 0.95 * ve[1] && ve[3] < 0.85 * ve[1], "%g %g %g", ve[1], ve[2], ve[3]);
}

/* Where nothing brings a part nearer to the one before, as here, where more is asked than doubles carry, steps grow
 * finer: but not beyond that, where at last none can be made ("time"). */
Test(cycle, steps_grow_as_fine_as_doubles_carry)
{
	static jw_cycle_air gas;
	const jw_setup s = bundled("kart-125");
	const jw_air air = mild_air();
	const jw_point point = {100.0 / 3, 1.0 / 9, 0};
	const jw_cycle_options options = {
	    .relative = 1e-15, .settled = 1e-15, .cycles = 110, .relaxation_rad = 0.125 * JW_PI / 180, .column_factor = 1};
	jw_error error = {0};
	cr_expect_eq(jw_cycle_gas(&gas, &s, &air, &point, &options, &error), JW_E_NO_CONVERGENCE);
	cr_expect_str_eq(error.field, "cycles");
	cr_expect(fabs(gas.mass_error) < 1e-12, "%g", gas.mass_error);
}
