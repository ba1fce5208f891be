/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The air's way from mouth to plate, part by part. */
#include "base/base.h"
#include "near.h"
#include <jetwright/carburetor.h>

#define AMBIENT 99.3e3

static const jw_gas air = {291.6, 287.6, 1.8e-5};

static jw_carburetor with_venturi(void)
{
	return (jw_carburetor){
	    .kind = JW_FIXED_VENTURI,
	    .intake = {410, 5.3e-3},
	    .throat = {14.7e-3, 0.85, 0.63},
	    .plate = {19e-3, 5e-3, 0.2, 0.29, 0.8},
	    .choke = {.bore_m = 22e-3, .shaft_m = 4e-3, .closed_rad = 0.17, .coefficient = 0.75, .relief_m2 = 6e-6},
	    .slide = {.stuck_lift_m = -1}};
}

static jw_carburetor with_piston_slide(void)
{
	jw_carburetor c = with_venturi();
	c.kind = JW_PISTON_SLIDE;
	c.choke.bore_m = 0;
	c.slide.cutaway_m = 3.1e-3, c.slide.idle_lift_m = 0.9e-3, c.slide.full_lift_m = 14e-3;
	return c;
}

static jw_carburetor with_floating_slide(void)
{
	jw_carburetor c = with_venturi();
	c.kind = JW_CONSTANT_DEPRESSION;
	c.throat.bore_m = 22.5e-3;
	c.choke.bore_m = 0;
	c.slide = (jw_slide){.diaphragm_m = 55e-3,
	                     .mass_kg = 0.03,
	                     .spring_closed_n = 1.9,
	                     .spring_rate_n_m = 17,
	                     .base_area_m2 = 46e-6,
	                     .stuck_lift_m = -1,
	                     .reference = JW_VENT_AIRBOX};
	return c;
}

/* Pressure behind an isentropic nozzle that passes a flow, by halving (Heywood 1988, app. C). */
static double behind_nozzle(double effective_area_m2, double upstream_pa, double kg_s)
{
	double low = 0.53, high = 1;
	for (int i = 0; i < 100; i++) {
		double r = 0.5 * (low + high);
		double flow =
		    effective_area_m2 * upstream_pa / sqrt(287.6 * 291.6) * pow(r, 1 / 1.4) * sqrt(7 * (1 - pow(r, 0.4 / 1.4)));
		*(flow > kg_s ? &low : &high) = r;
	}
	return upstream_pa * low;
}

static jw_air_path path_at(const jw_carburetor *c, jw_controls controls, double kg_s, double gain, jw_status *status)
{
	jw_air_path path;
	jw_error error = {0};
	*status = jw_carburetor_air(c, &controls, &air, AMBIENT, kg_s, gain, &path, &error);
	cr_assert(*status >= 0, "%s %s", jw_status_name(*status), error.field);
	return path;
}

/* Filter loss with the square of the flow, referred to air of 1.2 kg/m3; choke plate and throat a nozzle, the throat's
 * pulsing depression a multiple of the steady one, a share of it regained. */
Test(air, venturi_part_by_part)
{
	const jw_carburetor c = with_venturi();
	const double density = AMBIENT / (287.6 * 291.6), throat = 0.85 * JW_PI * 14.7e-3 * 14.7e-3 / 4;
	const double flows[] = {0.11e-3, 1.7e-3, 4.4e-3, 9.3e-3};
	for (size_t i = 0; i < sizeof flows / sizeof *flows; i++)
		for (double shut = 0; shut < 0.7; shut += 0.3) {
			jw_status status;
			jw_air_path p = path_at(&c, (jw_controls){0.6, shut}, flows[i], 1.8, &status);
			double choke = 0.75 * jw_choke_area(&c.choke, shut);
			double box = AMBIENT - 410 * jw_square(flows[i] / 5.3e-3) * 1.2 / density;
			double mouth = behind_nozzle(choke, box, flows[i]);
			cr_expect_eq(status, JW_OK);
			JW_NEAR_REL(p.box_pa, box, 1e-12);
			JW_NEAR_REL(p.mouth_pa, mouth, 1e-11);
			JW_NEAR_REL(p.throat_steady_pa, behind_nozzle(throat, mouth, flows[i]), 1e-10);
			JW_NEAR_REL(p.throat_pa, mouth - 1.8 * (mouth - p.throat_steady_pa), 1e-12);
			JW_NEAR_REL(p.plate_pa, p.throat_pa + 0.63 * (mouth - p.throat_pa), 1e-12);
			JW_NEAR_REL(p.throat_area_m2, throat / 0.85, 1e-12);
		}
}

Test(air, pressures_fall_with_the_flow)
{
	const jw_carburetor kinds[] = {with_venturi(), with_piston_slide(), with_floating_slide()};
	for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
		const jw_controls half = {0.5, 0.1};
		double most = jw_carburetor_capacity(&kinds[k], &half, &air, AMBIENT);
		jw_air_path before = {INFINITY, INFINITY, INFINITY, INFINITY, INFINITY, -1, 0};
		for (double share = 0; share < 0.999; share += 0.013) {
			jw_status status;
			jw_air_path p = path_at(&kinds[k], half, share * most, 1.3, &status);
			cr_expect_eq(status, JW_OK, "kind %zu at %g", k, share);
			cr_expect(p.box_pa < before.box_pa && p.mouth_pa < before.mouth_pa && p.plate_pa < before.plate_pa,
			          "kind %zu at %g", k, share);
			/* the pulsing depression is cut off at the critical one, a share of a mouth that falls on */
			cr_expect(p.throat_steady_pa < before.throat_steady_pa && p.throat_pa < before.throat_pa, "kind %zu at %g",
			          k, share);
			cr_expect(p.throat_pa <= p.throat_steady_pa && p.throat_pa <= p.plate_pa && p.plate_pa <= p.mouth_pa &&
			              p.mouth_pa <= p.box_pa && p.box_pa <= AMBIENT,
			          "kind %zu at %g", k, share);
			before = p;
		}
	}
}

/* The capacity is the flow that is 98 % of what chokes the throat, at the mouth pressure of that very flow; more is
 * held there and said to choke, less than nothing is nothing. */
Test(air, capacity_is_its_own_choke)
{
	jw_carburetor kinds[] = {with_venturi(), with_piston_slide(), with_floating_slide()};
	kinds[0].choke.bore_m = 0; /* a plate, open too, would cost some of the mouth's pressure at the choke */
	for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++) {
		const jw_controls wide = {1, 0};
		jw_status status;
		double most = jw_carburetor_capacity(&kinds[k], &wide, &air, AMBIENT);
		jw_air_path p = path_at(&kinds[k], wide, most, 1, &status);
		double throat = kinds[k].throat.coefficient * 0.25 * JW_PI * jw_square(kinds[k].throat.bore_m);
		cr_expect_eq(status, JW_OK);
		JW_NEAR_REL(most, 0.98 * 0.684731 * throat * p.mouth_pa / sqrt(287.6 * 291.6), 1e-6); /* C* of ISO 9300 */
		jw_air_path more = path_at(&kinds[k], wide, 1.5 * most, 1, &status);
		cr_expect_eq(status, JW_W_CHOKED);
		cr_expect_eq(more.throat_pa, p.throat_pa);
		jw_air_path back = path_at(&kinds[k], wide, -1e-3, 1, &status);
		cr_expect(back.box_pa == AMBIENT && back.throat_pa == AMBIENT && back.plate_pa == AMBIENT);
	}
}

/* A shut choke plate passes no more than chokes it, and 98 % of that is the capacity where the throat is the wider. */
Test(air, choke_plate_chokes)
{
	jw_carburetor c = with_venturi();
	c.intake.loss_pa = 0;
	double before = INFINITY;
	for (double shut = 0; shut <= 1; shut += 0.05) {
		const jw_controls controls = {1, shut};
		double plate = 0.684731 * c.choke.coefficient * jw_choke_area(&c.choke, shut) * AMBIENT / sqrt(287.6 * 291.6);
		double most = jw_carburetor_capacity(&c, &controls, &air, AMBIENT);
		cr_expect(most <= 0.98 * plate * (1 + 1e-6) && most <= before, "shut %g: %g of %g", shut, most, plate);
		jw_status status;
		cr_expect_geq(path_at(&c, controls, 2 * most, 1, &status).mouth_pa, 0.5282 * AMBIENT);
		cr_expect_eq(status, JW_W_CHOKED);
		if (shut > 0.9)
			JW_NEAR_REL(most, 0.98 * plate, 1e-6);
		before = most;
	}
}

/* Front edge, cutaway above the rear one, makes the throat; the rear edge throttles. */
Test(air, piston_slide_has_two_edges)
{
	jw_carburetor c = with_piston_slide();
	const double throttles[] = {0, 0.23, 0.71, 1};
	for (size_t i = 0; i < sizeof throttles / sizeof *throttles; i++) {
		double lift = 0.9e-3 + throttles[i] * 13.1e-3;
		jw_status status;
		jw_air_path p = path_at(&c, (jw_controls){throttles[i], 0}, 1e-4, 1, &status);
		JW_NEAR_REL(p.lift_m, lift, 1e-12);
		JW_NEAR_REL(p.throat_area_m2, jw_slide_area(&c.throat, &c.slide, lift + 3.1e-3), 1e-12);
		JW_NEAR_REL(jw_carburetor_plate(&c, throttles[i]), 0.85 * jw_slide_area(&c.throat, &c.slide, lift), 1e-12);
	}
	c.slide.stuck_lift_m = 4e-3; /* a cable that hangs */
	JW_NEAR_REL(jw_carburetor_plate(&c, 1), 0.85 * jw_slide_area(&c.throat, &c.slide, 4e-3), 1e-12);
}

Test(air, plate_throttles_the_others)
{
	const jw_carburetor kinds[] = {with_venturi(), with_floating_slide()};
	for (size_t k = 0; k < 2; k++)
		for (double throttle = 0; throttle < 1.01; throttle += 0.2)
			JW_NEAR_REL(jw_carburetor_plate(&kinds[k], throttle),
			            0.8 * jw_plate_area(&kinds[k].plate, 0.29 + throttle * (0.5 * JW_PI - 0.29)), 1e-12);
}

static double lift_of(const jw_carburetor *c, double kg_s)
{
	jw_status status;
	return path_at(c, (jw_controls){0.5, 0}, kg_s, 1.4, &status).lift_m;
}

Test(air, slide_floats_between_its_stops)
{
	jw_carburetor c = with_floating_slide();
	double before = 0;
	for (double flow = 0.2e-3; flow < 20e-3; flow += 0.1e-3) {
		double lift = lift_of(&c, flow);
		cr_expect(lift >= before && lift <= 22.5e-3, "%g", flow);
		before = lift;
	}
	cr_expect_eq(lift_of(&c, 0.2e-3), 0);
	cr_expect_eq(lift_of(&c, 20e-3), 22.5e-3);

	/* While it floats the pull is what weight and spring ask for; with its upper side open to the atmosphere the
	 * filter's loss pulls too. */
	jw_carburetor open = c;
	open.slide.reference = JW_VENT_ATMOSPHERE;
	for (double flow = 2e-3; flow < 7e-3; flow += 1e-3) {
		jw_status status;
		jw_air_path p = path_at(&c, (jw_controls){0.5, 0}, flow, 1.4, &status);
		jw_air_path q = path_at(&open, (jw_controls){0.5, 0}, flow, 1.4, &status);
		const double area = 0.25 * JW_PI * 55e-3 * 55e-3, weight = 0.03 * 9.80665 + 1.9;
		JW_NEAR_REL((p.mouth_pa - p.throat_pa) * area, weight + 17 * p.lift_m, 1e-5);
		JW_NEAR_REL((AMBIENT - q.throat_pa) * area, weight + 17 * q.lift_m, 1e-5);
		cr_expect_gt(q.lift_m, p.lift_m);
	}
	/* Also where the flow does not tell the pull: of hardly any, under a slide that shuts tight. */
	jw_carburetor tight = c;
	tight.slide.base_area_m2 = 0;
	jw_status idle;
	jw_air_path hardly = path_at(&tight, (jw_controls){0.5, 0}, 1e-14, 1.4, &idle);
	JW_NEAR_REL(hardly.mouth_pa - hardly.throat_pa, jw_slide_depression(&tight.slide, 0), 1e-6);
	JW_NEAR_REL(hardly.mouth_pa - hardly.throat_steady_pa, jw_slide_depression(&tight.slide, 0) / 1.4, 1e-6);
	/* Found by tests/properties: without any air nothing pulls. */
	jw_air_path none = path_at(&tight, (jw_controls){0.5, 0}, 0, 1.4, &idle);
	cr_expect_eq(none.throat_steady_pa, none.mouth_pa);
	cr_expect_eq(none.throat_pa, none.mouth_pa);

	/* Stuck, it stays; heavier, it hangs lower; stronger pulses lift it. It has one edge only. */
	jw_carburetor changed = c;
	changed.slide.cutaway_m = 3e-3;
	jw_status told;
	jw_air_path cut = path_at(&changed, (jw_controls){0.5, 0}, 4e-3, 1.4, &told);
	JW_NEAR_REL(cut.throat_area_m2, jw_slide_area(&c.throat, &c.slide, lift_of(&c, 4e-3)), 1e-12);
	changed = c;
	changed.slide.stuck_lift_m = 6.1e-3;
	cr_expect_eq(lift_of(&changed, 0.2e-3), 6.1e-3);
	cr_expect_eq(lift_of(&changed, 9e-3), 6.1e-3);
	changed = c;
	changed.slide.mass_kg = 0.05;
	cr_expect_lt(lift_of(&changed, 4e-3), lift_of(&c, 4e-3));
	jw_status status;
	cr_expect_gt(path_at(&c, (jw_controls){0.5, 0}, 4e-3, 2.2, &status).lift_m, lift_of(&c, 4e-3));
}

/* For time constants only: the depression of a floating slide at half lift, of an open throat at the flow. */
Test(air, reference_depression)
{
	const jw_carburetor floating = with_floating_slide(), fixed = with_venturi();
	JW_NEAR_REL(jw_carburetor_reference(&floating, &air, AMBIENT, 4e-3), jw_slide_depression(&floating.slide, 11.25e-3),
	            1e-12);
	double throat = 0.85 * JW_PI * 14.7e-3 * 14.7e-3 / 4;
	JW_NEAR_REL(jw_carburetor_reference(&fixed, &air, AMBIENT, 4e-3), AMBIENT - behind_nozzle(throat, AMBIENT, 4e-3),
	            1e-8);
	cr_expect_gt(jw_carburetor_reference(&fixed, &air, AMBIENT, 0), 0);
}
