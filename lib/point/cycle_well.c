/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "point/cycle.h"

/* Narrow part of an outlet: the land of a needle jet, a drilled nozzle. Common practice, no source; 2 and 6 mm differ
 * by 4 % in the main fuel of a strongly bled circuit. */
#define LAND_M 4e-3
/* A drop below which an outlet's losses go on by the law that holds there. */
#define LEAST_DROP_PA 50.0
/* Of an air jet that is blown through from its well. */
#define BACK_COEFFICIENT 0.75
#define IMBALANCE 1e-10 /* it adds up over the steps of a cycle */
#define MOST_DROP 0.45  /* at an air jet, of the pressure ahead: it is choked there */
#define LEAST_VOLUME_M3 20e-9
#define LEAST_FLOW 1e-12 /* kg/s */

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
	                      .root = 15.0,
	                      .slope = 0.01};
}

/* ---- what it holds ---- */

double jw_bled_well_holds(const jw_bled_well *w, const jw_circuit_ends *ends, double quality)
{
	double gas = quality / gas_density(ends), liquid = (1.0 - quality) / ends->fuel.density_kg_m3;
	return ends->fuel.density_kg_m3 * w->volume_m3 * liquid / (gas + liquid);
}

/* Of fuel in its bore, Pa/kg. */
static double weight(const jw_bled_well *w)
{
	return JW_GRAVITY / w->bore_m2;
}

double jw_bled_well_at_rest(const jw_bled_well *w, const jw_circuit *circuit, const jw_circuit_ends *ends)
{
	double over = circuit->bleed_depth_m;
	return over > 0.0 ? ends->fuel.density_kg_m3 * (w->volume_m3 + w->bore_m2 * over) : 0.0;
}

/* Gas by mass; its density is that of the air outside. */
static double quality_of(const jw_bled_well *w, const jw_circuit_ends *ends, double liquid_kg)
{
	double gas = gas_density(ends) * fmax(w->volume_m3 - liquid_kg / ends->fuel.density_kg_m3, 0.0);
	double liquid = fmax(liquid_kg, 0.0);
	return gas / (gas + liquid);
}

/* ---- the air jet ---- */

/* Air through it, x being the signed root of its drop; below 0: air goes back, which stands in its passage. */
static jw_status through_air_jet(const jw_circuit *circuit, const jw_circuit_ends *ends, double x, double *kg_s)
{
	double air = ends->air_pa, area = BACK_COEFFICIENT * jw_orifice_area(&circuit->air_jet);
	if (x < 0.0)
		return jw_gas_mass_flow(-area, &ends->air, air + x * x, air, kg_s);
	return jw_driven_bleed(circuit, ends, air - x * x, kg_s);
}

/* ---- its movement ---- */

/* Drop over the square of the flow that makes it, at an outlet of the emulsion or, from outside, of air. */
static double loss_of(const jw_circuit *circuit, const jw_circuit_ends *ends, double quality, double drop,
                      int comes_back, jw_status *status)
{
	double flow, outside = ends->outlet[0].pressure_pa, area = ends->outlet[0].effective_area_m2;
	jw_emulsion emulsion = {quality, ends->fuel.density_kg_m3, ends->air.gas_constant_j_kg_k * ends->air.temperature_k,
	                        circuit->slip};
	drop = fmin(fmax(fabs(drop), LEAST_DROP_PA), 0.9 * outside);
	*status = jw_both(*status, comes_back ? jw_gas_mass_flow(area, &ends->air, outside, outside - drop, &flow)
	                                      : jw_emulsion_mass_flow(area, &emulsion, outside + drop, outside, &flow));
	return drop / jw_square(flow);
}

/* One step of the outlet's flow: what stands fixed, then what the last trial gave. */
typedef struct movement {
	const jw_bled_well *well;
	const jw_circuit *circuit;
	const jw_circuit_ends *ends;
	double fuel_kg_s, before, step_s, quality, above_pa;
	double out, well_pa;
	jw_status status;
} movement;

/* What the volume asks for: its air is as dense as that outside, and air that comes back through the outlet takes the
 * place of what leaves. */
static double out_for(const movement *m, double air)
{
	double thin = gas_density(m->ends) / m->ends->fuel.density_kg_m3, balance = air + thin * m->fuel_kg_s;
	return balance > 0.0 ? balance / (m->quality + thin * (1.0 - m->quality)) : balance;
}

/* Momentum too much for what drives it, over what there is: rises with x. */
static double momentum_excess(double x, void *context)
{
	movement *m = context;
	double air = NAN;
	m->status = through_air_jet(m->circuit, m->ends, x, &air);
	m->out = out_for(m, air);
	m->well_pa = m->ends->air_pa - copysign(x * x, x) + m->above_pa;
	double driving = m->well_pa - jw_circuit_head(m->circuit, m->ends, m->well_pa) - m->ends->outlet[0].pressure_pa;
	double lost = loss_of(m->circuit, m->ends, m->quality, driving, m->out < 0.0, &m->status) * m->out * fabs(m->out);
	double gained = m->well->inertance * (m->out - m->before);
	double all =
	    m->well->inertance * (fabs(m->out) + fabs(m->before) + LEAST_FLOW) + m->step_s * (fabs(lost) + fabs(driving));
	return (gained + m->step_s * (lost - driving)) / all;
}

jw_status jw_bled_well_step(jw_bled_well *w, const jw_circuit *circuit, const jw_circuit_ends *ends, double fuel_kg_s,
                            double step_s, double *y, double *well_pa, double *fills_kg_s)
{
	double liquid = y[JW_WELL_LIQUID];
	movement m = {.well = w,
	              .circuit = circuit,
	              .ends = ends,
	              .fuel_kg_s = fuel_kg_s,
	              .before = y[JW_WELL_OUT],
	              .step_s = step_s,
	              .quality = quality_of(w, ends, liquid),
	              .above_pa = weight(w) * fmax(liquid - ends->fuel.density_kg_m3 * w->volume_m3, 0.0)};
	double most = sqrt(MOST_DROP * ends->air_pa);
	jw_guess guess = {-most, most, jw_clamp(w->root, -most, most), w->slope};
	jw_status status = jw_rising_root(momentum_excess, &m, &guess, IMBALANCE, NULL);
	if (status < 0)
		return status;
	w->root = guess.x;
	w->slope = guess.slope;
	y[JW_WELL_OUT] = m.out;
	*well_pa = m.well_pa + weight(w) * fmin(liquid, 0.0);
	*fills_kg_s = fuel_kg_s - fmax(m.out, 0.0) * (1.0 - m.quality);
	return m.status;
}
