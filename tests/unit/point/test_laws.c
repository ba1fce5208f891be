/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laws that the physics must obey on any set-up that the check accepts. */
#include "finite.h"
#include "laws.h"
#include "near.h"

#define DRAWS 6000
#define THIN_DRAWS 13000 /* few meet its conditions */
#define START_DRAWS 6000
#define MOST_LIP_M 3.0 /* beyond any carburetor: a strong pull too has its start */
#define START_M 2e-4   /* below the lip at which fuel stops */

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
		cr_assert(doubles_finite(&m, sizeof m), "draw %d: a number is not finite", i);
		cr_assert(phi_fits(&m, status), "draw %d: phi %g, status %d", i, m.phi, status);
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
		cr_assert(solved >= 0, "draw %d: %s %s = %g (%g..%g)", i, jw_status_name(solved), bad.field, bad.value, bad.low,
		          bad.high);
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
			double wrong = law_broken_by(&laws[k], &before, &after);
			worst[k] = fmax(worst[k], wrong);
			cr_expect(wrong <= SLACK, "draw %d: %s, but phi went from %.12g to %.12g", i, laws[k].name, before.phi,
			          after.phi);
		}
	}
	for (size_t k = 0; k < LAWS; k++) {
		cr_expect(skipped[k] < DRAWS, "%s: never tried", laws[k].name);
		printf("%-55s worst %.2g, skipped %.1f %%\n", laws[k].name, worst[k], 100.0 * (double)skipped[k] / DRAWS);
	}
}

/* The lip raised until the main circuit only just flows, where what its bleed adds or takes is most against its fuel.
 */
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

/* An engine without a leak, and two circuits that stand alone. */
static void make_plain(jw_setup *s)
{
	s->leak_m = s->carburetor.power_outlet_m = 0.0;
	s->carburetor.pilot_from_main_well = 0;
}

/* The drop over each jet that flows is at least twice the lift. */
static int jets_pulled_hard(const jw_setup *s, const jw_mixture *m)
{
	const jw_carburetor *c = &s->carburetor;
	double bowl = m->flow.bowl_pa;
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
		make_plain(&setup);
		double temperature = draw_between(&d, 253.15, 318.15), pressure = draw_between(&d, 70e3, 105e3);
		cr_assert(jw_air_from_humidity(pressure, temperature, 0.5, &thick, NULL) >= 0);
		cr_assert(jw_air_from_humidity(pressure * draw_between(&d, 0.8, 1.0), temperature, 0.5, &thin, NULL) >= 0);
		jw_point point = draw_point(&d);
		point.enrichener = 0.0;
		if (setup.carburetor.slide.stuck_lift_m < 0.0) {
			skipped++;
			continue;
		}
		cr_assert(jw_mixture_at(&setup, &thick, &point, &before, NULL) >= 0);
		cr_assert(jw_mixture_at(&setup, &thin, &point, &after, NULL) >= 0);
		if (!jets_pulled_hard(&setup, &after) || !(before.phi > 0.0)) {
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
