/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws that the physics must obey on any set-up that the check accepts. */
#include "draw.h"
#include "near.h"

#define DRAWS 6000
#define THIN_DRAWS 44000 /* few meet its conditions */
#define START_DRAWS 6000
#define MOST_LIP_M 3.0 /* beyond any carburetor: a strong pull too has its start */
#define START_M 2e-4   /* below the lip at which fuel stops */
/* Roots are found to 1e-5 Pa and 1e-9 m; a law may bend by what that is worth. */
#define SLACK 1e-6
#define LEAST_PHI 0.01 /* below it the slack is absolute: no engine burns a tenth of that */

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

/* A leak feeds the engine past a blocked filter, and the carburetor loses its signal; so it does where the loss lifts
 * the slide, its diaphragm vented to the open. Losses as filters have them. */
static int tight_and_vented_to_atmosphere(const jw_setup *s, const jw_mixture *m)
{
	double loss = 1.0 - m->path.box_pa / m->flow.bowl_pa; /* the vent is ambient */
	return s->carburetor.bowl.vent == JW_VENT_ATMOSPHERE && s->leak_m == 0.0 && loss < 0.05 &&
	       s->carburetor.slide.reference == JW_VENT_AIRBOX && !s->carburetor.pilot_from_main_well;
}

/* Bled fuel is lighter: near its start a circuit may flow because of the bleed. Laws hold from twice the liquid's head.
 */
static int pulled_hard(const jw_circuit *c, const jw_bowl *bowl, double pull_pa)
{
	double rise = fmax(c->outlet_height_m + c->bleed_depth_m, c->outlet_height_m - bowl->level_error_m);
	return pull_pa >= 2.0 * 850.0 * JW_GRAVITY * fmax(rise, 0.0);
}

static int main_pulled_hard(const jw_setup *s, const jw_mixture *m)
{
	/* Beyond a pressure ratio of 0.55 the pulsing throat chokes and its depression is cut off. */
	return s->carburetor.main.air_jet.diameter_m > 0.0 && !s->carburetor.pilot_from_main_well &&
	       m->flow.depression_pa < 0.45 * m->flow.bowl_pa &&
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
	return m->flow.main.fuel_kg_s > 0.0 && !s->carburetor.pilot_from_main_well;
}

/* A smaller jet carries less of the pulse: at its start that stops the circuit, and the air that it bled. */
static int main_flows_past_start(const jw_setup *s, const jw_mixture *m)
{
	return main_flows(s, m) && (m->main_gain == 1.0 || pulled_hard(&s->carburetor.main, &s->carburetor.bowl,
	                                                               m->flow.depression_pa / m->main_gain));
}

static int pilot_flows(const jw_setup *s, const jw_mixture *m)
{
	return m->flow.pilot.fuel_kg_s > 0.0 && !s->carburetor.pilot_from_main_well;
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
    {"a blocked filter under an atmosphere vent never leans", blocked_filter, NEVER_LEANS,
     tight_and_vented_to_atmosphere},
};
#define LAWS (sizeof laws / sizeof *laws)

static int all_finite(const jw_mixture *m)
{
	const double values[] = {m->phi,
	                         m->afr,
	                         m->air_kg_s,
	                         m->dry_air_kg_s,
	                         m->fuel_kg_s,
	                         m->plate_kg_s,
	                         m->leak_kg_s,
	                         m->manifold_pa,
	                         m->main_gain,
	                         m->path.box_pa,
	                         m->path.throat_pa,
	                         m->path.lift_m,
	                         m->flow.bowl_pa,
	                         m->flow.main.well_pa,
	                         m->flow.pilot.well_pa,
	                         m->flow.enrichener.well_pa};
	for (size_t i = 0; i < sizeof values / sizeof *values; i++)
		if (!isfinite(values[i]))
			return 0;
	return 1;
}

/* What enters a circuit leaves it, relative to what passes. */
static double circuit_gap(const jw_circuit_flow *f)
{
	double in = f->fuel_kg_s + f->bleed_kg_s, through = in + f->branch_kg_s;
	for (int i = 0; i < JW_OUTLETS; i++) {
		in -= f->outlet_kg_s[i];
		through += fabs(f->outlet_kg_s[i]);
	}
	return through > 0.0 ? fabs(in) / through : 0.0;
}

/* Air and fuel of the point are the sums of the paths' flows. */
static double point_gap(const jw_mixture *m)
{
	const jw_carburetor_flow *f = &m->flow;
	double fuel = f->main.fuel_kg_s + f->pilot.fuel_kg_s + f->power.fuel_kg_s + f->enrichener.fuel_kg_s;
	double gap = fabs(fuel - m->fuel_kg_s) / fmax(m->fuel_kg_s, 1e-12);
	gap = fmax(gap, fabs(m->plate_kg_s + m->leak_kg_s - m->demand_kg_s) / fmax(m->demand_kg_s, 1e-9));
	gap = fmax(gap, circuit_gap(&f->main));
	gap = fmax(gap, fmax(circuit_gap(&f->pilot), circuit_gap(&f->power)));
	return fmax(gap, circuit_gap(&f->enrichener));
}

Test(point, solves_everywhere_and_mass_closes)
{
	draw d = {20261125};
	rejections turned_down = {0};
	double worst = 0.0;
	for (int i = 0; i < DRAWS; i++) {
		jw_setup setup;
		jw_air air;
		jw_mixture m;
		jw_error error = {0};
		draw_accepted(&d, &setup, &turned_down);
		draw_air(&d, &air);
		jw_point point = draw_point(&d);
		jw_status status = jw_mixture_at(&setup, &air, &point, &m, &error);
		cr_assert(status >= 0, "draw %d: %s %s = %g", i, jw_status_name(status), error.field, error.value);
		cr_assert(all_finite(&m), "draw %d: a number is not finite", i);
		cr_assert((m.phi > 0.0) == (!(status & JW_W_NO_FUEL) && m.dry_air_kg_s > 0.0), "draw %d: phi %g, status %d", i, m.phi, status);
		double gap = point_gap(&m);
		cr_expect(gap <= 1e-9, "draw %d: mass does not close by %.3g", i, gap);
		worst = fmax(worst, gap);
	}
	rejections_print(&turned_down);
	printf("largest gap in mass: %.3g of the flow\n", worst);
}

Test(point, laws_hold)
{
	draw d = {314159265};
	rejections turned_down = {0};
	long skipped[LAWS] = {0};
	double worst[LAWS] = {0};
	for (int i = 0; i < DRAWS; i++) {
		jw_setup setup;
		jw_air air;
		jw_mixture before, after;
		draw_accepted(&d, &setup, &turned_down);
		draw_air(&d, &air);
		jw_point point = draw_point(&d);
		jw_error bad = {0};
		jw_status solved = jw_mixture_at(&setup, &air, &point, &before, &bad);
		cr_assert(solved >= 0, "draw %d: %s %s = %g (%g..%g)", i, jw_status_name(solved), bad.field, bad.value, bad.low, bad.high);
		for (size_t k = 0; k < LAWS; k++) {
			if (!laws[k].applies(&setup, &before)) {
				skipped[k]++;
				continue;
			}
			jw_setup changed = setup;
			laws[k].change(&changed, &d);
			jw_error error = {0};
			jw_status status = jw_mixture_at(&changed, &air, &point, &after, &error);
			cr_assert(status >= 0, "draw %d: %s: %s %s = %.12g (%.12g..%.12g)", i, laws[k].name, jw_status_name(status),
			          error.field, error.value, error.low, error.high);
			double wrong = laws[k].promise == NEVER_LEANS ? before.phi - after.phi : after.phi - before.phi;
			wrong /= fmax(before.phi, LEAST_PHI);
			worst[k] = fmax(worst[k], wrong);
			cr_expect(wrong <= SLACK, "draw %d: %s, but phi went from %.12g to %.12g", i, laws[k].name, before.phi,
			          after.phi);
		}
	}
	for (size_t k = 0; k < LAWS; k++)
		printf("%-55s worst %.2g, skipped %.1f %%\n", laws[k].name, worst[k], 100.0 * (double)skipped[k] / DRAWS);
}

/* The lip raised until the main circuit only just flows, where what its bleed adds or takes is most against its fuel. */
static int raise_to_start(jw_setup *setup, const jw_air *air, const jw_point *point, jw_mixture *m)
{
	double *lip = &setup->carburetor.main.outlet_height_m, low = 0.0, high = MOST_LIP_M;
	for (int i = 0; i < 24; i++) {
		*lip = 0.5 * (low + high);
		cr_assert(jw_mixture_at(setup, air, point, m, NULL) >= 0);
		*(m->flow.main.fuel_kg_s > 0.0 ? &low : &high) = *lip;
	}
	*lip = low - START_M;
	return low > START_M && high < MOST_LIP_M && jw_mixture_at(setup, air, point, m, NULL) >= 0 &&
	       m->flow.main.fuel_kg_s > 0.0;
}

Test(point, a_main_jet_shut_at_its_start_never_richens)
{
	draw d = {6};
	rejections turned_down = {0};
	int tried = 0;
	double worst = 0.0;
	for (int i = 0; i < START_DRAWS; i++) {
		jw_setup setup;
		jw_air air;
		jw_mixture before, after;
		draw_accepted(&d, &setup, &turned_down);
		draw_air(&d, &air);
		jw_point point = draw_point(&d);
		if (setup.carburetor.pilot_from_main_well || !raise_to_start(&setup, &air, &point, &before))
			continue;
		tried++;
		setup.carburetor.main.fuel_jet.diameter_m = 0.0;
		cr_assert(jw_mixture_at(&setup, &air, &point, &after, NULL) >= 0);
		double wrong = (after.phi - before.phi) / fmax(before.phi, LEAST_PHI);
		worst = fmax(worst, wrong);
		cr_expect(wrong <= SLACK, "draw %d: phi went from %.9g to %.9g", i, before.phi, after.phi);
	}
	cr_expect(tried >= 1000, "only %d set-ups have such a start", tried);
	printf("main jet shut at its start: %d tried, worst %.2g\n", tried, worst);
}

/* The drop over each jet that flows is at least twice the lift. */
static int jets_pulled_hard(const jw_setup *s, const jw_mixture *m)
{
	const jw_carburetor *c = &s->carburetor;
	double bowl = m->flow.bowl_pa;
	if (c->pilot_from_main_well || c->power_outlet_m > 0.0)
		return 0;
	return pulled_hard(&c->main, &c->bowl, bowl - m->flow.main.well_pa) &&
	       pulled_hard(&c->pilot, &c->bowl, bowl - m->flow.pilot.well_pa);
}

/* Needs a slide that does not float, an engine without a leak, and jets pulled hard. */
Test(point, thinner_air_never_leans)
{
	draw d = {2718281};
	rejections turned_down = {0};
	int skipped = 0, tried = 0;
	double worst = 0.0;
	for (int i = 0; i < THIN_DRAWS; i++) {
		jw_setup setup;
		jw_air thick, thin;
		jw_mixture before, after;
		draw_accepted(&d, &setup, &turned_down);
		double temperature = draw_between(&d, 253.15, 318.15), pressure = draw_between(&d, 70e3, 105e3);
		cr_assert(jw_air_from_humidity(pressure, temperature, 0.5, &thick, NULL) >= 0);
		cr_assert(jw_air_from_humidity(pressure * draw_between(&d, 0.8, 1.0), temperature, 0.5, &thin, NULL) >= 0);
		jw_point point = draw_point(&d);
		point.enrichener = 0.0;
		cr_assert(jw_mixture_at(&setup, &thick, &point, &before, NULL) >= 0);
		cr_assert(jw_mixture_at(&setup, &thin, &point, &after, NULL) >= 0);
		if (setup.carburetor.slide.stuck_lift_m < 0.0 || setup.leak_m > 0.0 || !jets_pulled_hard(&setup, &after) ||
		    !(before.phi > 0.0)) {
			skipped++;
			continue;
		}
		tried++;
		double wrong = (before.phi - after.phi) / before.phi;
		worst = fmax(worst, wrong);
		cr_expect(wrong <= SLACK, "draw %d: thinner air leaned phi from %.9g to %.9g", i, before.phi, after.phi);
	}
	cr_expect(tried >= 100, "only %d set-ups meet the conditions", tried);
	printf("thinner air: %d tried, %.1f %% skipped, worst %.3g\n", tried, 100.0 * skipped / THIN_DRAWS, worst);
}
