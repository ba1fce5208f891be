/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may clog, on every engine that comes along. */
#include "bundled.h"

#include <string.h>

static int has(const jw_setup *setup, jw_passage passage)
{
	return jw_passage_bore(setup, passage) > 0;
}

Test(passage, is_found_by_its_id_and_by_no_other)
{
	for (int p = 0; p < JW_PASSAGE_COUNT; p++)
		cr_expect_eq(jw_passage_find(jw_passage_at((jw_passage)p)->id), p);
	cr_expect_eq(jw_passage_find("pilot"), -1);
	cr_expect_eq(jw_passage_find(NULL), -1);
	cr_expect_null(jw_passage_at(JW_PASSAGE_COUNT));
	cr_expect_null(jw_passage_at((jw_passage)-1));
}

/* By what a passage is named for: a fuel jet meters fuel, an air jet air, what leaves by an outlet is both. */
Test(passage, carries_what_its_name_says)
{
	for (int p = 0; p < JW_PASSAGE_COUNT; p++) {
		const jw_passage_info *info = jw_passage_at((jw_passage)p);
		const jw_carries carries = strstr(info->id, "air")    ? JW_CARRIES_AIR
		                           : strstr(info->id, "jet")  ? JW_CARRIES_FUEL
		                           : strstr(info->id, "pump") ? JW_CARRIES_SHOT
		                                                      : JW_CARRIES_EMULSION;
		cr_expect_eq(info->carries, carries, "%s", info->id);
	}
}

Test(passage, that_the_engine_lacks_is_refused)
{
	const jw_air air = mild_air();
	int lacking = 0;
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup setup = bundled(bundled_names[e]);
		for (jw_passage p = 0; p < JW_PASSAGE_COUNT; p++) {
			jw_passage_left left = {.clean_m = 7};
			jw_setup shut = {.leak_m = 7};
			if (has(&setup, p))
				continue;
			lacking++;
			cr_expect_eq(jw_passage_shut(&setup, p, 0.3, &shut, NULL), JW_E_NOT_FOUND);
			cr_expect_eq(jw_passage_restrict(&setup, &air, p, &setup.range[JW_FULL], JW_BLOCKED_AREA, 0.3, &left, NULL),
			             JW_E_NOT_FOUND);
			cr_expect(shut.leak_m == 7 && left.clean_m == 7, "an error leaves its outputs alone");
		}
	}
	cr_expect_geq(lacking, 5);
}

/* The three ways say one thing: each, given back, gives the others. */
Test(passage, is_said_alike_in_every_way)
{
	const jw_air air = mild_air();
	int said = 0;
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup setup = bundled(bundled_names[e]);
		for (jw_passage p = 0; p < JW_PASSAGE_COUNT; p++) {
			jw_point point = setup.range[jw_passage_at(p)->tells];
			jw_passage_left left, again;
			point.enrichener = p == JW_PASSAGE_ENRICHENER_JET;
			if (!has(&setup, p))
				continue;
			jw_status status = jw_passage_restrict(&setup, &air, p, &point, JW_BLOCKED_AREA, 0.37, &left, NULL);
			if (status == JW_E_NO_FLOW)
				continue;
			cr_assert(status >= 0, "%s %s: %d", bundled_names[e], jw_passage_at(p)->id, status);
			const double amount[] = {[JW_FILM] = left.left.film_m,
			                         [JW_BLOCKED_AREA] = left.left.blocked_area,
			                         [JW_FLOW_SHARE] = left.left.flow_share};
			for (jw_restriction_kind kind = JW_FILM; kind <= JW_FLOW_SHARE; kind++) {
				cr_assert(jw_passage_restrict(&setup, &air, p, &point, kind, amount[kind], &again, NULL) >= 0);
				JW_NEAR_REL(again.left.diameter_m, left.left.diameter_m, 1e-9);
			}
			said++;
		}
	}
	cr_expect_geq(said, 30);
}

/* The drop across the clean jet is that at which its law gives the flow it has. */
Test(passage, jet_is_driven_by_the_drop_that_gives_its_flow)
{
	const jw_air air = mild_air();
	const jw_setup setup = bundled("trail-250");
	const jw_point *point = &setup.range[JW_HALF];
	jw_passage_left left;
	jw_mixture mixture;
	jw_fuel_state fuel;
	cr_assert(jw_mixture_at(&setup, &air, point, &mixture, NULL) >= 0);
	cr_assert(jw_fuel_at(&setup.fuel, air.temperature_k + setup.bowl_heating_k, &fuel, NULL) >= 0);
	cr_assert(jw_passage_restrict(&setup, &air, JW_PASSAGE_MAIN_JET, point, JW_FILM, 1e-5, &left, NULL) >= 0);
	const jw_liquid_flow liquid = {fuel.density_kg_m3, fuel.viscosity_m2_s};
	double flow;
	jw_liquid_mass_flow(&setup.carburetor.main.fuel_jet, &liquid, left.drop_pa, &flow);
	JW_NEAR_REL(flow * setup.coefficient.main, mixture.flow.main.fuel_kg_s, 1e-6);
}

static jw_liquid_flow fuel_of(const jw_setup *setup, const jw_air *air)
{
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&setup->fuel, air->temperature_k + setup->bowl_heating_k, &fuel, NULL) >= 0);
	return (jw_liquid_flow){fuel.density_kg_m3, fuel.viscosity_m2_s};
}

static double flow_past(const jw_orifice *jet, const jw_rod *rod, double throttle, const jw_liquid_flow *liquid,
                        double drop_pa)
{
	const jw_orifice ring = jw_rod_jet(jet, rod, throttle);
	double flow;
	jw_liquid_mass_flow(&ring, liquid, drop_pa, &flow);
	return flow;
}

/* By the ring that the rod leaves (by definition of jw_rod_jet), before and after; and by hydrostatics the drop. The
 * bare bore had the drop at half an eighth of that, and 50 % left of the flow in the bore would be 28 % past the rod.
 */
Test(passage, fuel_passes_beside_the_rod)
{
	const jw_air air = mild_air();
	const jw_setup setup = bundled("estate-1100");
	const jw_carburetor *c = &setup.carburetor;
	const jw_liquid_flow liquid = fuel_of(&setup, &air);
	const double amount[] = {[JW_FILM] = 0.03e-3, [JW_BLOCKED_AREA] = 0.2, [JW_FLOW_SHARE] = 0.5};
	cr_assert(c->rod.lean_m > 0.0);
	for (jw_range r = JW_HALF; r <= JW_FULL; r++)
		for (jw_restriction_kind kind = JW_FILM; kind <= JW_FLOW_SHARE; kind++) {
			const jw_point *point = &setup.range[r];
			jw_passage_left left;
			jw_error error = {0};
			cr_assert(
			    jw_passage_restrict(&setup, &air, JW_PASSAGE_MAIN_JET, point, kind, amount[kind], &left, &error) >= 0,
			    "%s %d: %s %g", jw_range_name(r), kind, error.field, error.value);
			const jw_mixture before = mixture_of(&setup, &air, point), after = mixture_of(&left.setup, &air, point);
			const double head_m = c->main.bleed_depth_m + c->bowl.level_error_m;
			JW_NEAR_REL(left.drop_pa,
			            before.flow.bowl_pa + liquid.density_kg_m3 * 9.80665 * head_m - before.flow.main.well_pa, 1e-9);
			jw_orifice narrowed = c->main.fuel_jet;
			narrowed.diameter_m = left.left.diameter_m;
			const double clean = flow_past(&c->main.fuel_jet, &c->rod, point->throttle, &liquid, left.drop_pa);
			JW_NEAR_REL(clean * setup.coefficient.main, before.flow.main.fuel_kg_s, 1e-6);
			JW_NEAR_REL(flow_past(&narrowed, &c->rod, point->throttle, &liquid, left.drop_pa) / clean,
			            left.left.flow_share, 1e-6);
			const double kept = after.flow.main.fuel_kg_s / before.flow.main.fuel_kg_s;
			cr_expect(kept > left.left.flow_share, "%s: %g of %g", jw_range_name(r), kept, left.left.flow_share);
			const double bore_m = c->main.fuel_jet.diameter_m;
			JW_NEAR_REL(left.left.blocked_area, 1.0 - pow(left.left.diameter_m / bore_m, 2), 1e-9);
			JW_NEAR_REL(left.left.film_m, 0.5 * (bore_m - left.left.diameter_m), 1e-9);
			if (kind == JW_FLOW_SHARE)
				JW_NEAR_REL(left.left.flow_share, 0.5, 1e-12);
		}
}

/* A pulse table multiplies what a pilot jet passes; the drop across it is none the less. */
Test(passage, a_share_of_the_pilot_is_no_drop)
{
	const jw_air air = mild_air();
	jw_setup setup = bundled("courier-150");
	const jw_point *point = &setup.range[JW_IDLE];
	setup.pulses = (jw_pulse_table){.nodes = 1, .speed_rev_s = {point->speed_rev_s}, .throttle = {point->throttle}};
	for (int f = 0; f < JW_PULSE_FACTORS; f++)
		setup.pulses.factor[f][0] = f == JW_PULSE_PILOT ? 0.6 : 1.0;
	jw_passage_left left;
	double flow;
	const jw_mixture at = mixture_of(&setup, &air, point);
	const jw_liquid_flow liquid = fuel_of(&setup, &air);
	cr_assert(jw_passage_restrict(&setup, &air, JW_PASSAGE_PILOT_JET, point, JW_BLOCKED_AREA, 0.2, &left, NULL) >= 0);
	jw_liquid_mass_flow(&setup.carburetor.pilot.fuel_jet, &liquid, left.drop_pa, &flow);
	JW_NEAR_REL(0.6 * flow * setup.coefficient.pilot, at.flow.pilot.fuel_kg_s, 1e-6);
}

/* A restriction raises the drop behind it, so the running engine keeps more than the same drop would pass. */
Test(passage, keeps_more_in_the_running_engine_than_at_the_same_drop)
{
	const jw_air air = mild_air();
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup setup = bundled(bundled_names[e]);
		for (jw_passage p = JW_PASSAGE_PILOT_JET; p <= JW_PASSAGE_MAIN_JET; p++) {
			const jw_point *point = &setup.range[jw_passage_at(p)->tells];
			jw_passage_left left;
			jw_mixture before, after;
			cr_assert(jw_passage_restrict(&setup, &air, p, point, JW_BLOCKED_AREA, 0.4, &left, NULL) >= 0);
			cr_assert(jw_mixture_at(&setup, &air, point, &before, NULL) >= 0);
			cr_assert(jw_mixture_at(&left.setup, &air, point, &after, NULL) >= 0);
			double kept = jw_passage_flow(&after, p) / jw_passage_flow(&before, p);
			cr_expect(kept > left.left.flow_share && kept < 1, "%s %s: %g of %g", bundled_names[e],
			          jw_passage_at(p)->id, kept, left.left.flow_share);
		}
	}
}

Test(passage, refuses_what_is_no_share_and_where_nothing_flows)
{
	const jw_air air = mild_air();
	const jw_setup setup = bundled("trail-250");
	jw_passage_left left;
	jw_error error = {0};
	cr_expect_eq(jw_passage_restrict(&setup, &air, JW_PASSAGE_PILOT_OUTLET, &setup.range[JW_IDLE], JW_FLOW_SHARE, 1.2,
	                                 &left, &error),
	             JW_E_RANGE);
	cr_expect_str_eq(error.field, "amount");
	cr_expect_eq(jw_passage_restrict(&setup, &air, JW_PASSAGE_ENRICHENER_JET, &setup.range[JW_IDLE], JW_BLOCKED_AREA,
	                                 0.5, &left, &error),
	             has(&setup, JW_PASSAGE_ENRICHENER_JET) ? JW_E_NO_FLOW : JW_E_NOT_FOUND);
	cr_expect_eq(
	    jw_passage_restrict(&setup, &air, JW_PASSAGE_COUNT, &setup.range[JW_IDLE], JW_BLOCKED_AREA, 0.5, &left, NULL),
	    JW_E_ARGUMENT);
	cr_expect_eq(jw_passage_flow(&(jw_mixture){0}, JW_PASSAGE_COUNT), 0);
}

/* Whatever the passage carries, an answer is of a kind, a point and an air that there can be. */
Test(passage, of_an_outlet_is_asked_as_of_a_jet)
{
	const jw_setup setup = bundled("courier-150");
	const jw_air air = mild_air();
	static const jw_passage of[] = {JW_PASSAGE_PILOT_JET, JW_PASSAGE_PILOT_AIR_JET, JW_PASSAGE_PILOT_OUTLET,
	                                JW_PASSAGE_TRANSFER_PORTS};
	for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
		jw_passage_left left = {.clean_m = 7};
		jw_error error = {0};
		jw_point point = setup.range[JW_OFF_IDLE];
		cr_expect_eq(jw_passage_restrict(&setup, &air, of[i], &point, (jw_restriction_kind)99, 0.5, &left, &error),
		             JW_E_ARGUMENT);
		cr_expect_str_eq(error.field, "kind");
		point.throttle = NAN;
		cr_expect_eq(jw_passage_restrict(&setup, &air, of[i], &point, JW_FLOW_SHARE, 0.5, &left, &error),
		             JW_E_NOT_FINITE);
		cr_expect_str_eq(error.field, "throttle");
		point.throttle = 0.1;
		jw_air none = air;
		none.temperature_k = 10;
		cr_expect_eq(jw_passage_restrict(&setup, &none, of[i], &point, JW_FLOW_SHARE, 0.5, &left, &error), JW_E_RANGE);
		cr_expect_eq(left.clean_m, 7, "untouched");
		cr_expect(jw_passage_restrict(&setup, &air, of[i], &point, JW_FLOW_SHARE, 0.5, &left, &error) >= 0);
	}
}
