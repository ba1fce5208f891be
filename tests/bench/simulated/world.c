/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "world.h"

#include <math.h>

#define GRAVITY 9.80665
#define PI 3.14159265358979323846
#define PHASES 24

/* Entry loss and velocity head of a short bore, and laminar friction along it: White, Fluid Mechanics, ch. 6 (values
 * from memory). */
static const double entry_loss = 1.5, laminar = 64.0;
/* Lowest share of the inside pressure that an emulsion outlet feels. */
static const double choking_share = 0.5;
/* Liquid left in a bled column, by volume. */
static const double bled_liquid = 0.12;
/* Of outlets that are plain drillings. */
static const double outlet_coefficient = 0.68;

static double area_of(double bore_m)
{
	return 0.25 * PI * bore_m * bore_m;
}

/* K v^2 + 64 nu L/d^2 v = 2 drop/rho. */
static double bore_flow(const jw_orifice *bore, double drop_pa, double density, double viscosity_m2_s)
{
	if (!(bore->diameter_m > 0) || !(drop_pa > 0))
		return 0;
	double b = laminar * viscosity_m2_s * bore->length_m / (bore->diameter_m * bore->diameter_m);
	double v = (sqrt(b * b + 8 * entry_loss * drop_pa / density) - b) / (2 * entry_loss);
	return density * area_of(bore->diameter_m) * v;
}

/* Separated flow at the slip of least kinetic energy (Zivi, J. Heat Transfer 86 (1964) 247; form from memory). */
static double outlet_flow(double effective_area, double quality, double liquid, const jw_gas *gas, double inside_pa,
                          double outside_pa)
{
	double lowest = fmax(outside_pa, choking_share * inside_pa);
	if (!(inside_pa > lowest))
		return 0;
	double vapour = 0.5 * (inside_pa + lowest) / (gas->gas_constant_j_kg_k * gas->temperature_k);
	double x = fmin(fmax(quality, 1e-9), 1 - 1e-9);
	double voids = 1 / (1 + (1 - x) / x * pow(vapour / liquid, 2.0 / 3.0));
	double volume = x * x / (voids * vapour) + (1 - x) * (1 - x) / ((1 - voids) * liquid);
	return effective_area * sqrt(2 * (inside_pa - lowest) / volume);
}

/* A circuit at one instant. */
typedef struct tract {
	jw_orifice fuel_jet, air_jet;
	double fuel_coefficient, depth_m, rise_m;
	double bowl_pa, air_pa;
	double area[2], outside_pa[2];
	const jw_liquid_flow *fuel;
	const jw_gas *air;
} tract;

static double liquid_head(const tract *t, double height_m)
{
	return t->fuel->density_kg_m3 * GRAVITY * height_m;
}

static double fuel_in(const tract *t, double well_pa)
{
	return t->fuel_coefficient * bore_flow(&t->fuel_jet, t->bowl_pa + liquid_head(t, t->depth_m) - well_pa,
	                                       t->fuel->density_kg_m3, t->fuel->viscosity_m2_s);
}

static double air_in(const tract *t, double well_pa)
{
	double density = t->air_pa / (t->air->gas_constant_j_kg_k * t->air->temperature_k);
	return bore_flow(&t->air_jet, t->air_pa - well_pa, density, t->air->viscosity_pa_s / density);
}

static double inside(const tract *t, double well_pa)
{
	double full = liquid_head(t, fmax(t->rise_m, 0));
	double bled = t->air_jet.diameter_m > 0 && well_pa < t->air_pa ? bled_liquid : 1;
	double share = bled + (1 - bled) * exp(-fmax(t->air_pa - well_pa, 0) / (full + 1));
	return well_pa - full * share;
}

/* Outlets whose pressure is above the inside draw in air. */
static double surplus(const tract *t, double well_pa)
{
	double fuel = fuel_in(t, well_pa), air = air_in(t, well_pa), in = inside(t, well_pa), out = 0;
	double gas = t->air->gas_constant_j_kg_k * t->air->temperature_k;
	for (int i = 0; i < 2; i++)
		if (t->outside_pa[i] > in)
			air += t->area[i] * sqrt(2 * t->outside_pa[i] / gas * (t->outside_pa[i] - in));
	double total = fuel + air;
	for (int i = 0; i < 2; i++)
		if (t->outside_pa[i] < in)
			out += outlet_flow(t->area[i], total > 0 ? air / total : 1, t->fuel->density_kg_m3, t->air, in,
			                   t->outside_pa[i]);
	return out - total;
}

static double fuel_of(const tract *t, double *bleed)
{
	double high = fmax(t->bowl_pa + liquid_head(t, t->depth_m), t->air_pa), low = 0.3 * fmin(t->bowl_pa, t->air_pa);
	for (int i = 0; i < 48; i++) {
		double middle = 0.5 * (low + high);
		if (surplus(t, middle) > 0)
			high = middle;
		else
			low = middle;
	}
	*bleed = air_in(t, low);
	return fuel_in(t, low);
}

static tract tract_of(const jw_circuit *c, const jw_bowl *bowl, double bowl_pa, double air_pa,
                      const jw_liquid_flow *fuel, const jw_gas *air)
{
	double depth = c->bleed_depth_m + bowl->level_error_m;
	return (tract){.fuel_jet = c->fuel_jet,
	               .air_jet = c->air_jet,
	               .fuel_coefficient = c->fuel_coefficient,
	               .depth_m = depth,
	               .rise_m = c->outlet_height_m + c->bleed_depth_m,
	               .bowl_pa = bowl_pa,
	               .air_pa = air_pa,
	               .area = {0, 0},
	               .outside_pa = {air_pa, air_pa},
	               .fuel = fuel,
	               .air = air};
}

/* Depression over the one at mean flow, phase by phase: half-sine draughts, smoothed by the volume behind the throttle,
 * squared, then followed by the fuel column with its time constant. */
static void pulses(const jw_engine *e, double speed_rev_s, double filling_s, double column_s, double felt[PHASES])
{
	double flow[PHASES], mean = 0, cycle_s = e->strokes / (2 * speed_rev_s), step = cycle_s / PHASES;
	double duty = fmin(e->intake_duration_rad / (e->strokes * PI), 1);
	for (int k = 0; k < PHASES; k++) {
		flow[k] = 0;
		for (int c = 0; c < e->cylinders; c++) {
			double at = fmod((k + 0.5) / PHASES + (double)c / e->cylinders, 1);
			flow[k] += at < duty ? sin(PI * at / duty) : 0;
		}
		mean += flow[k] / PHASES;
	}
	double passed = 1 - exp(-step / filling_s), taken = 1 - exp(-step / fmax(column_s, 1e-9));
	double through = mean, pull = mean * mean;
	for (int round = 0; round < 12; round++)
		for (int k = 0; k < PHASES; k++) {
			through += passed * (flow[k] - through);
			pull += taken * (through * through - pull);
			felt[k] = pull / (mean * mean);
		}
}

static double filling_time(const jw_setup *s, double throttle, double sound_m_s)
{
	return s->engine.manifold_volume_m3 / (fmax(jw_carburetor_plate(&s->carburetor, throttle), 1e-9) * sound_m_s);
}

static double mean_main(const jw_setup *s, const jw_mixture *m, const jw_point *point, tract main, double *bleed)
{
	const jw_carburetor *c = &s->carburetor;
	double steady = m->path.mouth_pa - m->path.throat_steady_pa, felt[PHASES], fuel = 0;
	double jet = jw_orifice_area(&main.fuel_jet), column = area_of(c->main_column_bore_m);
	double speed_m_s = sqrt(2 * fmax(steady, 50) / main.fuel->density_kg_m3);
	double column_s = c->main_column_m * jet / (column * speed_m_s);
	pulses(&s->engine, point->speed_rev_s, filling_time(s, point->throttle, 343), column_s, felt);
	main.area[0] = s->coefficient.needle * c->needle.coefficient * jw_needle_area(&c->needle, m->path.lift_m);
	*bleed = 0;
	for (int k = 0; k < PHASES; k++) {
		double part;
		main.outside_pa[0] = fmax(m->path.mouth_pa - steady * felt[k], 0.55 * m->path.mouth_pa);
		fuel += fuel_of(&main, &part) / PHASES;
		*bleed += part / PHASES;
	}
	return fuel;
}

static void open_pilot(const jw_carburetor *c, const jw_mixture *m, const jw_point *point, tract *pilot)
{
	double angle = jw_plate_angle(&c->plate, point->throttle);
	pilot->outside_pa[0] = m->manifold_pa;
	pilot->outside_pa[1] = c->kind == JW_PISTON_SLIDE ? m->path.throat_pa : m->path.plate_pa;
	pilot->area[0] = c->screw.coefficient * jw_screw_area(&c->screw);
	for (int i = 0; i < c->ports; i++) {
		double port = c->screw.coefficient * c->screw.ports_open_area * area_of(c->port[i].diameter_m);
		double behind = c->kind == JW_PISTON_SLIDE ? 0 : jw_port_exposure(&c->plate, &c->port[i], angle);
		pilot->area[0] += behind * port;
		pilot->area[1] += (1 - behind) * port;
	}
	if (c->screw.kind == JW_AIR_SCREW && pilot->air_jet.diameter_m > 0) {
		double jet = jw_orifice_area(&pilot->air_jet), gap = jw_air_screw_area(&c->screw);
		pilot->air_jet.diameter_m = gap > 0 ? sqrt(jet * gap / hypot(jet, gap) / (0.25 * PI)) : 0;
	}
}

/* The power jet of a piston slide ends in the bore ahead of it, where the air is slower than at the nozzle. */
static double ahead_of_slide(const jw_carburetor *c, const jw_air_path *path)
{
	double slower = c->throat.coefficient * path->throat_area_m2 / area_of(c->throat.bore_m);
	return path->mouth_pa - slower * slower * (path->mouth_pa - path->throat_pa);
}

static double drilled(const jw_circuit *circuit, const jw_carburetor *c, const jw_mixture *m, const tract *like,
                      double bore_m, double opening, double outside_pa, double *bleed)
{
	*bleed = 0;
	if (!(bore_m * opening > 0))
		return 0;
	tract t = tract_of(circuit, &c->bowl, m->flow.bowl_pa, m->path.box_pa, like->fuel, like->air);
	t.area[0] = outlet_coefficient * area_of(bore_m) * opening;
	t.outside_pa[0] = outside_pa;
	return fuel_of(&t, bleed);
}

int world_mixture_at(const jw_setup *s, const jw_air *air, const jw_point *point, world_mixture *mixture)
{
	const jw_carburetor *c = &s->carburetor;
	jw_mixture m;
	jw_fuel_state state;
	if (jw_mixture_at(s, air, point, &m, NULL) < 0 ||
	    jw_fuel_at(&s->fuel, air->temperature_k + s->bowl_heating_k, &state, NULL) < 0)
		return -1;
	const jw_liquid_flow fuel = {state.density_kg_m3, state.viscosity_m2_s};
	const jw_gas gas = {air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s};
	tract main = tract_of(&c->main, &c->bowl, m.flow.bowl_pa, m.path.box_pa, &fuel, &gas);
	tract pilot = tract_of(&c->pilot, &c->bowl, m.flow.bowl_pa, m.path.box_pa, &fuel, &gas);
	main.fuel_coefficient *= s->coefficient.main;
	pilot.fuel_coefficient *= s->coefficient.pilot;
	main.fuel_jet = jw_rod_jet(&main.fuel_jet, &c->rod, point->throttle);
	open_pilot(c, &m, point, &pilot);
	double bleed[4], in = mean_main(s, &m, point, main, &bleed[0]);
	if (c->pilot_from_main_well) /* the main jet takes its share of the drop */
		pilot.fuel_coefficient *=
		    jw_orifice_area(&main.fuel_jet) / hypot(jw_orifice_area(&main.fuel_jet), jw_orifice_area(&pilot.fuel_jet));
	in += fuel_of(&pilot, &bleed[1]);
	in += drilled(&c->power, c, &m, &main, c->power_outlet_m, 1,
	              c->kind == JW_PISTON_SLIDE ? ahead_of_slide(c, &m.path) : m.path.throat_pa, &bleed[2]);
	in += drilled(&c->enrichener, c, &m, &main, c->enrichener_outlet_m, point->enrichener, m.manifold_pa, &bleed[3]);
	double drawn = m.plate_kg_s + m.leak_kg_s + bleed[0] + bleed[1] + bleed[2] + bleed[3];
	*mixture = (world_mixture){.air_kg_s = drawn};
	if (drawn > 0) {
		mixture->phi = state.stoichiometric_afr * in / (drawn * air->dry_fraction);
		mixture->leak_share = m.leak_kg_s / drawn;
	}
	return 0;
}

/* Each coefficient in turn, by the secant of its own range, until all three agree. */
int world_calibrate(jw_setup *s, const jw_air *air, const double lambda[3])
{
	static const jw_range range[3] = {JW_IDLE, JW_HALF, JW_FULL};
	double *const coefficient[3] = {&s->coefficient.pilot, &s->coefficient.needle, &s->coefficient.main};
	double worst = INFINITY;
	for (int round = 0; round < 40 && worst > 1e-4; round++) {
		worst = 0;
		for (int i = 0; i < 3; i++) {
			world_mixture mixture;
			if (world_mixture_at(s, air, &s->range[range[i]], &mixture) < 0 || !(mixture.phi > 0))
				return -1;
			double off = -log(mixture.phi * lambda[i]);
			*coefficient[i] = fmin(fmax(*coefficient[i] * exp(0.9 * off), 0.2), 5);
			worst = fmax(worst, fabs(off));
		}
	}
	return worst < 0.02 ? 0 : -1;
}
