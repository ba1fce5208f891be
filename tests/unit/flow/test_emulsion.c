/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The homogeneous emulsion: both pure limits, and its choke by brute force. */
#include "draw.h"
#include "near.h"
#include <jetwright/flow.h>

#define UPSTREAM 97.3e3
#define AREA 3.7e-7

static jw_emulsion mix(double quality)
{
	return (jw_emulsion){quality, 741.3, 287.6 * 291.4};
}

static double volume_of(const jw_emulsion *e, double pressure_pa)
{
	return e->quality * e->gas_rt_j_kg / pressure_pa + (1 - e->quality) / e->liquid_density_kg_m3;
}

Test(emulsion, without_gas_it_is_a_liquid)
{
	const jw_emulsion liquid = mix(0);
	const double downstream[] = {97.29e3, 80e3, 31e3};
	for (size_t i = 0; i < 3; i++) {
		double kg_s = 0;
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &liquid, UPSTREAM, downstream[i], &kg_s), JW_OK);
		JW_NEAR_REL(kg_s, AREA * sqrt(2 * 741.3 * (UPSTREAM - downstream[i])), 1e-14);
	}
	/* and is reached without a step */
	const jw_emulsion nearly = mix(1e-12);
	double kg_s = 0;
	jw_emulsion_mass_flow(AREA, &nearly, UPSTREAM, 80e3, &kg_s);
	JW_NEAR_REL(kg_s, AREA * sqrt(2 * 741.3 * (UPSTREAM - 80e3)), 1e-8);
}

/* Isothermal nozzle: flux p0/sqrt(RT) r sqrt(2 ln 1/r), greatest at r = exp(-1/2). */
Test(emulsion, without_liquid_it_is_an_isothermal_nozzle)
{
	const jw_emulsion gas = mix(1);
	const double full = AREA * UPSTREAM / sqrt(gas.gas_rt_j_kg), critical = exp(-0.5);
	const double ratios[] = {0.999, 0.83, critical + 1e-6, critical - 1e-6, 0.2};
	for (size_t i = 0; i < sizeof ratios / sizeof *ratios; i++) {
		double kg_s = 0, r = fmax(ratios[i], critical);
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &gas, UPSTREAM, ratios[i] * UPSTREAM, &kg_s),
		             ratios[i] < critical ? JW_W_CHOKED : JW_OK, "ratio %g", ratios[i]);
		JW_NEAR_REL(kg_s, full * r * sqrt(-2 * log(r)), 1e-12);
	}
}

/* Bernoulli's integral summed in small steps of pressure: flux = sqrt(2 int v dp)/v, and its greatest value. */
typedef struct brute {
	double flux_at_target, most, pressure_of_most;
} brute;

#define STEPS 400000

static brute by_brute_force(const jw_emulsion *e, double target_pa)
{
	brute b = {0};
	const double step = (UPSTREAM - 1e3) / STEPS;
	double work = 0;
	for (int i = 1; i <= STEPS; i++) {
		double pressure = UPSTREAM - i * step;
		work += step * volume_of(e, pressure + 0.5 * step);
		double flux = sqrt(2 * work) / volume_of(e, pressure);
		if (flux > b.most)
			b.most = flux, b.pressure_of_most = pressure;
		if (fabs(pressure - target_pa) <= 0.5 * step)
			b.flux_at_target = flux;
	}
	return b;
}

Test(emulsion, choke_is_where_flux_is_greatest)
{
	const double qualities[] = {0.0007, 0.004, 0.031, 0.17, 0.42, 0.86, 0.993};
	const double step = (UPSTREAM - 1e3) / STEPS;
	for (size_t i = 0; i < sizeof qualities / sizeof *qualities; i++) {
		const jw_emulsion e = mix(qualities[i]);
		double before_choke = UPSTREAM - 20000 * step, kg_s = 0;
		brute b = by_brute_force(&e, before_choke);
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &e, UPSTREAM, before_choke, &kg_s), JW_OK);
		JW_NEAR_REL(kg_s, AREA * b.flux_at_target, 1e-9);
		/* choked below, and only below */
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &e, UPSTREAM, b.pressure_of_most - 2 * step, &kg_s), JW_W_CHOKED);
		JW_NEAR_REL(kg_s, AREA * b.most, 1e-9);
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &e, UPSTREAM, b.pressure_of_most + 2 * step, &kg_s), JW_OK);
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &e, UPSTREAM, 1e-3, &kg_s), JW_W_CHOKED);
		JW_NEAR_REL(kg_s, AREA * b.most, 1e-9);
	}
}

/* With the density of the well all the way an outlet at 40 kPa would pass 1.6 to 2.1 times too much. */
Test(emulsion, incompressible_form_overstates_at_idle)
{
	for (double quality = 0.005; quality <= 1; quality *= 1.3) {
		const jw_emulsion e = mix(quality);
		double kg_s = 0;
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &e, UPSTREAM, 40e3, &kg_s), JW_W_CHOKED);
		double overstated = AREA * sqrt(2 * (UPSTREAM - 40e3) / volume_of(&e, UPSTREAM)) / kg_s;
		cr_expect(overstated > 1.6 && overstated < 2.1, "quality %g: %g times", quality, overstated);
	}
}

Test(emulsion, flow_falls_as_the_pressure_behind_rises)
{
	draw d = {3141};
	for (int i = 0; i < 2000; i++) {
		const jw_emulsion e = mix(pow(draw_unit(&d), 3));
		double behind = draw_between(&d, 1e3, UPSTREAM), more = 0, less = 0;
		jw_emulsion_mass_flow(AREA, &e, UPSTREAM, behind, &more);
		jw_emulsion_mass_flow(AREA, &e, UPSTREAM, fmin(behind * 1.001, UPSTREAM), &less);
		cr_expect(less <= more, "quality %g behind %g: %.17g, then %.17g", e.quality, behind, more, less);
	}
	const double nothing[][2] = {{UPSTREAM, UPSTREAM}, {60e3, 61e3}, {60e3, 0}, {60e3, -5}};
	const jw_emulsion e = mix(0.3);
	for (size_t i = 0; i < 4; i++) {
		double kg_s = 7;
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &e, nothing[i][0], nothing[i][1], &kg_s), JW_OK);
		cr_expect_eq(kg_s, 0, "row %zu", i);
	}
}

/* Chisholm: the gas runs ahead by K = sqrt(rho_liquid/rho_mixture), and momentum rides on the volume
 * [x v_gas + K (1 - x) v_liquid][x + (1 - x)/K]. */
Test(emulsion, slip_lets_more_through)
{
	for (double quality = 0.0007; quality < 1; quality *= 2.3) {
		jw_emulsion e = mix(quality);
		double together = 0, slipping = 0, drop = 5;
		jw_emulsion_mass_flow(AREA, &e, UPSTREAM, UPSTREAM - drop, &together);
		e.slip = 1;
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &e, UPSTREAM, UPSTREAM - drop, &slipping), JW_OK);
		double gas = quality * e.gas_rt_j_kg / UPSTREAM, liquid = (1 - quality) / 741.3;
		double k = sqrt(741.3 * (gas + liquid));
		double volume = (gas + k * liquid) * (quality + (1 - quality) / k);
		JW_NEAR_REL(slipping, AREA * sqrt(2 * drop / volume), 2 * drop / UPSTREAM);
		cr_expect_gt(slipping, together);
		double most = 0;
		cr_expect_eq(jw_emulsion_mass_flow(AREA, &e, UPSTREAM, 1e-3, &most), JW_W_CHOKED);
		for (double behind = UPSTREAM; behind > 1e3; behind *= 0.99) {
			jw_emulsion_mass_flow(AREA, &e, UPSTREAM, behind, &slipping);
			cr_expect(slipping <= most * (1 + 1e-12), "quality %g behind %g", quality, behind);
		}
	}
	for (int pure = 0; pure < 2; pure++) { /* nothing to run ahead of */
		jw_emulsion e = mix(pure);
		double together = 0, slipping = 0;
		jw_emulsion_mass_flow(AREA, &e, UPSTREAM, 81e3, &together);
		e.slip = 1;
		jw_emulsion_mass_flow(AREA, &e, UPSTREAM, 81e3, &slipping);
		JW_NEAR_REL(slipping, together, 1e-14);
	}
}

Test(emulsion, properties_lie_between_the_pure_ones)
{
	const double qualities[] = {0, 0.0013, 0.21, 0.74, 1};
	for (size_t i = 0; i < sizeof qualities / sizeof *qualities; i++) {
		const jw_emulsion e = mix(qualities[i]);
		double gas = UPSTREAM / e.gas_rt_j_kg, part = jw_void_fraction(&e, UPSTREAM);
		/* mass in a volume is that of its gas and of its liquid */
		JW_NEAR_REL(jw_emulsion_density(&e, UPSTREAM), part * gas + (1 - part) * 741.3, 1e-12);
		JW_NEAR_REL(part * gas, e.quality * jw_emulsion_density(&e, UPSTREAM), 1e-12);
		double mu = jw_mixture_viscosity(e.quality, 1.81e-5, 4.2e-4);
		JW_NEAR_REL(1 / mu, e.quality / 1.81e-5 + (1 - e.quality) / 4.2e-4, 1e-14);
	}
}
