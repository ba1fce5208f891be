/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Made-up engines with a known fault, diagnosed: `simulated [--cases N] [--seed S] [--json]`.
 * The engines run by another physics than the diagnosis has (world.c), are built with tolerances, and are told of by
 * people who forget half and err (observe.c). */
#include "observe.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { BINS = 10, ENGINES = 16, WIDTHS = 20000 };

static const char *const engines[] = {"courier-150", "moped-50", "trail-250", "pump-200", "estate-1100"};

/* Of the coefficients of one engine among its like. */
static const double build_spread = 0.04;
/* 90 % of a severity that is drawn as the mean of two. */
static const double prior_width = 0.684;

typedef struct tally {
	int cases, skipped, first, three, covered, told, facts;
	double binned[BINS], hit[BINS];
	int count[BINS];
	double width[WIDTHS];
	double cpu_s;
} tally;

static int load(const char *folder, const char *name, jw_setup *setup, jw_baseline *baseline)
{
	char path[4096];
	jw_faults faults;
	jw_profile *profile = NULL;
	snprintf(path, sizeof path, "%s/engines/%s.yaml", folder, name);
	if (jw_profile_load(path, folder, &profile, &faults) < 0)
		return -1;
	*setup = *jw_profile_setup(profile);
	*baseline = *jw_profile_baseline(profile);
	jw_profile_free(profile);
	return 0;
}

/* One engine of the kind as built: calibrated in its own world to a baseline that is not quite met. */
static int build(const jw_setup *kind, const jw_baseline *baseline, chance *c, jw_setup *built)
{
	*built = *kind;
	built->coefficient = (jw_coefficients){1, 1, 1, 1};
	const double lambda[3] = {baseline->lambda_idle, baseline->lambda_half, baseline->lambda_full};
	if (world_calibrate(built, &baseline->air, lambda) < 0)
		return -1;
	built->coefficient.main *= exp(build_spread * chance_normal(c));
	built->coefficient.needle *= exp(build_spread * chance_normal(c));
	built->coefficient.pilot *= exp(build_spread * chance_normal(c));
	return 0;
}

static int draw_cause(const jw_setup *kind, chance *c, double *severity)
{
	jw_setup faulty;
	*severity = 0.5 * (chance_uniform(c) + chance_uniform(c));
	for (;;) {
		const int cause = (int)(chance_uniform(c) * jw_cause_count());
		if (jw_cause_meters(cause) && jw_cause_apply(kind, cause, *severity, &faulty, NULL) >= 0)
			return cause;
	}
}

static int rank_of(const jw_report *report, int cause)
{
	for (int i = 0; i < jw_report_findings(report); i++)
		if (jw_report_finding(report, i)->cause == cause)
			return i;
	return -1;
}

static void take(tally *t, const jw_report *report, int cause, double severity)
{
	const int rank = rank_of(report, cause);
	t->cases++;
	t->first += rank == 0;
	t->three += rank >= 0 && rank < 3;
	/* every finding is a forecast */
	for (int i = 0; i < jw_report_findings(report); i++) {
		const jw_finding *f = jw_report_finding(report, i);
		int bin = (int)(f->probability * BINS);
		bin = bin < BINS ? bin : BINS - 1;
		t->count[bin]++;
		t->binned[bin] += f->probability;
		t->hit[bin] += f->cause == cause;
	}
	if (rank == 0 && t->told < WIDTHS) {
		const jw_interval *s = &jw_report_finding(report, 0)->severity;
		t->covered += severity >= s->low_90 && severity <= s->high_90;
		t->width[t->told++] = s->high_90 - s->low_90;
	}
}

static int run_case(const char *folder, chance *c, tally *t)
{
	jw_setup kind, built, faulty;
	jw_baseline baseline;
	jw_report *report = NULL;
	const size_t which = (size_t)(chance_uniform(c) * (sizeof engines / sizeof *engines));
	if (load(folder, engines[which], &kind, &baseline))
		return -1;
	double severity;
	jw_case known = {.air = baseline.air, .history = {.months_standing = 0, .flat = 1}};
	const int cause = draw_cause(&kind, c, &severity);
	if (build(&kind, &baseline, c, &built) || jw_cause_apply(&built, cause, severity, &faulty, NULL) < 0 ||
	    observe(&built, &faulty, c, &known) || !known.evidences) {
		t->skipped++;
		return 0;
	}
	const clock_t start = clock();
	if (jw_explain(&kind, &known, &report, NULL) < 0) {
		t->skipped++;
		return 0;
	}
	t->cpu_s += (double)(clock() - start) / CLOCKS_PER_SEC;
	t->facts += known.evidences;
	take(t, report, cause, severity);
	jw_report_free(report);
	return 0;
}

static int by_size(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* Mean distance of forecast and frequency, weighted by how often each was made. */
static double calibration_error(const tally *t)
{
	double sum = 0, count = 0;
	for (int i = 0; i < BINS; i++) {
		sum += fabs(t->binned[i] - t->hit[i]);
		count += t->count[i];
	}
	return count > 0 ? sum / count : 0;
}

/* The same over forecasts above a tenth, which is where someone acts on them. */
static double acted_error(const tally *t)
{
	double sum = 0, count = 0;
	for (int i = 1; i < BINS; i++) {
		sum += fabs(t->binned[i] - t->hit[i]);
		count += t->count[i];
	}
	return count > 0 ? sum / count : 0;
}

static void print(tally *t, int json)
{
	qsort(t->width, (size_t)t->told, sizeof *t->width, by_size);
	const double n = t->cases > 0 ? t->cases : 1, told = t->told > 0 ? t->told : 1;
	const double median = t->told ? t->width[t->told / 2] : 0;
	const char *format =
	    json
	        ? "{\n  \"n\": %d,\n  \"skipped\": %d,\n  \"top1\": %.4f,\n  \"top3\": %.4f,\n  \"calibration_error\": "
	          "%.4f,\n"
	          "  \"calibration_error_above_tenth\": %.4f,\n  \"severity_coverage_90\": %.4f,\n"
	          "  \"severity_width_over_prior\": %.4f,\n  \"explain_cpu_ms\": %.1f,\n  \"reports_mean\": %.1f\n}\n"
	        : "%d cases, %d skipped; first %.3f, in the first three %.3f; calibration error %.4f, of forecasts above a "
	          "tenth %.4f; severity covered %.3f by 90 %% intervals of %.3f of the prior's width; %.1f ms and %.1f "
	          "reports a case\n";
	printf(format, t->cases, t->skipped, t->first / n, t->three / n, calibration_error(t), acted_error(t),
	       t->covered / told, median / prior_width, 1e3 * t->cpu_s / n, t->facts / n);
	for (int i = 0; i < BINS && !json; i++)
		if (t->count[i])
			printf("  said %.2f, was so %.2f, %d times\n", t->binned[i] / t->count[i], t->hit[i] / t->count[i],
			       t->count[i]);
}

int main(int argc, char **argv)
{
	static tally t;
	int json = 0;
	long cases = 100;
	chance c = {20};
	const char *folder = getenv("JETWRIGHT_PROFILES");
	for (int i = 1; i < argc; i++) {
		if (!strcmp(argv[i], "--json"))
			json = 1;
		else if (i + 1 < argc && !strcmp(argv[i], "--cases"))
			cases = strtol(argv[++i], NULL, 10);
		else if (i + 1 < argc && !strcmp(argv[i], "--seed"))
			c.state = strtoull(argv[++i], NULL, 10);
		else {
			fprintf(stderr, "usage: simulated [--cases N] [--seed S] [--json]\n");
			return 2;
		}
	}
	for (long i = 0; i < cases; i++)
		if (run_case(folder ? folder : PROFILES, &c, &t)) {
			fprintf(stderr, "the engines that come along cannot be read\n");
			return 1;
		}
	print(&t, json);
	return t.cases ? 0 : 1;
}
