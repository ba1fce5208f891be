/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/actions.h"
#include "base/base.h"
#include <stdlib.h>

/* Minutes to find what no row names, and to see that nothing is wrong; probability from which a repair is thought of.
 * Trade practice, no source, as are the minutes of the tests. */
static const double unnamed_minutes = 180, sound_minutes = 10, least_repaired = 0.02;

#define FUEL_CAUTION "Fuel in the open: engine cold, no flame or spark near, catch and wipe it up."
#define SPRAY_CAUTION "Cleaner burns: away from a hot exhaust and from sparks; let it evaporate before any spark test."
#define SPARK_CAUTION "A spark lights fuel vapour: no spilt fuel, no open plug hole beside it; hold the lead insulated."
#define MOVING_CAUTION "Hands and sleeves clear of what turns and of what is hot; run it in free air."

static const jw_test_info tests[] = {
    {"cranks_well", "crank it and listen whether it turns as fast as ever", "Gear in neutral.", 2, JW_TOOL_NONE},
    {"spark_strong", "watch the spark over many turns with the plug fitted to a tester, not in open air", SPARK_CAUTION,
     6, JW_TOOL_SPARK_TESTER},
    {"outside_fuel_fires",
     "with the throttle open spray two or three puffs of carburetor cleaner, not starting fluid, into the intake and "
     "crank: any sign of life counts",
     SPRAY_CAUTION, 5, JW_TOOL_SPRAY},
    {"bowl_fills_freely", "open the bowl drain into a glass and let it run for half a minute", FUEL_CAUTION, 5,
     JW_TOOL_NONE},
    {"water_in_bowl", "drain the bowl into a glass and look for drops or a layer below the fuel", FUEL_CAUTION, 5,
     JW_TOOL_NONE},
    {"dirt_in_bowl", "take off the bowl and look for dirt and varnish", FUEL_CAUTION, 20, JW_TOOL_NONE},
    {"cap_loosened_helps", "run it under load with the tank cap loosened", FUEL_CAUTION, 6, JW_TOOL_NONE},
    {"leak_spray_changes", "spray the joints behind the carburetor with the engine idling, and listen", SPRAY_CAUTION,
     6, JW_TOOL_SPRAY},
    {"filter_dirty", "look through the air filter against a light", "Do not run it long without the filter.", 5,
     JW_TOOL_NONE},
    {"throttle_sticks", "look through the intake whether the throttle opens and shuts fully, engine off",
     MOVING_CAUTION, 4, JW_TOOL_NONE},
    {"new_plug_helps", "run it with a new plug", "A hot plug burns skin.", 10, JW_TOOL_NEW_PLUG},
    {"compression_good", "measure compression, throttle wide open, plug lead on earth", SPARK_CAUTION, 15,
     JW_TOOL_COMPRESSION_GAUGE},
    {"valve_clearance_wrong", "measure the valve clearance with the engine cold", "Engine off and cold.", 25,
     JW_TOOL_FEELER_GAUGE},
    {"exhaust_weak", "feel the exhaust's stream at a blip of the throttle", MOVING_CAUTION, 3, JW_TOOL_NONE},
    {"exhaust_leak_heard", "listen along the exhaust's joints on a cold start", MOVING_CAUTION, 4, JW_TOOL_NONE},
    {"fuel_smells_stale", "smell the fuel, and ask how old it is", FUEL_CAUTION, 2, JW_TOOL_NONE},
};
enum { TESTS = sizeof tests / sizeof *tests };

const jw_test_info *jw_test_of(int evidence_kind)
{
	for (int t = 0; t < TESTS; t++)
		if (jw_evidence_kind_find(tests[t].evidence) == evidence_kind)
			return &tests[t];
	return NULL;
}

const char *jw_tool_name(jw_tool tool)
{
	static const char *const names[JW_TOOL_COUNT] = {"none",         "spark_tester", "compression_gauge",
	                                                 "feeler_gauge", "spray",        "new_plug"};
	return (unsigned)tool < JW_TOOL_COUNT ? names[tool] : NULL;
}

/* ---- a plan of repairs ---- */

typedef struct repair {
	double probability, minutes;
} repair;

/* Least cost over probability first (Kalagnanam and Henrion, UAI 1988). */
static int by_ratio(const void *left, const void *right)
{
	const repair *a = left, *b = right;
	double one = a->minutes * b->probability, other = b->minutes * a->probability;
	return one < other ? -1 : one > other;
}

/* Each repair costs its minutes unless one before it was the right one. */
static double plan_minutes(repair *repairs, int n, double before)
{
	double left = 1 - before, minutes = 0;
	qsort(repairs, (size_t)n, sizeof *repairs, by_ratio);
	for (int i = 0; i < n; i++) {
		minutes += repairs[i].minutes * fmax(left, 0);
		left -= repairs[i].probability;
	}
	return minutes;
}

double jw_expected_minutes(const double *probability, const double *minutes, int n)
{
	repair repairs[JW_CAUSES_MOST + 2];
	if (n < 0 || n > JW_CAUSES_MOST + 2)
		return 0;
	for (int i = 0; i < n; i++)
		repairs[i] = (repair){probability[i], minutes[i]};
	return plan_minutes(repairs, n, 0);
}

/* ---- beliefs before and after a test ---- */

/* Probabilities of the candidates as first cause to mend, of a sound engine and of what is unnamed; their sum is 1. */
typedef struct shares {
	double of[JW_CAUSES_MOST + 2];
	int n;
} shares;

/* How likely the i-th hypothesis makes an answer; without one 1. */
static double chance(const double *yes, int i, int answer)
{
	return !yes ? 1 : answer ? yes[i] : 1 - yes[i];
}

/* The member of a pair whose say in a test is plainer decides it. */
static int plainer(const double *yes, const int *member)
{
	return !yes || fabs(yes[member[0]] - 0.5) > fabs(yes[member[1]] - 0.5) ? member[0] : member[1];
}

/* Shares after an answer, or, where yes is NULL, as they are; returns its probability. A pair counts half for each. */
static double weigh_shares(const jw_beliefs *b, const double *yes, int answer, shares *s)
{
	const int n = b->candidates;
	double sum = 0;
	*s = (shares){.n = n + 2};
	for (int c = 0; c < n; c++)
		s->of[c] = b->candidate[c].weight * chance(yes, c, answer);
	for (int k = 0; k < b->pairs; k++) {
		const int *member = b->pair[k].member;
		double half = 0.5 * b->pair[k].weight * chance(yes, plainer(yes, member), answer);
		s->of[member[0]] += half;
		s->of[member[1]] += half;
	}
	s->of[n] = b->sound * chance(yes, n, answer);
	s->of[n + 1] = b->other * chance(yes, n + 1, answer);
	for (int i = 0; i < s->n; i++)
		sum += s->of[i];
	for (int i = 0; i < s->n && sum > 0; i++)
		s->of[i] /= sum;
	return sum;
}

static double minutes_of(const jw_beliefs *b, int i)
{
	return i < b->candidates    ? jw_cause_row_at(b->candidate[i].cause)->minutes
	       : i == b->candidates ? sound_minutes
	                            : unnamed_minutes;
}

/* Expected minutes of the best plan; with `first` not negative, of the best plan that begins there. */
static double best_plan(const jw_beliefs *b, const shares *s, int first)
{
	repair repairs[JW_CAUSES_MOST + 2];
	int n = 0;
	for (int i = 0; i < s->n; i++)
		if (i != first)
			repairs[n++] = (repair){s->of[i], minutes_of(b, i)};
	return first < 0 ? plan_minutes(repairs, n, 0) : minutes_of(b, first) + plan_minutes(repairs, n, s->of[first]);
}

static int leading_cause(const jw_beliefs *b, const shares *s)
{
	int lead = 0;
	for (int i = 1; i < s->n; i++)
		if (s->of[i] > s->of[lead])
			lead = i;
	return lead < b->candidates ? b->candidate[lead].cause : -1;
}

/* ---- tests ---- */

static double yes_of_scene(const jw_scene *scene, const double *severity, const jw_evidence *seen, double told)
{
	double yes = 0;
	for (int j = 0; j < scene->nodes; j++)
		yes += (severity ? severity[j] : 1) * jw_likelihood(seen, &scene->signs[j][seen->range], told);
	return yes;
}

/* Probability of a yes under each hypothesis, as severity is believed by now. */
static void foretell(const jw_beliefs *b, const jw_evidence *seen, double *yes)
{
	const char *id = jw_evidence_row_at(seen->kind)->kind.id;
	for (int c = 0; c < b->candidates; c++) {
		const jw_candidate *it = &b->candidate[c];
		double told = JW_NOT_TOLD;
		jw_cause_tells(jw_cause_row_at(it->cause)->info.id, id, seen->range, &told);
		yes[c] = yes_of_scene(&it->scene, it->scene.nodes > 1 ? it->told.severity : NULL, seen, told);
	}
	yes[b->candidates] = yes_of_scene(&b->present, NULL, seen, JW_NOT_TOLD);
	yes[b->candidates + 1] = jw_likelihood_other(seen);
}

static jw_action weigh_test(const jw_beliefs *b, const jw_test_info *test)
{
	jw_evidence seen = {.kind = jw_evidence_kind_find(test->evidence), .range = JW_IDLE};
	double yes[JW_CAUSES_MOST + 2];
	shares after;
	seen = jw_evidence_read(&seen);
	foretell(b, &seen, yes);
	jw_action action = {.cause = -1, .evidence = seen.kind, .minutes = test->minutes};
	action.yes = weigh_shares(b, yes, 1, &after);
	action.if_yes = leading_cause(b, &after);
	action.expected_minutes = test->minutes + action.yes * best_plan(b, &after, -1);
	double no = weigh_shares(b, yes, 0, &after);
	action.if_no = leading_cause(b, &after);
	action.expected_minutes += no * best_plan(b, &after, -1);
	return action;
}

static int excludes(int kind, int other)
{
	const char *opposite = jw_evidence_row_at(kind)->opposite;
	return opposite && jw_evidence_kind_find(opposite) == other;
}

/* Whether the case has the answer, or one to the opposite. */
static int answered(const jw_case *known, int kind)
{
	for (int i = 0; i < known->evidences; i++) {
		int seen = known->evidence[i].kind;
		if (known->evidence[i].answer != JW_UNKNOWN && (seen == kind || excludes(seen, kind) || excludes(kind, seen)))
			return 1;
	}
	return 0;
}

static int is_at_hand(const jw_case *known, jw_tool tool)
{
	int any = 0;
	for (int i = 0; i < JW_TOOL_COUNT; i++)
		any |= known->tools[i];
	return !any || tool == JW_TOOL_NONE || known->tools[tool];
}

static int by_minutes(const void *left, const void *right)
{
	const jw_action *a = left, *b = right;
	if (a->expected_minutes != b->expected_minutes)
		return a->expected_minutes < b->expected_minutes ? -1 : 1;
	return a->cause != b->cause ? a->cause - b->cause : a->evidence - b->evidence;
}

int jw_weigh_actions(const jw_beliefs *b, const jw_case *known, jw_action *action)
{
	shares now;
	int n = 0;
	weigh_shares(b, NULL, 1, &now);
	for (int c = 0; c < b->candidates; c++)
		if (now.of[c] >= least_repaired)
			action[n++] = (jw_action){.cause = b->candidate[c].cause,
			                          .evidence = -1,
			                          .minutes = minutes_of(b, c),
			                          .expected_minutes = best_plan(b, &now, c),
			                          .if_yes = -1,
			                          .if_no = -1};
	for (int t = 0; t < TESTS; t++)
		if (is_at_hand(known, tests[t].tool) && !answered(known, jw_evidence_kind_find(tests[t].evidence)))
			action[n++] = weigh_test(b, &tests[t]);
	qsort(action, (size_t)n, sizeof *action, by_minutes);
	return n;
}
