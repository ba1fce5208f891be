/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "point/cycle.h"

#include "flow/column.h"

/* Narrow part of an outlet: the land of a needle jet, a drilled nozzle. Common practice, no source; 2 and 6 mm differ
 * by 4 % in the main fuel of a strongly bled circuit. */
#define LAND_M 4e-3
/* A drop below which an outlet's losses go on by the law that holds there. */
#define LEAST_DROP_PA 50.0
/* Of an air jet that is blown through from its well. */
#define BACK_COEFFICIENT 0.75
#define AIR_IMBALANCE 1e-8
#define MOST_DROP 0.45 /* at an air jet, of the pressure ahead: it is choked there */
#define LEAST_VOLUME_M3 20e-9
#define LEAST_FLOW 1e-9 /* kg/s */

static double gas_density(const jw_circuit_ends *ends)
{
	return ends->air_pa / (ends->air.gas_constant_j_kg_k * ends->air.temperature_k);
}

jw_bled_well jw_bled_well_of(const jw_circuit *circuit, const jw_circuit_ends *ends, double column_bore_m,
                             double factor)
{
	double height = fmax(circuit->outlet_height_m + circuit->bleed_depth_m, 0.0);
	double bore = 0.25 * JW_PI * jw_square(column_bore_m);
	return (jw_bled_well){.volume_m3 = factor * fmax(height * bore, LEAST_VOLUME_M3),
	                      .bore_m2 = bore,
	                      .inertance = factor * (height / bore + LAND_M / ends->outlet[0].effective_area_m2),
	                      .root = 15.0};
}

/* ---- what it holds ---- */

double jw_bled_well_holds(const jw_bled_well *w, const jw_circuit_ends *ends, double quality)
{
	double gas = quality / gas_density(ends), liquid = (1.0 - quality) / ends->fuel.density_kg_m3;
	return ends->fuel.density_kg_m3 * w->volume_m3 * liquid / (gas + liquid);
}

double jw_bled_well_full(const jw_bled_well *w, const jw_circuit *circuit, const jw_circuit_ends *ends)
{
	return ends->fuel.density_kg_m3 * (w->volume_m3 + w->bore_m2 * fmax(circuit->bleed_depth_m, 0.0));
}

/* Gas by mass; its density is that of the air outside. */
static double quality_of(const jw_bled_well *w, const jw_circuit_ends *ends, double liquid_kg)
{
	double gas = gas_density(ends) * fmax(w->volume_m3 - liquid_kg / ends->fuel.density_kg_m3, 0.0);
	double liquid = fmax(liquid_kg, 0.0);
	return gas / (gas + liquid);
}

/* ---- the air jet ---- */

typedef struct air_search {
	const jw_circuit *circuit;
	const jw_circuit_ends *ends;
	double asked;
} air_search;

static double air_excess(double root, void *context)
{
	const air_search *s = context;
	double flow = 0.0, air = s->ends->air_pa;
	jw_gas_orifice_flow(&s->circuit->air_jet, &s->ends->air, air, air - root * root, &flow);
	return (flow - s->asked) / (flow + s->asked);
}

/* Pressure behind the air jet while so much comes through it; below 0: air goes back, which stands in its passage. */
static double behind_air_jet(jw_bled_well *w, const jw_circuit *circuit, const jw_circuit_ends *ends, double kg_s)
{
	double air = ends->air_pa, rt = ends->air.gas_constant_j_kg_k * ends->air.temperature_k;
	if (kg_s < 0.0)
		return jw_pressure_ahead(BACK_COEFFICIENT * jw_orifice_area(&circuit->air_jet), rt, air, -kg_s);
	air_search s = {circuit, ends, kg_s};
	jw_guess root = {0.0, sqrt(MOST_DROP * air), w->root, 0.5 / w->root};
	if (kg_s > 0.0 && jw_rising_root(air_excess, &s, &root, AIR_IMBALANCE, NULL) >= 0)
		w->root = fmax(root.x, 1e-2);
	else
		root.x = 0.0;
	return air - jw_square(root.x);
}

/* ---- its movement ---- */

/* Drop over the square of the flow that makes it, at an outlet of the emulsion or, from outside, of air. */
static double loss_of(const jw_circuit *circuit, const jw_circuit_ends *ends, double quality, double drop,
                      int comes_back)
{
	double flow = 0.0, outside = ends->outlet[0].pressure_pa, area = ends->outlet[0].effective_area_m2;
	jw_emulsion emulsion = {quality, ends->fuel.density_kg_m3, ends->air.gas_constant_j_kg_k * ends->air.temperature_k,
	                        circuit->slip};
	drop = fmin(fmax(fabs(drop), LEAST_DROP_PA), 0.9 * outside);
	if (comes_back)
		jw_gas_mass_flow(area, &ends->air, outside, outside - drop, &flow);
	else
		jw_emulsion_mass_flow(area, &emulsion, outside + drop, outside, &flow);
	return drop / jw_square(flow);
}

double jw_bled_well_rates(jw_bled_well *w, const jw_circuit *circuit, const jw_circuit_ends *ends, double fuel_kg_s,
                          const double *y, double step_s, double *rate)
{
	double out = y[JW_WELL_OUT], liquid = y[JW_WELL_LIQUID], density = ends->fuel.density_kg_m3;
	double quality = quality_of(w, ends, liquid), leaves = fmax(out, 0.0) * (1.0 - quality);
	/* What the volume asks for; air that comes back through the outlet takes its place. */
	double air = out - leaves + gas_density(ends) * (leaves - fuel_kg_s) / density;
	double above = fmax(liquid / density - w->volume_m3, 0.0) / w->bore_m2; /* fuel that stands in the air's passage */
	double behind_pa = behind_air_jet(w, circuit, ends, air), well_pa = behind_pa + density * JW_GRAVITY * above;
	double driving = well_pa - jw_circuit_head(circuit, ends, well_pa) - ends->outlet[0].pressure_pa;
	double loss = loss_of(circuit, ends, quality, driving, out < 0.0);
	/* Air answers sooner than a step is long: it is made to take about one, against the losses at outlet and air jet.
	 */
	double resistance = loss * fabs(out) + fabs(ends->air_pa - behind_pa) / (fabs(out) + LEAST_FLOW);
	double inertance = sqrt(jw_square(w->inertance) + jw_square(step_s * resistance));
	rate[JW_WELL_OUT] = (driving - loss * out * fabs(out)) / inertance;
	rate[JW_WELL_LIQUID] = fuel_kg_s - leaves;
	return well_pa;
}
