/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: rejet PROFILES. A scooter goes to the mountains: what that does, what to fit, and what serves the road up. */
#include "must.h"

static void show_answer(const jw_rejet_request *request)
{
	static jw_rejet_answer answer;
	jw_error error = {0};
	if (jw_rejet_retabulates(request))
		printf("a new table of pulses is made first\n");
	must(jw_rejet(request, &answer, &error), &error);
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		const jw_rejet_range *of = &answer.range[range];
		printf("%-13s lambda %.2f, then %.2f: %s; within %.2f it is right, in danger above %.2f\n",
		       jw_range_name((jw_range)range), 1 / of->before.phi, 1 / of->after.phi,
		       jw_rejet_verdict_name(of->becomes), jw_rejet_tolerance((jw_range)range),
		       jw_rejet_danger_lambda((jw_range)range));
	}
	const jw_rejet_piece *jet = &answer.choice.piece[JW_PART_MAIN_JET];
	printf("main jet %.3f mm in place of %.3f, to be tried at %s\n", 1e3 * jet->chosen, 1e3 * jet->was,
	       jw_range_name(jw_rejet_tells(JW_PART_MAIN_JET)));
}

static void show_plan(jw_rejet_request request)
{
	static jw_rejet_plan plan;
	jw_error error = {0};
	request.changes = 0;
	must(jw_rejet_plan_over(&request, 0, 2000, &plan, &error), &error);
	for (int i = 0; i < plan.sets; i++)
		printf("%.0f to %.0f m: main jet %.3f mm\n", plan.set[i].from_m, plan.set[i].to_m,
		       1e3 * plan.set[i].value[JW_PART_MAIN_JET]);
	printf("each keeps half throttle within ln(phi) %.2f to %.2f\n", jw_rejet_band(JW_HALF, 0),
	       jw_rejet_band(JW_HALF, 1));
}

/* At home as it was, and on the mountain. */
static void show_places(jw_rejet_request request, jw_air home, jw_air mountain)
{
	const jw_air place[] = {home, mountain};
	static jw_rejet_visits plan;
	jw_error error = {0};
	request.changes = 0;
	must(jw_rejet_plan_for(&request, place, 2, &plan, &error), &error);
	for (int i = 0; i < 2; i++)
		printf("%s: set %d, main jet %.3f mm\n", i ? "mountain" : "home", plan.fit[i] + 1,
		       1e3 * plan.set[plan.fit[i]].value[JW_PART_MAIN_JET]);
}

int main(int argc, char **argv)
{
	const char *folder = argc > 1 ? argv[1] : "profiles";
	jw_profile *profile = engine_of(folder, "courier-150");
	static jw_jet_set jets;
	char path[1024];
	jw_faults faults = {0};
	jw_error error = {0};
	jw_air air, higher;
	snprintf(path, sizeof path, "%s/jets/metric-steps.yaml", folder);
	must_load(jw_jets_load(path, folder, &jets, NULL, 0, &faults), &faults);
	must(jw_air_from_humidity(101325, 288.15, 0.5, &air, &error), &error);

	const jw_rejet_change change = {.kind = JW_REJET_PRESSURE, .value = 83000};
	jw_setup setup = *jw_profile_setup(profile);
	higher = air;
	must(jw_rejet_apply(&change, 1, &setup, &higher, &error), &error);
	printf("another %s: %.3f kg/m3 in place of %.3f\n", jw_rejet_kind_name(change.kind), higher.density_kg_m3,
	       air.density_kg_m3);

	const jw_rejet_request request = {
	    .setup = jw_profile_setup(profile), .air = &air, .change = &change, .changes = 1, .anchored = 1, .jets = &jets};
	show_answer(&request);
	show_plan(request);
	show_places(request, air, higher);
	jw_profile_free(profile);
	return 0;
}
