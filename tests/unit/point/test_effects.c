/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What weather, fuel and faults do to the mixture: signs and sizes that textbooks and the trade agree on. Ratios are of
 * phi, changed over stock, at a fixed opening and speed. */
#include "base/base.h"
#include "bundled.h"

typedef struct ratios {
	double of[JW_RANGE_COUNT];
} ratios;

static ratios between(const jw_setup *changed, const jw_air *its_air, const jw_setup *stock, const jw_air *air)
{
	ratios r;
	for (int i = 0; i < JW_RANGE_COUNT; i++)
		r.of[i] = phi_at(changed, its_air, (jw_range)i) / phi_at(stock, air, (jw_range)i);
	return r;
}

static ratios of_air(const jw_setup *setup, const jw_air *its_air)
{
	const jw_air air = mild_air();
	return between(setup, its_air, setup, &air);
}

static ratios of_change(const jw_setup *changed, const jw_setup *stock)
{
	const jw_air air = mild_air();
	return between(changed, &air, stock, &air);
}

/* Whether a floating slide stands at its upper stop. */
static int at_stop(const jw_setup *s, const jw_air *air, int range)
{
	return s->carburetor.kind == JW_CONSTANT_DEPRESSION &&
	       mixture_of(s, air, &s->range[range]).path.lift_m >= s->carburetor.throat.bore_m;
}

static double root_of_density(const jw_air *thin)
{
	return sqrt(mild_air().density_kg_m3 / thin->density_kg_m3);
}

/* A fixed venturi, and a slide at full lift, richen by the root of density (Heywood, Internal Combustion Engine
 * Fundamentals, 1988, 7.2); a nearly laminar pilot jet by less. A floating slide follows no such rule. */
Test(effects, altitude_richens_by_the_root_of_density)
{
	const jw_air high = air_of(79.5e3, 293.15, 0.5);
	const char *const fixed[] = {"pump-200", "estate-1100"};
	for (size_t i = 0; i < 2; i++) {
		const jw_setup s = bundled(fixed[i]);
		JW_NEAR_REL(of_air(&s, &high).of[JW_FULL], root_of_density(&high), 0.01);
	}
	jw_setup s = scooter();
	ratios floating = of_air(&s, &high);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		cr_expect(floating.of[r] > 1, "%s: %g", jw_range_name((jw_range)r), floating.of[r]);
	cr_expect_lt(floating.of[JW_IDLE], root_of_density(&high) - 0.03);
	s.carburetor.slide.stuck_lift_m = s.carburetor.throat.bore_m;
	JW_NEAR_REL(of_air(&s, &high).of[JW_FULL], root_of_density(&high), 0.02);
}

/* Denser air leans everywhere, thick fuel leans small jets on top. */
Test(effects, cold_leans_idle_most)
{
	const double cold[] = {273.15, 253.15};
	for (size_t e = 0; e < BUNDLED; e++)
		for (size_t i = 0; i < 2; i++) {
			const jw_setup s = bundled(bundled_names[e]);
			const jw_air air = air_of(101325, cold[i], 0.5);
			ratios r = of_air(&s, &air);
			cr_expect(r.of[JW_FULL] < 1 && r.of[JW_IDLE] < r.of[JW_FULL], "%s: idle %g, full %g", bundled_names[e],
			          r.of[JW_IDLE], r.of[JW_FULL]);
		}
}

/* Vapour takes the place of dry air and makes it lighter: fuel goes with the root of density, burnable air with the dry
 * share of the flow. A slide that leaves its stop is another matter. */
Test(effects, humid_heat_richens_by_the_air_displaced)
{
	const jw_air wet = air_of(101325, 308.15, 0.95), dry = air_of(101325, 308.15, 0), mild = mild_air();
	double displaced = 1 / (wet.dry_fraction * sqrt(wet.density_kg_m3 / dry.density_kg_m3));
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		ratios r = between(&s, &wet, &s, &dry);
		for (int i = 0; i < JW_RANGE_COUNT; i++)
			if (!at_stop(&s, &mild, i))
				cr_expect(fabs(r.of[i] / displaced - 1) < 0.007, "%s %s: %g, by the air %g", bundled_names[e],
				          jw_range_name((jw_range)i), r.of[i], displaced);
	}
}

static jw_setup on(jw_setup s, double ethanol)
{
	s.fuel = (jw_fuel){{{JW_PETROL, 1 - ethanol, 745, 1.85}, {JW_ETHANOL, ethanol, 0, 0}}, 2};
	return s;
}

static double stoichiometric(const jw_setup *s)
{
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&s->fuel, 303.15, &fuel, NULL) >= 0);
	return fuel.stoichiometric_afr;
}

/* Ethanol leans by its stoichiometry and, being thicker, by a little more, most in the smallest jets; E85 by half
 * again. */
Test(effects, ethanol_leans_by_more_than_its_stoichiometry)
{
	const jw_setup petrol = on(scooter(), 0), e10 = on(scooter(), 0.10), e85 = on(scooter(), 0.85);
	double share = stoichiometric(&e10) / stoichiometric(&petrol);
	ratios r = of_change(&e10, &petrol), much = of_change(&e85, &petrol);
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		cr_expect(r.of[i] < share && r.of[i] > share - 0.01, "%s: %g, stoichiometry %g", jw_range_name((jw_range)i),
		          r.of[i], share);
		cr_expect(1 / much.of[i] > 1.5 && r.of[i] >= r.of[JW_IDLE] && much.of[i] >= much.of[JW_IDLE], "%s",
		          jw_range_name((jw_range)i));
	}
}

/* A millimetre of level is worth most where the pull is least; the main circuit just above its start feels it most. */
Test(effects, a_low_float_leans_light_load_most)
{
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup stock = bundled(bundled_names[e]);
		jw_setup low = stock, high = stock;
		low.carburetor.bowl.level_error_m = -3e-3;
		high.carburetor.bowl.level_error_m = 3e-3;
		ratios leaner = of_change(&low, &stock), richer = of_change(&high, &stock);
		double most = 1;
		for (int i = 0; i < JW_RANGE_COUNT; i++) {
			cr_expect(leaner.of[i] < 1 && richer.of[i] > 1, "%s %s: %g, %g", bundled_names[e],
			          jw_range_name((jw_range)i), leaner.of[i], richer.of[i]);
			most = fmin(most, leaner.of[i]);
		}
		cr_expect(most == leaner.of[JW_OFF_IDLE] || most == leaner.of[JW_QUARTER], "%s", bundled_names[e]);
		for (int i = JW_HALF; i < JW_RANGE_COUNT; i++)
			cr_expect(leaner.of[i] > leaner.of[i - 1], "%s %s", bundled_names[e], jw_range_name((jw_range)i));
	}
}

/* A hole behind the plate passes the same air at any load: much at idle, hardly any of it at full. It raises idle air.
 */
Test(effects, a_leak_leans_idle_most)
{
	const jw_air air = mild_air();
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup tight = bundled(bundled_names[e]);
		jw_setup leaky = tight;
		leaky.leak_m = 1e-3;
		ratios r = of_change(&leaky, &tight);
		cr_expect(r.of[JW_IDLE] < 0.95 && r.of[JW_FULL] > 0.99, "%s: idle %g, full %g", bundled_names[e], r.of[JW_IDLE],
		          r.of[JW_FULL]);
		for (int i = 1; i < JW_RANGE_COUNT; i++)
			cr_expect(r.of[i] >= r.of[i - 1] - 0.001, "%s %s", bundled_names[e], jw_range_name((jw_range)i));
		cr_expect_gt(mixture_of(&leaky, &air, &leaky.range[JW_IDLE]).air_kg_s,
		             mixture_of(&tight, &air, &tight.range[JW_IDLE]).air_kg_s);
	}
}

/* Where a fault shows, by range: lean (-), rich (+), within a hundredth (0), not said (?), from idle to full. */
typedef struct signature {
	const char *name;
	void (*change)(jw_setup *s);
	const char *sign;
	jw_range worst;
} signature;

static void shut_main_air(jw_setup *s)
{
	s->carburetor.main.air_jet.diameter_m = 0;
}

static void shut_pilot_air(jw_setup *s)
{
	s->carburetor.pilot.air_jet.diameter_m = 0;
}

static void film_in_pilot_jet(jw_setup *s)
{
	s->carburetor.pilot.fuel_jet.diameter_m -= 0.06e-3;
}

static void small_main_jet(jw_setup *s)
{
	s->carburetor.main.fuel_jet.diameter_m *= 0.9;
}

static void half_shut_outlet(jw_setup *s)
{
	s->carburetor.screw.open_area = 0.5;
}

static void shut_ports(jw_setup *s)
{
	s->carburetor.screw.ports_open_area = 0;
}

static void low_needle(jw_setup *s)
{
	s->carburetor.needle.raised_m -= 1e-3;
}

static void stuck_slide(jw_setup *s)
{
	s->carburetor.slide.stuck_lift_m = 9e-3;
}

Test(effects, each_fault_has_its_ranges)
{
	static const signature rows[] = {
	    {"main air shut", shut_main_air, "0+++++", JW_OFF_IDLE},
	    {"pilot air shut", shut_pilot_air, "++++++", JW_OFF_IDLE},
	    {"film in the pilot jet", film_in_pilot_jet, "------", JW_IDLE},
	    {"main jet small", small_main_jet, "0-----", JW_FULL},
	    {"outlet half shut", half_shut_outlet, "---??0", JW_IDLE},
	    {"ports shut", shut_ports, "+-----", JW_OFF_IDLE},
	    {"needle low", low_needle, "00----", JW_QUARTER},
	    {"slide stuck", stuck_slide, "?-?+++", JW_OFF_IDLE},
	};
	const jw_setup stock = scooter();
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_setup faulty = stock;
		rows[i].change(&faulty);
		ratios r = of_change(&faulty, &stock);
		int worst = 0;
		for (int k = 0; k < JW_RANGE_COUNT; k++) {
			char sign = rows[i].sign[k];
			double off = r.of[k] - 1;
			int holds = sign == '?' || (sign == '0' ? fabs(off) < 0.01 : sign == '+' ? off > 0.01 : off < -0.01);
			cr_expect(holds, "%s at %s: %g, expected %c", rows[i].name, jw_range_name((jw_range)k), r.of[k], sign);
			if (fabs(log(r.of[k])) > fabs(log(r.of[worst])))
				worst = k;
		}
		cr_expect_eq(worst, (int)rows[i].worst, "%s: worst at %s", rows[i].name, jw_range_name((jw_range)worst));
	}
}

/* Common practice, no source: a clogged filter richens where the bowl is open to the atmosphere; a bowl open to the
 * airbox hardly feels it, while a slide that floats does not feel it either. */
Test(effects, a_clogged_filter_is_felt_through_the_vent)
{
	for (size_t e = 0; e < BUNDLED; e++) {
		jw_setup stock = bundled(bundled_names[e]);
		stock.carburetor.slide.reference = JW_VENT_AIRBOX;
		for (int vent = JW_VENT_ATMOSPHERE; vent <= JW_VENT_AIRBOX; vent++) {
			stock.carburetor.bowl.vent = (jw_vent)vent;
			jw_setup clogged = stock;
			clogged.carburetor.intake.loss_pa *= 3;
			ratios r = of_change(&clogged, &stock);
			if (vent == JW_VENT_ATMOSPHERE)
				cr_expect(r.of[JW_FULL] > 1.05, "%s: %g", bundled_names[e], r.of[JW_FULL]);
			for (int i = 0; i < JW_RANGE_COUNT; i++)
				cr_expect(vent == JW_VENT_ATMOSPHERE ? r.of[i] >= 1 : fabs(r.of[i] - 1) < 0.01, "%s %s: %g",
				          bundled_names[e], jw_range_name((jw_range)i), r.of[i]);
		}
	}
}

/* The filter's loss helps to lift a slide whose upper side is open to the atmosphere. */
Test(effects, a_clogged_filter_lifts_a_slide_open_to_the_atmosphere)
{
	const jw_air air = mild_air();
	const jw_setup stock = bundled("twin-480");
	jw_setup clogged = stock;
	clogged.carburetor.intake.loss_pa *= 3;
	for (int i = JW_QUARTER; i <= JW_HALF; i++)
		cr_expect_gt(mixture_of(&clogged, &air, &stock.range[i]).path.lift_m,
		             1.03 * mixture_of(&stock, &air, &stock.range[i]).path.lift_m);
}

/* Enrichener or choke plate: the further on, the richer. */
Test(effects, enrichener_and_choke_richen)
{
	const jw_air air = mild_air();
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup s = bundled(bundled_names[e]);
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			jw_point point = s.range[r];
			double before = 0;
			for (point.enrichener = 0; point.enrichener < 1.01; point.enrichener += 0.25) {
				jw_point at = point;
				at.enrichener = fmin(at.enrichener, 1);
				double phi = mixture_of(&s, &air, &at).phi;
				/* the choke plate hides behind its shaft at first */
				cr_expect(phi >= before, "%s %s at %g: %g after %g", bundled_names[e], jw_range_name((jw_range)r),
				          at.enrichener, phi, before);
				before = phi;
			}
			cr_expect_gt(before, 1.05 * mixture_of(&s, &air, &s.range[r]).phi, "%s %s: %g", bundled_names[e],
			             jw_range_name((jw_range)r), before);
		}
	}
}

/* Out is richer for a fuel screw, leaner for an air screw; idle feels it most. */
Test(effects, screws_turn_as_they_are_said_to)
{
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup stock = bundled(bundled_names[e]);
		jw_setup out = stock;
		out.carburetor.screw.turns += 0.25;
		ratios r = of_change(&out, &stock);
		int leans = stock.carburetor.screw.kind == JW_AIR_SCREW;
		cr_expect(leans ? r.of[JW_IDLE] < 0.99 : r.of[JW_IDLE] > 1.01, "%s: %g", bundled_names[e], r.of[JW_IDLE]);
		cr_expect_lt(fabs(log(r.of[JW_FULL])), 0.3 * fabs(log(r.of[JW_IDLE])));
	}
}

/* More displacement pulls harder on the same brass: what it gains in air it gains in fuel, to a few per cent, but where
 * a slide stands at its stop or reaches it. */
Test(effects, a_bigger_bore_corrects_itself)
{
	const jw_air air = mild_air();
	for (size_t e = 0; e < BUNDLED; e++) {
		const jw_setup stock = bundled(bundled_names[e]);
		jw_setup bored = stock;
		bored.engine.bore_m *= sqrt(1.1);
		ratios r = of_change(&bored, &stock);
		for (int i = 0; i < JW_RANGE_COUNT; i++)
			if (!at_stop(&bored, &air, i))
				cr_expect(fabs(r.of[i] - 1) < 0.06, "%s %s: %g", bundled_names[e], jw_range_name((jw_range)i), r.of[i]);
	}
}
