/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of the pulse's factors against the cycle that it was made from. */
#include "bundled.h"
#include "cycle_error.h"
#include "near.h"

#include <jetwright/jetwright.h>
#include <string.h>

typedef struct errors {
	double square[ERRORS], worst[ERRORS];
	int points;
} errors;

static void compare(const jw_setup *s, const jw_air *air, const jw_point *point, const jw_cycle *c, errors *e)
{
	jw_mixture m;
	cr_assert(jw_mixture_at(s, air, point, &m, NULL) >= 0);
	double error[ERRORS];
	cycle_error(&m, c, error);
	for (int i = 0; i < ERRORS; i++) {
		e->square[i] += error[i] * error[i];
		e->worst[i] = fmax(e->worst[i], fabs(error[i]));
	}
	e->points++;
}

static double rms(const errors *e, int which)
{
	return sqrt(e->square[which] / e->points);
}

/* NULL where it does not settle. */
static jw_cycle *settled_cycle(const jw_setup *s, const jw_air *air, const jw_point *point)
{
	static jw_cycle c;
	jw_status status = jw_cycle_at(s, air, point, NULL, &c, NULL);
	cr_assert(status >= 0 || status == JW_E_NO_CONVERGENCE);
	return status >= 0 ? &c : NULL;
}

/* Every third node, and points amid four nodes, the farthest from each. */
enum { EACH = 3 };
static void follow(const char *engine, double at_nodes, const double between[ERRORS])
{
	static jw_setup plain, tabled;
	errors node = {0}, amid = {0}, without = {0};
	jw_error error = {0};
	plain = tabled = bundled(engine);
	const jw_air air = mild_air();
	cr_assert_eq(jw_pulses_tabulate(&plain, &air, &tabled.pulses, NULL, &error), JW_OK, "%s", error.field);
	cr_assert_eq(jw_setup_check(&tabled, &error), JW_OK, "%s", error.field);
	const jw_pulse_table *t = &tabled.pulses;
	for (int i = 0; i < t->nodes; i += EACH) {
		const jw_point point = {t->speed_rev_s[i], t->throttle[i], 0};
		const jw_cycle *c = settled_cycle(&plain, &air, &point);
		if (c)
			compare(&tabled, &air, &point, c, &node);
	}
	int openings = 1;
	while (t->speed_rev_s[openings] == t->speed_rev_s[0])
		openings++;
	for (int i = 0; i + openings + 1 < t->nodes; i += EACH) {
		if (t->throttle[i + 1] < t->throttle[i])
			continue;
		const jw_point point = {sqrt(t->speed_rev_s[i] * t->speed_rev_s[i + openings]),
		                        0.5 * (t->throttle[i] + t->throttle[i + 1]), 0};
		const jw_cycle *c = settled_cycle(&plain, &air, &point);
		if (!c)
			continue;
		compare(&tabled, &air, &point, c, &amid);
		compare(&plain, &air, &point, c, &without);
	}
	cr_expect(node.points >= 50 && amid.points >= 42, "%s: %d and %d settle", engine, node.points, amid.points);
	cr_expect(node.worst[AIR] < 1e-5, "%s air at nodes: %g", engine, node.worst[AIR]);
	cr_expect(node.worst[LAMBDA] < at_nodes, "%s lambda at nodes: %g", engine, node.worst[LAMBDA]);
	for (int i = 0; i < ERRORS; i++)
		cr_expect(rms(&amid, i) < between[i], "%s, %d: %g rms, worst %g, without table %g", engine, i, rms(&amid, i),
		          amid.worst[i], rms(&without, i));
	cr_expect(rms(&amid, LAMBDA) < 0.3 * rms(&without, LAMBDA), "%s: %g for %g", engine, rms(&amid, LAMBDA),
	          rms(&without, LAMBDA));
}

Test(tabulate, single_follows_its_cycle)
{
	follow("courier-150", 0.001, (const double[]){0.012, 0.015, 0.001, 0.005, 0.015});
}

Test(tabulate, twin_on_one_carburetor_follows_its_cycle)
{
	follow("cruiser-1200", 1e-5, (const double[]){0.01, 0.015, 0.001, 0.006, 0.015});
}

Test(tabulate, two_stroke_follows_its_cycle)
{
	follow("kart-125", 0.001, (const double[]){0.03, 0.06, 0.01, 0.01, 0.045});
}

/* Coefficient of the air and a table at hand count for nothing; what cannot be followed is an error, and changes
 * nothing. */
Test(tabulate, rests_on_the_geometry_alone)
{
	static jw_setup s;
	static jw_pulse_table first, second, untouched;
	jw_air air = mild_air();
	jw_error error = {0};
	s = bundled("cruiser-1200");
	cr_assert_eq(jw_pulses_tabulate(&s, &air, &first, NULL, NULL), JW_OK);
	s.pulses = first;
	s.coefficient.air = 1.3;
	cr_assert_eq(jw_pulses_tabulate(&s, &air, &second, NULL, NULL), JW_OK);
	cr_expect(!memcmp(first.factor, second.factor, sizeof first.factor));
	air.temperature_k = 5000;
	second = untouched;
	cr_expect(jw_pulses_tabulate(&s, &air, &second, NULL, &error) < 0 && error.field);
	cr_expect_eq(second.nodes, 0);
}
