/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Gas through a nozzle: closed forms with pow, ISO 5167, ISO 9300, and inverses by GSL. */
#include "base/base.h"
#include "draw.h"
#include "near.h"
#include <gsl/gsl_integration.h>
#include <gsl/gsl_roots.h>
#include <jetwright/flow.h>

#define DRAWS 2000
#define GAMMA 1.4

static const jw_gas mild = {293.15, 287.9, 1.81e-5};

/* Isentropic flow per effective area; subcritical (Heywood, Internal Combustion Engine Fundamentals, 1988, app. C). */
static double nozzle_flux(const jw_gas *gas, double upstream_pa, double ratio)
{
	return upstream_pa / sqrt(gas->gas_constant_j_kg_k * gas->temperature_k) * pow(ratio, 1 / GAMMA) *
	       sqrt(2 * GAMMA / (GAMMA - 1) * (1 - pow(ratio, (GAMMA - 1) / GAMMA)));
}

static double critical_ratio(void)
{
	return pow(2 / (GAMMA + 1), GAMMA / (GAMMA - 1));
}

typedef struct nozzle_draw {
	double area_m2, upstream_pa, ratio;
	jw_gas gas;
} nozzle_draw;

static nozzle_draw any_nozzle(draw *d, double least_ratio)
{
	return (nozzle_draw){exp(draw_between(d, log(1e-8), log(1e-3))),
	                     draw_between(d, 40e3, 130e3),
	                     draw_between(d, least_ratio, 1),
	                     {draw_between(d, 240, 340), draw_between(d, 285, 296), draw_between(d, 1.5e-5, 2.1e-5)}};
}

Test(gas, nozzle_is_the_closed_form_up_to_the_choke)
{
	draw d = {4711};
	for (int i = 0; i < DRAWS; i++) {
		nozzle_draw n = any_nozzle(&d, 0.05);
		double kg_s = 0, down = n.ratio * n.upstream_pa;
		jw_status status = jw_gas_mass_flow(n.area_m2, &n.gas, n.upstream_pa, down, &kg_s);
		int choked = n.ratio < critical_ratio();
		double flux = nozzle_flux(&n.gas, n.upstream_pa, choked ? critical_ratio() : n.ratio);
		cr_expect_eq(status, choked ? JW_W_CHOKED : JW_OK, "ratio %g", n.ratio);
		/* 1 - q and 1 - pow cancel alike as the drop vanishes */
		JW_NEAR_REL(kg_s, n.area_m2 * flux, 1e-14 / (1 - n.ratio) + 1e-13);
		double back = 0;
		cr_expect_eq(jw_gas_mass_flow(n.area_m2, &n.gas, down, n.upstream_pa, &back), status);
		cr_expect_eq(back, -kg_s);
	}
}

/* By halving the pressure between the two, where the second takes its choked flow or the first is choked itself. */
Test(gas, two_in_series_pass_what_chokes_one)
{
	draw d = {815};
	for (int i = 0; i < DRAWS; i++) {
		nozzle_draw n = any_nozzle(&d, 0.05);
		double second = n.area_m2 * exp(draw_between(&d, -2, 2)), first, low = critical_ratio(), high = 1;
		for (int k = 0; k < 60; k++) {
			double ratio = 0.5 * (low + high);
			jw_gas_mass_flow(n.area_m2, &n.gas, n.upstream_pa, ratio * n.upstream_pa, &first);
			*(first > jw_gas_choked_flow(second, &n.gas, ratio * n.upstream_pa) ? &low : &high) = ratio;
		}
		/* the flow is a root of the drop: 1e-16 of the pressure is seen */
		JW_NEAR_REL(jw_gas_choked_series(n.area_m2, second, &n.gas, n.upstream_pa), first, 1e-13 / (1 - low) + 1e-13);
	}
}

static double specific_volume(double pressure_pa, void *context)
{
	(void)context;
	double rt = mild.gas_constant_j_kg_k * mild.temperature_k;
	return rt / 101325 * pow(pressure_pa / 101325, -1 / GAMMA);
}

/* The same from Bernoulli's integral along the isentrope, by quadrature. */
Test(gas, nozzle_is_the_integral_of_the_isentrope)
{
	gsl_integration_workspace *space = gsl_integration_workspace_alloc(100);
	const double downstream[] = {101.2e3, 97.3e3, 83.1e3, 61.7e3, 53.6e3};
	for (size_t i = 0; i < sizeof downstream / sizeof *downstream; i++) {
		gsl_function volume = {specific_volume, NULL};
		double work = 0, wrong = 0, kg_s = 0;
		gsl_integration_qags(&volume, downstream[i], 101325, 0, 1e-12, 100, space, &work, &wrong);
		jw_gas_mass_flow(3.3e-5, &mild, 101325, downstream[i], &kg_s);
		JW_NEAR_REL(kg_s, 3.3e-5 * sqrt(2 * work) / specific_volume(downstream[i], NULL), 1e-11);
	}
	gsl_integration_workspace_free(space);
}

/* ISO 5167-3: flow of a nozzle without approach velocity is that of the incompressible law times the expansibility,
 * down to a ratio of 0.75; the first term of that is 1 - 3/(4 gamma) dp/p. */
Test(gas, small_drops_follow_the_expansibility)
{
	const double drops[] = {1e-5, 1e-3, 0.013, 0.07, 0.21, 0.25};
	for (size_t i = 0; i < sizeof drops / sizeof *drops; i++) {
		const double up = 98.7e3, area = 2.9e-5, ratio = 1 - drops[i];
		double density = up / (mild.gas_constant_j_kg_k * mild.temperature_k), kg_s = 0;
		double incompressible = area * sqrt(2 * density * up * drops[i]);
		double expansibility =
		    sqrt(GAMMA * pow(ratio, 2 / GAMMA) / (GAMMA - 1) * (1 - pow(ratio, (GAMMA - 1) / GAMMA)) / (1 - ratio));
		cr_expect_eq(jw_gas_mass_flow(area, &mild, up, ratio * up, &kg_s), JW_OK);
		JW_NEAR_REL(kg_s / incompressible, expansibility, 1e-10);
		JW_NEAR_REL(jw_nozzle_expansibility(0, ratio, GAMMA), expansibility, 1e-10);
		JW_NEAR_REL(jw_compressibility_factor(ratio, GAMMA), expansibility, 1e-10);
		JW_NEAR_ABS(kg_s / incompressible, 1 - 0.75 / GAMMA * drops[i], drops[i] * drops[i] + 1e-10);
	}
	/* An orifice meter's jet contracts: its flow falls by less (ISO 5167-2), 0.351/gamma of the drop. */
	JW_NEAR_ABS(jw_orifice_expansibility(0, 0.99, GAMMA), 1 - 0.351 / GAMMA * 0.01, 1e-4);
	cr_expect_eq(jw_compressibility_factor(1, GAMMA), 1);
	cr_expect_eq(jw_nozzle_expansibility(0.3, 1, GAMMA), 1);
	JW_NEAR_REL(jw_compressibility_factor(0.2, GAMMA), jw_compressibility_factor(critical_ratio(), GAMMA), 1e-14);
}

/* C* of ISO 9300 for an ideal gas of gamma 1.4; 0.528282: critical ratio. */
Test(gas, choke_is_a_ceiling_without_a_step)
{
	const double area = 4.1e-6, up = 101325;
	double most = jw_gas_choked_flow(area, &mild, up), kg_s = 0;
	JW_NEAR_REL(most, 0.684731 * area * up / sqrt(mild.gas_constant_j_kg_k * mild.temperature_k), 1e-6);
	JW_NEAR_ABS(jw_critical_pressure_ratio(GAMMA), 0.528282, 5e-7);
	const double below[] = {0.52828, 0.41, 0.1, 0};
	for (size_t i = 0; i < sizeof below / sizeof *below; i++) {
		cr_expect_eq(jw_gas_mass_flow(area, &mild, up, below[i] * up, &kg_s), JW_W_CHOKED);
		cr_expect_eq(kg_s, most);
	}
	for (double above = 1e-3; above > 1e-7;
	     above /= 10) { /* flow is flat there: what is missing goes with the square */
		cr_expect_eq(jw_gas_mass_flow(area, &mild, up, (critical_ratio() + above) * up, &kg_s), JW_OK);
		cr_expect(kg_s <= most && kg_s >= most * (1 - 3 * above * above - 1e-14), "%g above: %.17g", above,
		          kg_s / most);
	}
}

typedef struct wanted_flow {
	nozzle_draw nozzle;
	double flux;
} wanted_flow;

static double flux_excess(double ratio, void *context)
{
	const wanted_flow *w = context;
	return nozzle_flux(&w->nozzle.gas, w->nozzle.upstream_pa, ratio) / w->flux - 1;
}

static double ratio_by_gsl(wanted_flow *wanted)
{
	gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
	gsl_function excess = {flux_excess, wanted};
	gsl_root_fsolver_set(solver, &excess, critical_ratio(), 1);
	for (int i = 0; i < 100 && gsl_root_fsolver_x_upper(solver) - gsl_root_fsolver_x_lower(solver) > 1e-15; i++)
		gsl_root_fsolver_iterate(solver);
	double root = gsl_root_fsolver_root(solver);
	gsl_root_fsolver_free(solver);
	return root;
}

Test(gas, pressure_behind_a_flow_is_the_root_of_the_closed_form)
{
	draw d = {60613};
	for (int i = 0; i < DRAWS; i++) {
		wanted_flow wanted = {any_nozzle(&d, 0.535), 0};
		nozzle_draw *n = &wanted.nozzle;
		wanted.flux = nozzle_flux(&n->gas, n->upstream_pa, n->ratio);
		double down = 0, kg_s = 0;
		cr_expect_eq(jw_gas_downstream_pressure(n->area_m2, &n->gas, n->upstream_pa, n->area_m2 * wanted.flux, &down),
		             JW_OK);
		/* Near the choke pressure hangs on flow by the root of rounding. */
		JW_NEAR_REL(down, n->upstream_pa * ratio_by_gsl(&wanted), 1e-12);
		jw_gas_mass_flow(n->area_m2, &n->gas, n->upstream_pa, down, &kg_s);
		JW_NEAR_REL(kg_s, n->area_m2 * wanted.flux, 1e-13 / (1 - n->ratio));
	}
	double down = 0, most = jw_gas_choked_flow(1e-5, &mild, 1e5);
	const double flows[] = {most, 1.7 * most, 1e3};
	for (size_t i = 0; i < sizeof flows / sizeof *flows; i++) {
		cr_expect_eq(jw_gas_downstream_pressure(1e-5, &mild, 1e5, flows[i], &down), JW_W_CHOKED);
		JW_NEAR_REL(down, 1e5 * critical_ratio(), 1e-14);
	}
	cr_expect_eq(jw_gas_downstream_pressure(1e-5, &mild, 1e5, 0, &down), JW_OK);
	cr_expect_eq(down, 1e5);
}

/* A drilled air jet: nozzle times the liquid's law at its hydraulic Reynolds number, turning with the drop. */
Test(gas, air_jet_takes_the_law_of_short_bores)
{
	draw d = {88};
	for (int i = 0; i < DRAWS; i++) {
		nozzle_draw n = any_nozzle(&d, 0.3);
		double bore = exp(draw_between(&d, log(0.2e-3), log(3e-3))), down = n.ratio * n.upstream_pa;
		const jw_orifice jet = {bore, bore * draw_between(&d, 1, 12), i % 3 ? 0 : 0.77};
		double cd = jet.coefficient, kg_s = 0, back = 0, plain = 0;
		jw_status law = JW_OK;
		if (!(cd > 0)) {
			double density = n.upstream_pa / (n.gas.gas_constant_j_kg_k * n.gas.temperature_k);
			double reynolds = bore * sqrt(2 * (n.upstream_pa - down) * density) / n.gas.viscosity_pa_s;
			law = jw_discharge_coefficient(reynolds, jet.length_m / bore, &cd);
		}
		law |= jw_gas_mass_flow(cd * JW_PI * bore * bore / 4, &n.gas, n.upstream_pa, down, &plain);
		cr_expect_eq(jw_gas_orifice_flow(&jet, &n.gas, n.upstream_pa, down, &kg_s), law);
		JW_NEAR_REL(kg_s, plain, 1e-13);
		cr_expect_eq(jw_gas_orifice_flow(&jet, &n.gas, down, n.upstream_pa, &back), law);
		cr_expect_eq(back, -kg_s);
	}
	const jw_orifice jet = {0.9e-3, 2e-3, 0}, none = {0, 2e-3, 0};
	double little = 0, twice = 0, kg_s = 7;
	jw_gas_orifice_flow(&jet, &mild, 1e5, 1e5 - 1e-4, &little);
	jw_gas_orifice_flow(&jet, &mild, 1e5, 1e5 - 2e-4, &twice);
	JW_NEAR_REL(twice, 2 * little, 0.02); /* nearly laminar there: no vertical start as of a root */
	cr_expect_eq(jw_gas_orifice_flow(&none, &mild, 1e5, 9e4, &kg_s), JW_OK);
	cr_expect_eq(kg_s, 0);
	kg_s = 7;
	cr_expect_eq(jw_gas_orifice_flow(&jet, &mild, 1e5, 1e5, &kg_s), JW_OK);
	cr_expect_eq(kg_s, 0);
}
