/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A floating slide that moves within the cycle. */
#include "base/base.h"
#include "bundled.h"
#include "carburetor/slide.h"

static const char *const floating[] = {"courier-150", "cruiser-1200", "twin-480"};

static jw_cycle fine_cycle(const jw_setup *setup, const jw_point *point)
{
	static const jw_cycle_options options = {.relative = 1e-6, .settled = 1e-7};
	const jw_air air = mild_air();
	return cycle_of(setup, &air, point, &options);
}

/* From its upper side to the nozzle. */
static double pull(const jw_setup *s, const jw_cycle *c, int node)
{
	const double above = s->carburetor.slide.reference == JW_VENT_ATMOSPHERE ? mild_air().pressure_pa : c->box_pa;
	return above - c->trace.nozzle_pa[node];
}

static double most_lift(const jw_cycle *c)
{
	double most = 0;
	for (int n = 0; n < JW_CYCLE_NODES; n++)
		most = fmax(most, c->trace.lift_m[n]);
	return most;
}

static double swing_of(const jw_cycle *c)
{
	double least = INFINITY;
	for (int n = 0; n < JW_CYCLE_NODES; n++)
		least = fmin(least, c->trace.lift_m[n]);
	return most_lift(c) - least;
}

/* Whatever it does within a cycle, its mean pull balances spring and weight at its mean lift, since nothing is left
 * over of its momentum; and what the pull does on it over a cycle its damping takes. Away from its stops. */
Test(cycle_slide, mean_pull_holds_it_and_damping_takes_the_work)
{
	int tried = 0;
	for (size_t i = 0; i < 3; i++) {
		jw_setup s = bundled(floating[i]);
		s.carburetor.slide.fall_s = 0.2;
		const double diaphragm = 0.25 * JW_PI * pow(s.carburetor.slide.diaphragm_m, 2);
		const jw_slide_motion motion = jw_slide_motion_of(&s.carburetor.slide, s.carburetor.throat.bore_m);
		for (jw_range range = JW_QUARTER; range <= JW_HALF; range++) {
			const jw_cycle c = fine_cycle(&s, &s.range[range]);
			if (most_lift(&c) >= s.carburetor.throat.bore_m)
				continue;
			const double node_s = 2 / s.range[range].speed_rev_s / JW_CYCLE_NODES;
			double mean = 0, work = 0, taken = 0;
			for (int n = 0; n < JW_CYCLE_NODES; n++) {
				const double rise = c.trace.lift_m[n + 1] - c.trace.lift_m[n];
				const double between = 0.5 * (pull(&s, &c, n) + pull(&s, &c, n + 1));
				mean += between / JW_CYCLE_NODES;
				work += diaphragm * between * rise;
				taken += motion.damping_n_s_m * rise * rise / node_s;
			}
			JW_NEAR_REL(mean, jw_slide_depression(&s.carburetor.slide, c.lift_m), 2e-4);
			JW_NEAR_REL(work, taken, 2e-3);
			cr_expect(swing_of(&c) > 0.5e-3, "%s %d: %g", floating[i], range, swing_of(&c));
			tried++;
		}
	}
	cr_expect(tried >= 4, "%d", tried);
}

/* The heavier, or the more damped, the less of the pulse it follows: the swing falls in proportion, and all of the
 * answer goes to that of a slide that stands. The spring makes up for the weight. */
Test(cycle_slide, a_heavy_or_damped_one_stands_still)
{
	jw_setup s = bundled("courier-150");
	const jw_point point = {100, 0.3, 0};
	const jw_cycle stands = fine_cycle(&s, &point);
	const double load = s.carburetor.slide.spring_closed_n + s.carburetor.slide.mass_kg * JW_GRAVITY;
	cr_expect(swing_of(&stands) < 1e-12);
	double before = INFINITY;
	for (double mass = 0.2; mass < 20; mass *= 8) {
		s.carburetor.slide.mass_kg = mass;
		s.carburetor.slide.spring_closed_n = load - mass * JW_GRAVITY;
		s.carburetor.slide.fall_s = 1.2 * sqrt(2 * s.carburetor.throat.bore_m * mass / load); /* lightly damped */
		const jw_cycle c = fine_cycle(&s, &point);
		cr_expect(swing_of(&c) < before / 6, "%g kg: %g of %g", mass, swing_of(&c), before);
		before = swing_of(&c);
		printf("%g kg: swing %.4f mm, lift %.3f of %.3f mm, phi %+.5f\n", mass, 1e3 * swing_of(&c), 1e3 * c.lift_m,
		       1e3 * stands.lift_m, c.phi / stands.phi - 1);
		JW_NEAR_REL(c.phi, stands.phi, 0.02 / mass);
		JW_NEAR_REL(c.lift_m, stands.lift_m, 0.01 / mass);
	}
}
