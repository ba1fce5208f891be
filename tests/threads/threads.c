/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The same work in eight threads at once as in one: every answer equal bit for bit. Run under the thread sanitizer too.
 */
#include <jetwright/cycle.h>
#include <jetwright/diagnose.h>
#include <jetwright/profile.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { THREADS = 8, SETUPS = 4 };

static const char *const names[SETUPS] = {"courier-150", "trail-250", "kart-125", "four-600"};

/* What one thread finds out, from the file to the diagnosis. Static memory, so that padding is alike. */
typedef struct answers {
	jw_setup setup[SETUPS];
	jw_mixture mixture[SETUPS][JW_RANGE_COUNT];
	jw_supplied supplied;
	jw_status status[SETUPS][JW_RANGE_COUNT];
	double air_kg_s, phi, residual; /* over the crank angle */
	double probability[JW_CAUSES_MOST];
	int failed;
} answers;

static answers found[THREADS + 1];
static const char *folder;

static int load(const char *name, jw_setup *setup)
{
	char path[1024];
	jw_faults faults;
	jw_profile *profile = NULL;
	snprintf(path, sizeof path, "%s/engines/%s.yaml", folder, name);
	if (jw_profile_load(path, folder, &profile, &faults) < 0)
		return 0;
	*setup = *jw_profile_setup(profile);
	jw_profile_free(profile);
	return 1;
}

static int diagnose(answers *a, const jw_air *air)
{
	jw_report *report = NULL;
	const jw_case known = {.air = *air,
	                       .history.months_standing = 5,
	                       .evidence[0] = {.kind = jw_evidence_kind_find("hunts"), .range = JW_IDLE},
	                       .evidences = 1};
	if (jw_explain(&a->setup[0], &known, &report, NULL) < 0)
		return 0;
	for (int i = 0; i < jw_report_findings(report); i++)
		a->probability[jw_report_finding(report, i)->cause] = jw_report_finding(report, i)->probability;
	jw_report_free(report);
	return 1;
}

static int turn(answers *a, const jw_air *air)
{
	const jw_cycle_options coarse = {.relative = 1e-3, .settled = 1e-2, .cycles = 40};
	jw_cycle *cycle = calloc(1, sizeof *cycle);
	int done = cycle && jw_cycle_at(&a->setup[0], air, &a->setup[0].range[JW_HALF], &coarse, cycle, NULL) >= 0;
	if (done) {
		a->air_kg_s = cycle->air_kg_s;
		a->phi = cycle->phi;
		a->residual = cycle->residual;
	}
	free(cycle);
	return done;
}

static void *work(void *into)
{
	answers *a = into;
	jw_air air;
	int done = jw_air_from_humidity(98000, 303.15, 0.7, &air, NULL) >= 0;
	for (int i = 0; i < SETUPS && done; i++) {
		done = load(names[i], &a->setup[i]);
		for (int r = 0; r < JW_RANGE_COUNT && done; r++)
			a->status[i][r] = jw_mixture_at(&a->setup[i], &air, &a->setup[i].range[r], &a->mixture[i][r], NULL);
	}
	const jw_setup *fed = &a->setup[0]; /* whose profile describes the supply */
	done = done && jw_mixture_supplied(fed, &air, &fed->range[JW_FULL], &a->supplied, NULL) >= 0;
	a->failed = !done || !diagnose(a, &air) || !turn(a, &air);
	return NULL;
}

int main(int count, char **arguments)
{
	pthread_t thread[THREADS];
	int wrong = 0;
	folder = count > 1 ? arguments[1] : "profiles";
	work(&found[THREADS]);
	for (int i = 0; i < THREADS; i++)
		if (pthread_create(&thread[i], NULL, work, &found[i]))
			return 1;
	for (int i = 0; i < THREADS; i++) {
		pthread_join(thread[i], NULL);
		wrong += memcmp(&found[i], &found[THREADS], sizeof *found) != 0;
	}
	if (found[THREADS].failed)
		printf("a call failed\n");
	if (wrong)
		printf("%d of %d threads found something else than one alone\n", wrong, THREADS);
	return wrong || found[THREADS].failed;
}
