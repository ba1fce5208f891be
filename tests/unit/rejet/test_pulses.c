/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Engines with a table of pulses, which does not outlast what alters them. The linker lets every call of
 * jw_pulses_tabulate pass here (--wrap), so that tables can be made up, counted, and fail. */
#include "bundled.h"
#include "rejet/change.h"
#include "rejetted.h"

#include <jetwright/jetwright.h>
#include <math.h>
#include <string.h>

static struct {
	int on;
	jw_status fails;
	int asked;
	jw_setup setup; /* the last */
	jw_air air;
} made;

jw_status __real_jw_pulses_tabulate(const jw_setup *setup, const jw_air *air, jw_pulse_table *table, int *bridged,
                                    jw_error *error);
jw_status __wrap_jw_pulses_tabulate(const jw_setup *setup, const jw_air *air, jw_pulse_table *table, int *bridged,
                                    jw_error *error);

/* Two speeds, two openings, every node with factors of its own; `seed` makes another. */
static jw_pulse_table some_table(double seed)
{
	jw_pulse_table t = {.nodes = 4};
	for (int i = 0; i < t.nodes; i++) {
		const double at = seed + 0.1 * i;
		const double all[JW_PULSE_FACTORS] = {
		    [JW_PULSE_AIR] = 1.0 + 0.02 * at,  [JW_PULSE_THROAT] = 1.3 + 0.5 * at, [JW_PULSE_MAIN_LIFT] = 80.0 * at,
		    [JW_PULSE_MAIN] = 1.1 + 0.7 * at,  [JW_PULSE_POWER_LIFT] = 90.0 * at,  [JW_PULSE_POWER] = 1.4 + 0.6 * at,
		    [JW_PULSE_PILOT] = 0.8 + 0.3 * at,
		};
		t.speed_rev_s[i] = i < 2 ? 20.0 : 130.0;
		t.throttle[i] = i % 2;
		for (int f = 0; f < JW_PULSE_FACTORS; f++)
			t.factor[f][i] = all[f];
	}
	return t;
}

jw_status __wrap_jw_pulses_tabulate(const jw_setup *setup, const jw_air *air, jw_pulse_table *table, int *bridged,
                                    jw_error *error)
{
	if (!made.on)
		return __real_jw_pulses_tabulate(setup, air, table, bridged, error);
	made.asked++;
	made.setup = *setup;
	made.air = *air;
	if (made.fails < 0)
		return made.fails;
	*table = some_table(1.0);
	return JW_OK;
}

static const jw_setup *tabled(void)
{
	static jw_setup s;
	if (s.pulses.nodes < 1) {
		s = scooter();
		s.pulses = some_table(0.4);
	}
	return &s;
}

static jw_rejet_answer answer_of(const jw_rejet_change *change, int changes)
{
	const jw_air air = mild_air();
	const jw_rejet_request request = {
	    .setup = tabled(), .air = &air, .change = change, .changes = changes, .anchored = 1};
	return rejetted(&request);
}

static double cycle_lnphi(const jw_setup *s, const jw_air *air, jw_range range)
{
	static jw_cycle cycle;
	jw_error error = {0};
	cr_assert(jw_cycle_at(s, air, &s->range[range], NULL, &cycle, &error) >= 0, "%s", error.field);
	return log(cycle.phi);
}

/* The cycle-resolved form beside it, for which tables are made: where the engine's own one was kept, lambda of a second
 * cylinder was 0.16 off at half and 0.27 at full. A table that was just made is 0.02 off between its nodes. */
Test(rejet, a_table_is_made_anew_for_another_engine)
{
	const jw_rejet_change second = {.kind = JW_REJET_CYLINDERS, .value = 2};
	const jw_rejet_answer a = answer_of(&second, 1);
	for (int r = JW_QUARTER; r <= JW_FULL; r++)
		JW_NEAR_ABS(log(a.range[r].after.phi), cycle_lnphi(&a.setup, &a.air, (jw_range)r), 0.02);
}

Test(rejet, which_changes_a_table_outlasts)
{
	static const jw_rejet_kind outlasted[] = {JW_REJET_FILLING,     JW_REJET_REFERENCE, JW_REJET_BRASS,
	                                          JW_REJET_FUEL,        JW_REJET_PREMIX,    JW_REJET_PRESSURE,
	                                          JW_REJET_TEMPERATURE, JW_REJET_HUMIDITY};
	jw_setup plain = scooter();
	for (int kind = 0; kind < JW_REJET_KIND_COUNT; kind++) {
		const jw_rejet_change change[] = {{.kind = JW_REJET_FUEL}, {.kind = (jw_rejet_kind)kind}};
		jw_rejet_request request = {.setup = tabled(), .change = change, .changes = 2};
		int kept = 0;
		for (size_t i = 0; i < sizeof outlasted / sizeof *outlasted; i++)
			kept |= (int)outlasted[i] == kind;
		cr_expect_eq(jw_rejet_retabulates(&request), !kept, "%s", jw_rejet_kind_name((jw_rejet_kind)kind));
		request.setup = &plain;
		cr_expect_eq(jw_rejet_retabulates(&request), 0, "%s", jw_rejet_kind_name((jw_rejet_kind)kind));
	}
	made.on = 1;
	const jw_rejet_change thin = {.kind = JW_REJET_PRESSURE, .value = 84.1e3};
	const jw_rejet_answer a = answer_of(&thin, 1);
	cr_expect_eq(made.asked, 0);
	cr_expect(!memcmp(&a.setup.pulses, &tabled()->pulses, sizeof a.setup.pulses));
}

/* Once, of the engine as the changes that alter it leave it, in the air before; the filling stays on top of it. The
 * axiom of efficiency (Shapley 1953) holds with tables between for the engines that are never built. */
Test(rejet, shares_with_tables_sum_to_the_whole)
{
	const jw_rejet_change change[] = {
	    {.kind = JW_REJET_THROAT, .value = 1.07 * tabled()->carburetor.throat.bore_m},
	    {.kind = JW_REJET_CYLINDERS, .value = 2},
	    {.kind = JW_REJET_FILLING, .factor = {1.1, 1.1, 1.1, 1.1, 1.1, 1.1}},
	    {.kind = JW_REJET_PRESSURE, .value = 90.3e3},
	};
	const jw_air air = mild_air();
	const jw_pulse_table after = some_table(1.0);
	made.on = 1;
	const jw_rejet_answer a = answer_of(change, 4);
	cr_expect_eq(made.asked, 1, "%d", made.asked);
	cr_expect_eq(made.setup.engine.cylinders, 2);
	JW_NEAR_REL(made.setup.carburetor.throat.bore_m, change[0].value, 1e-12);
	cr_expect(!memcmp(made.setup.engine.ve, tabled()->engine.ve, sizeof made.setup.engine.ve));
	cr_expect_eq(made.air.pressure_pa, air.pressure_pa);
	cr_expect(!memcmp(&a.setup.pulses, &after, sizeof after));
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const double *of = a.share[r].of[JW_REJET_LNPHI];
		JW_NEAR_ABS(of[0] + of[1] + of[2] + of[3], log(a.range[r].after.phi / a.range[r].before.phi), 1e-10);
	}
}

/* By hand: by a share of the way in the logarithm of the throat's pulse, in the root of a pull, and in the lift itself.
 */
Test(rejet, tables_between_go_node_by_node)
{
	const jw_rejet_change change[] = {
	    {.kind = JW_REJET_BORE, .value = 60e-3}, {.kind = JW_REJET_FUEL}, {.kind = JW_REJET_COMPRESSION, .value = 9}};
	static const struct {
		unsigned set;
		double share;
	} rows[] = {{0, 0.0}, {2, 0.0}, {1, 0.5}, {4, 0.5}, {6, 0.5}, {5, 1.0}, {7, 1.0}};
	static jw_setup s;
	const jw_pulse_table before = some_table(0.4);
	jw_pulse_table after = some_table(1.0);
	for (int i = 0; i < after.nodes; i++)
		after.factor[JW_PULSE_MAIN][i] = -1.0;
	for (size_t k = 0; k < sizeof rows / sizeof *rows; k++) {
		const double share = rows[k].share;
		s.pulses = before;
		jw_rejet_put_table(change, 3, rows[k].set, &after, &s);
		for (int i = 0; i < after.nodes; i++) {
			const double throat = before.factor[JW_PULSE_THROAT][i], lift = before.factor[JW_PULSE_MAIN_LIFT][i];
			const double root = (1.0 - share) * sqrt(before.factor[JW_PULSE_MAIN][i]) - share;
			JW_NEAR_REL(s.pulses.factor[JW_PULSE_THROAT][i],
			            throat * pow(after.factor[JW_PULSE_THROAT][i] / throat, share), 1e-12);
			JW_NEAR_ABS(s.pulses.factor[JW_PULSE_MAIN_LIFT][i],
			            lift + share * (after.factor[JW_PULSE_MAIN_LIFT][i] - lift), 1e-9);
			JW_NEAR_ABS(s.pulses.factor[JW_PULSE_MAIN][i], root * fabs(root), 1e-12);
		}
	}
}

static void fit_set(jw_setup *s, const int *sought, const double *value)
{
	for (int p = 0; p < JW_PART_COUNT; p++)
		if (sought[p])
			jw_part_set(s, (jw_part)p, value[p], NULL);
}

static void expect_ratios(const jw_setup *s, const jw_air *air, const double *ratio)
{
	const jw_air home = mild_air();
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const jw_mixture before = mixture_of(tabled(), &home, &tabled()->range[r]),
		                 at = mixture_of(s, air, &s->range[r]);
		JW_NEAR_REL(ratio[r], at.phi / before.phi, 1e-9);
	}
}

/* One table serves every place: ratios are those of the engine changed by hand and taken there. */
Test(rejet, plans_make_one_table)
{
	static jw_setup changed;
	static jw_rejet_plan road;
	static jw_rejet_visits visits;
	jw_error error = {0};
	const jw_air home = mild_air();
	jw_air air = home;
	const jw_rejet_change bigger = {.kind = JW_REJET_BORE, .value = 1.05 * tabled()->engine.bore_m};
	const jw_rejet_request request = {.setup = tabled(), .air = &home, .change = &bigger, .changes = 1, .anchored = 1};
	made.on = 1;
	cr_assert(jw_rejet_plan_over(&request, 0, 500, &road, &error) >= 0, "%s", error.field);
	cr_expect_eq(made.asked, 1, "%d", made.asked);
	cr_assert(jw_rejet_plan_for(&request, &home, 1, &visits, &error) >= 0, "%s", error.field);
	cr_expect_eq(made.asked, 2, "%d", made.asked);

	changed = *tabled();
	cr_assert(jw_rejet_apply(&bigger, 1, &changed, &air, &error) >= 0, "%s", error.field);
	jw_setup fitted = changed;
	fit_set(&fitted, visits.sought, visits.set[0].value);
	expect_ratios(&fitted, &home, visits.ratio[0]);

	jw_atmosphere level;
	cr_assert(jw_standard_atmosphere(0.0, &level, NULL) >= 0);
	const jw_rejet_change there[] = {{.kind = JW_REJET_PRESSURE, .value = level.pressure_pa},
	                                 {.kind = JW_REJET_TEMPERATURE, .value = level.temperature_k}};
	fitted = changed;
	cr_assert(jw_rejet_apply(there, 2, &fitted, &air, &error) >= 0, "%s", error.field);
	fit_set(&fitted, road.sought, road.set[0].value);
	expect_ratios(&fitted, &air, road.set[0].ratio_from);
}

/* And not silence with the table before. */
Test(rejet, a_table_that_cannot_be_made_is_an_error)
{
	static jw_rejet_answer answer;
	static jw_rejet_plan road;
	static jw_rejet_visits visits;
	jw_setup changed = *tabled();
	jw_air air = mild_air(), around = air;
	const jw_rejet_change second = {.kind = JW_REJET_CYLINDERS, .value = 2};
	const jw_rejet_request request = {.setup = tabled(), .air = &air, .change = &second, .changes = 1};
	made.on = 1;
	made.fails = JW_E_NO_CONVERGENCE;
	cr_expect_eq(jw_rejet(&request, &answer, NULL), JW_E_NO_CONVERGENCE);
	cr_expect_eq(jw_rejet_plan_over(&request, 0, 500, &road, NULL), JW_E_NO_CONVERGENCE);
	cr_expect_eq(jw_rejet_plan_for(&request, &air, 1, &visits, NULL), JW_E_NO_CONVERGENCE);
	cr_expect_eq(jw_rejet_apply(&second, 1, &changed, &around, NULL), JW_E_NO_CONVERGENCE);
	cr_expect(!memcmp(&changed, tabled(), sizeof changed));
}
