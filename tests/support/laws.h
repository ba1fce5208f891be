/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws that the physics must obey on any set-up that the check accepts: one change of one element, and what phi may not
 * do. */
#ifndef JW_TESTS_LAWS_H
#define JW_TESTS_LAWS_H

#include "carburetor/slide.h"
#include "draw.h"

/* Roots are found to 1e-5 Pa and 1e-9 m; a law may bend by what that is worth. */
#define SLACK 1e-6
#define LEAST_BLEED 0.02 /* of what the air jet could pass at a density of 1 kg/m3 */
#define LEAST_SHARE 1e-5 /* of the fuel: a circuit that brings less hangs on the rounding of pressures (point.h) */
#define LEAST_PHI 0.1    /* below it the slack is absolute: no engine burns that */

typedef enum direction { NEVER_LEANS, NEVER_RICHENS } direction;

/* One change of one element, and what phi may not do. */
typedef struct law {
	const char *name;
	void (*change)(jw_setup *setup, draw *d);
	direction promise;
	int (*applies)(const jw_setup *setup, const jw_mixture *solved);
} law;

static void grow(double *bore, double most, draw *d)
{
	*bore = fmin(*bore * draw_between(d, 1.0, 1.5) + 1e-5, most);
}

static void shrink(double *bore, draw *d)
{
	*bore *= draw_unit(d);
}

#define CHANGE(name, statement)                                                                                        \
	static void name(jw_setup *s, draw *d)                                                                             \
	{                                                                                                                  \
		jw_carburetor *c = &s->carburetor;                                                                             \
		(void)c, (void)d;                                                                                              \
		statement;                                                                                                     \
	}
CHANGE(bigger_main, grow(&c->main.fuel_jet.diameter_m, 5e-3, d))
CHANGE(bigger_pilot, grow(&c->pilot.fuel_jet.diameter_m, 3e-3, d))
CHANGE(bigger_enrichener, grow(&c->enrichener.fuel_jet.diameter_m, 5e-3, d))
CHANGE(bigger_main_air, grow(&c->main.air_jet.diameter_m, 5e-3, d))
CHANGE(bigger_pilot_air, grow(&c->pilot.air_jet.diameter_m, 5e-3, d))
CHANGE(restricted_main, shrink(&c->main.fuel_jet.diameter_m, d))
CHANGE(restricted_pilot, shrink(&c->pilot.fuel_jet.diameter_m, d))
CHANGE(shut_main, c->main.fuel_jet.diameter_m = 0.0)
CHANGE(shut_pilot, c->pilot.fuel_jet.diameter_m = 0.0)
CHANGE(restricted_main_air, shrink(&c->main.air_jet.diameter_m, d))
CHANGE(restricted_pilot_air, shrink(&c->pilot.air_jet.diameter_m, d))
CHANGE(blocked_filter, c->intake.loss_pa = c->intake.loss_pa * 2.0 + 100.0)

static int always(const jw_setup *s, const jw_mixture *m)
{
	(void)s, (void)m;
	return 1;
}

/* Bled fuel is lighter: near its start a circuit may flow because of the bleed. Laws hold from twice the liquid's head.
 */
static int pulled_hard(const jw_circuit *c, const jw_bowl *bowl, double pull_pa)
{
	double rise = fmax(c->outlet_height_m + c->bleed_depth_m, c->outlet_height_m - bowl->level_error_m);
	return pull_pa >= 2.0 * 850.0 * JW_GRAVITY * fmax(rise, 0.0);
}

/* A jet's area sets how much of the pulse its circuit and the power jet feel, by up to its third power, and flows go
 * with the root of that: shut by a share, the jet takes up to 1.5 of it off what the pulse adds to fuel and bled air
 * alike, however little that is yet. Where its own fuel weighs less than the air lost so, jets have no law. */
static int main_brings_fuel(const jw_mixture *m)
{
	const jw_circuit_flow *f = &m->flow.main;
	double felt = m->main_gain > 1.0 ? 1.5 : 0.0, bled_kg_s = f->bleed_kg_s + m->flow.power.bleed_kg_s;
	return f->fuel_kg_s > LEAST_SHARE * m->fuel_kg_s &&
	       f->fuel_kg_s * m->air_kg_s * (1.0 + felt) >= bled_kg_s * m->fuel_kg_s * felt;
}

/* An air jet that hardly draws, if at all, and only for the pulse: a bigger one takes more off that, and so off what
 * the power jet bleeds, than it adds. Two of a million draws, at phi 74 and 263, lost more air than fuel so where it drew
 * 1.4 and 1.5 % of what it could. */
static int hardly_bleeds(const jw_setup *s, const jw_mixture *m)
{
	double could_kg_s = jw_orifice_area(&s->carburetor.main.air_jet) * sqrt(2.0 * m->flow.depression_pa);
	double bled_kg_s = m->flow.main.bleed_kg_s;
	return m->main_gain > 1.0 && bled_kg_s < LEAST_BLEED * could_kg_s;
}

static int main_pulled_hard(const jw_setup *s, const jw_mixture *m)
{
	/* Beyond a pressure ratio of 0.55 the pulsing throat chokes and its depression is cut off. */
	return s->carburetor.main.air_jet.diameter_m > 0.0 && main_brings_fuel(m) && !hardly_bleeds(s, m) &&
	       !s->carburetor.pilot_from_main_well && m->flow.depression_pa < 0.45 * m->flow.bowl_pa &&
	       pulled_hard(&s->carburetor.main, &s->carburetor.bowl, m->flow.depression_pa);
}

static int pilot_pulled_hard(const jw_setup *s, const jw_mixture *m)
{
	return s->carburetor.pilot.air_jet.diameter_m > 0.0 && !s->carburetor.pilot_from_main_well &&
	       pulled_hard(&s->carburetor.pilot, &s->carburetor.bowl, m->flow.bowl_pa - m->manifold_pa);
}

/* A pilot fed from the main well takes fuel from the nozzle: only the sum of both has a law, and that not in its parts.
 * A jet that brings no fuel has no say, but through the little air that its circuit bleeds. */
static int main_flows(const jw_setup *s, const jw_mixture *m)
{
	return main_brings_fuel(m) && !s->carburetor.pilot_from_main_well;
}

/* A smaller jet carries less of the pulse: at its start that stops the circuit, and the air that it bled. */
static int main_flows_past_start(const jw_setup *s, const jw_mixture *m)
{
	return main_flows(s, m) && (m->main_gain == 1.0 || pulled_hard(&s->carburetor.main, &s->carburetor.bowl,
	                                                               m->flow.depression_pa / m->main_gain));
}

static int pilot_flows(const jw_setup *s, const jw_mixture *m)
{
	return m->flow.pilot.fuel_kg_s > LEAST_SHARE * m->fuel_kg_s && !s->carburetor.pilot_from_main_well;
}

/* A leak feeds the engine past a blocked filter, and the carburetor loses its signal; a floating slide drops and its
 * needle with it. An engine that hardly breathes past its exhaust draws less by more than the filter takes. Losses as
 * filters have them. */
static int tight_under_a_still_slide(const jw_setup *s, const jw_mixture *m)
{
	const jw_carburetor *c = &s->carburetor;
	double ambient = m->flow.bowl_pa, loss = 1.0 - m->path.box_pa / ambient; /* the vent is ambient */
	double ratio = s->engine.strokes == 2 ? s->engine.crankcase_ratio : s->engine.compression_ratio;
	double breathes = jw_part_throttle_factor(ratio, (ambient + s->engine.exhaust_back_pa) / m->manifold_pa);
	return c->bowl.vent == JW_VENT_ATMOSPHERE && s->leak_m == 0.0 && loss < 0.05 && breathes > 0.5 &&
	       !jw_slide_floats(c) && !c->pilot_from_main_well && pulled_hard(&c->main, &c->bowl, m->flow.depression_pa);
}

static const law laws[] = {
    {"a bigger main jet never leans", bigger_main, NEVER_LEANS, main_flows},
    {"a bigger pilot jet never leans", bigger_pilot, NEVER_LEANS, pilot_flows},
    {"a bigger enrichener jet never leans", bigger_enrichener, NEVER_LEANS, always},
    {"a bigger main air jet never richens", bigger_main_air, NEVER_RICHENS, main_pulled_hard},
    {"a bigger pilot air jet never richens", bigger_pilot_air, NEVER_RICHENS, pilot_pulled_hard},
    {"a restricted main jet never richens", restricted_main, NEVER_RICHENS, main_flows_past_start},
    {"a restricted pilot jet never richens", restricted_pilot, NEVER_RICHENS, pilot_flows},
    {"a main jet shut never richens", shut_main, NEVER_RICHENS, main_flows},
    {"a pilot jet shut never richens", shut_pilot, NEVER_RICHENS, pilot_flows},
    {"a restricted main air jet never leans", restricted_main_air, NEVER_LEANS, main_pulled_hard},
    {"a restricted pilot air jet never leans", restricted_pilot_air, NEVER_LEANS, pilot_pulled_hard},
    {"a blocked filter under an atmosphere vent never leans", blocked_filter, NEVER_LEANS, tight_under_a_still_slide},
};
#define LAWS (sizeof laws / sizeof *laws)

/* Two outlets of one pressure differ by its rounding: 16 mm2 pass so much air by the least difference that 1e5 Pa can
 * tell, 1.5e-11 Pa. */
#define ROUNDED_KG_S 1e-10

/* How far the change broke its promise, relative to phi; 0 or less: it held. */
static inline double law_broken_by(const law *l, const jw_mixture *before, const jw_mixture *after)
{
	double wrong = l->promise == NEVER_LEANS ? before->phi - after->phi : after->phi - before->phi;
	return wrong / fmax(before->phi, LEAST_PHI) - (wrong > 0.0 ? ROUNDED_KG_S / before->air_kg_s : 0.0);
}

/* There is a mixture unless the status says why not. */
static inline int phi_fits(const jw_mixture *m, jw_status status)
{
	return (m->phi > 0.0) == !(status & (JW_W_NO_FUEL | JW_W_NO_DEMAND));
}

/* What enters a circuit leaves it, relative to what passes. */
static inline double circuit_gap(const jw_circuit_flow *f)
{
	double in = f->fuel_kg_s + f->bleed_kg_s, through = in + f->branch_kg_s;
	for (int i = 0; i < JW_OUTLETS; i++) {
		in -= f->outlet_kg_s[i];
		through += fabs(f->outlet_kg_s[i]);
	}
	return through > 0.0 ? fabs(in) / through : 0.0;
}

/* Air and fuel of the point are the sums of the paths' flows. */
static inline double point_gap(const jw_mixture *m)
{
	const jw_carburetor_flow *f = &m->flow;
	double fuel = f->main.fuel_kg_s + f->pilot.fuel_kg_s + f->power.fuel_kg_s + f->enrichener.fuel_kg_s;
	double gap = fabs(fuel - m->fuel_kg_s) / fmax(m->fuel_kg_s, 1e-12);
	gap = fmax(gap, fabs(m->plate_kg_s + m->leak_kg_s - m->demand_kg_s) / fmax(m->demand_kg_s, 1e-9));
	gap = fmax(gap, circuit_gap(&f->main));
	gap = fmax(gap, fmax(circuit_gap(&f->pilot), circuit_gap(&f->power)));
	return fmax(gap, circuit_gap(&f->enrichener));
}

#endif
