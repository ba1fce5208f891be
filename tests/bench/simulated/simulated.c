/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Made-up engines with a known fault, diagnosed and mended: `simulated [--cases N] [--seed S] [--asked-only] [--json]`,
 * with N faults that are felt. The engines run by another physics than the diagnosis has (world.c), are built with
 * tolerances, and are told of by people who forget half and err (observe.c). What is proposed is done (workshop.c), and
 * beside it what a published chart says (chart.c). */
#include "chart.h"
#include "workshop.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { BINS = 10, CASES_MOST = 20000, RESAMPLES = 1000 };

static const char *const engines[] = {"courier-150", "moped-50", "trail-250", "pump-200", "estate-1100"};

/* Of the coefficients of one engine among its like. */
static const double build_spread = 0.04;
/* 90 % of a severity that is drawn as the mean of two. */
static const double prior_width = 0.684;

/* What is thought at one stage of a case. */
typedef struct stage {
	int cases, first, three, covered, told;
	double binned[BINS], hit[BINS];
	int count[BINS];
	double width[CASES_MOST];
} stage;

/* Minutes and steps until each engine ran again or was given up. */
typedef struct work {
	int cured, right, steps;
	double minutes[CASES_MOST];
} work;

typedef struct tally {
	int asked_only; /* nothing is done after the first answer */
	int cases, skipped, facts, explained;
	stage told, tested; /* before anything is done; when the first repair is proposed */
	work ours, chart;
	double cpu_s, most_cpu_s;
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

static int mends_metering(int remedy)
{
	for (int c = 0; c < jw_cause_count(); c++)
		if (jw_cause_meters(c) && jw_remedy_mends(remedy, c))
			return 1;
	return 0;
}

/* The faults drawn are of the mixture: spark, compression, battery and the like were put in order before, whoever works
 * on the engine. */
static void put_rest_in_order(jw_history *history)
{
	const int times = 2;
	for (int c = 0; c < jw_cause_count(); c++)
		if (!mends_metering(c))
			history->mended[c] = times;
}

static int rank_of(const jw_report *report, int cause)
{
	for (int i = 0; i < jw_report_findings(report); i++)
		if (jw_report_finding(report, i)->cause == cause)
			return i;
	return -1;
}

static void take(stage *t, const jw_report *report, int cause, double severity)
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
	if (rank == 0) {
		const jw_interval *s = &jw_report_finding(report, 0)->severity;
		t->covered += severity >= s->low_90 && severity <= s->high_90;
		t->width[t->told++] = s->high_90 - s->low_90;
	}
}

static int explain(tally *t, const jw_setup *kind, const jw_case *known, jw_report **report)
{
	const clock_t start = clock();
	if (jw_explain(kind, known, report, NULL) < 0)
		return -1;
	const double cpu_s = (double)(clock() - start) / CLOCKS_PER_SEC;
	t->cpu_s += cpu_s;
	t->most_cpu_s = fmax(t->most_cpu_s, cpu_s);
	t->explained++;
	return 0;
}

static void close_work(work *done, const workshop *w, int case_)
{
	done->minutes[case_] = w->cured_by >= 0 ? fmin(w->minutes, MINUTES_MOST) : MINUTES_MOST;
	done->cured += w->cured_by >= 0;
	done->right += w->cured_by == w->cause;
	done->steps += w->steps;
}

/* Does what is proposed, one step after the other. */
static int follow_proposals(tally *t, const jw_setup *kind, workshop w)
{
	for (int repaired = 0; workshop_goes_on(&w);) {
		jw_report *report = NULL;
		if (explain(t, kind, &w.known, &report))
			return -1;
		const jw_action *action = jw_report_action(report, 0);
		if (!w.steps)
			take(&t->told, report, w.cause, w.severity);
		if (!repaired && (!action || action->cause >= 0))
			take(&t->tested, report, w.cause, w.severity);
		if (t->asked_only) {
			jw_report_free(report);
			return 0;
		}
		const jw_action next = action ? *action : (jw_action){.cause = -1, .evidence = -1};
		jw_report_free(report);
		if (!action)
			break;
		if (next.cause >= 0) {
			repaired = 1;
			workshop_repair(&w, next.cause);
		} else
			workshop_test(&w, next.evidence, next.range);
	}
	close_work(&t->ours, &w, t->cases);
	return 0;
}

/* Whether a chart's test finds something, or was answered so already. */
static int finds(workshop *w, const chart_step *step)
{
	const int kind = jw_evidence_kind_find(step->evidence);
	for (int i = 0; i < w->known.evidences; i++)
		if (w->known.evidence[i].kind == kind)
			return w->known.evidence[i].answer == step->fault;
	workshop_test(w, kind, jw_evidence_kind_at(kind)->range);
	return w->known.evidence[w->known.evidences - 1].answer == step->fault;
}

static int has_part(const jw_setup *kind, int cause)
{
	jw_setup faulty;
	return !jw_cause_meters(cause) || jw_cause_apply(kind, cause, 0.5, &faulty, NULL) >= 0;
}

/* Does what the chart says, from its first line to the last, and over again. */
static void follow_chart(tally *t, const jw_setup *kind, workshop w)
{
	const chart_step *step[CHART_STEPS];
	const int n = chart_order(&w.known, step);
	const jw_history before = w.known.history;
	for (int i = 0; workshop_goes_on(&w); i = (i + 1) % n) {
		const int cause = jw_cause_find(step[i]->cause);
		if (!before.mended[cause] && has_part(kind, cause) && (!step[i]->evidence || finds(&w, step[i])))
			workshop_repair(&w, cause);
	}
	close_work(&t->chart, &w, t->cases);
}

static int run_case(const char *folder, chance *c, tally *t)
{
	jw_setup kind, built, faulty;
	jw_baseline baseline;
	look engine;
	const size_t which = (size_t)(chance_uniform(c) * (sizeof engines / sizeof *engines));
	if (load(folder, engines[which], &kind, &baseline))
		return -1;
	double severity;
	jw_case known = {.air = baseline.air, .history = {.months_standing = 0, .flat = 1}};
	const int cause = draw_cause(&kind, c, &severity);
	put_rest_in_order(&known.history);
	if (build(&kind, &baseline, c, &built) || jw_cause_apply(&built, cause, severity, &faulty, NULL) < 0 ||
	    look_begin(&engine, &built, &faulty, c, &known)) {
		t->skipped++;
		return 0;
	}
	look_report(&engine);
	const workshop w = workshop_open(&engine, cause, severity, &known);
	if (!known.evidences || follow_proposals(t, &kind, w)) {
		t->skipped++;
		return 0;
	}
	if (!t->asked_only)
		follow_chart(t, &kind, w);
	t->facts += known.evidences;
	t->cases++;
	return 0;
}

static int by_size(const void *a, const void *b)
{
	const double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* Mean distance of forecast and frequency, weighted by how often each was made, from a bin on. */
static double calibration_error(const stage *t, int from)
{
	double sum = 0, count = 0;
	for (int i = from; i < BINS; i++) {
		sum += fabs(t->binned[i] - t->hit[i]);
		count += t->count[i];
	}
	return count > 0 ? sum / count : 0;
}

static double median(double *x, int n)
{
	qsort(x, (size_t)n, sizeof *x, by_size);
	return n ? x[n / 2] : 0;
}

static double mean(const double *x, int n)
{
	double sum = 0;
	for (int i = 0; i < n; i++)
		sum += x[i];
	return n ? sum / n : 0;
}

/* Share of the chart's minutes that is saved, with 95 %, by drawing the same engines again and again (Efron, Ann.
 * Statist. 7 (1979) 1). */
static jw_interval saved(const tally *t)
{
	static double share[RESAMPLES];
	chance c = {1};
	for (int k = 0; k < RESAMPLES; k++) {
		double ours = 0, chart = 0;
		for (int i = 0; i < t->cases; i++) {
			const int at = (int)(chance_uniform(&c) * t->cases);
			ours += t->ours.minutes[at];
			chart += t->chart.minutes[at];
		}
		share[k] = chart > 0 ? 1 - ours / chart : 0;
	}
	qsort(share, RESAMPLES, sizeof *share, by_size);
	const double chart = mean(t->chart.minutes, t->cases);
	return (jw_interval){chart > 0 ? 1 - mean(t->ours.minutes, t->cases) / chart : 0, share[RESAMPLES / 40],
	                     share[RESAMPLES - RESAMPLES / 40]};
}

/* Everything told, as it is named for programs. */
typedef struct figure {
	const char *name;
	double value;
} figure;
enum { FIGURES_MOST = 40 };

static int list_stage(figure *f, const char *const names[7], stage *s)
{
	const double n = s->cases > 0 ? s->cases : 1, told = s->told > 0 ? s->told : 1;
	const double value[7] = {s->first / n,
	                         s->three / n,
	                         calibration_error(s, 0),
	                         calibration_error(s, 1), /* where someone acts on them */
	                         s->covered / told,
	                         median(s->width, s->told) / prior_width,
	                         s->told};
	for (int i = 0; i < 7; i++)
		f[i] = (figure){names[i], value[i]};
	return 7;
}

static int list_work(tally *t, figure *f)
{
	static const char *const tested[7] = {"tested_top1",
	                                      "tested_top3",
	                                      "tested_calibration_error",
	                                      "tested_calibration_error_above_tenth",
	                                      "tested_severity_coverage_90",
	                                      "tested_severity_width_over_prior",
	                                      "tested_severities"};
	const double n = t->cases > 0 ? t->cases : 1;
	const jw_interval share = saved(t);
	int k = list_stage(f, tested, &t->tested);
	f[k++] = (figure){"done_top1", t->ours.right / n};
	f[k++] = (figure){"done_cured", t->ours.cured / n};
	f[k++] = (figure){"steps_mean", t->ours.steps / n};
	f[k++] = (figure){"minutes_mean", mean(t->ours.minutes, t->cases)};
	f[k++] = (figure){"chart_cured", t->chart.cured / n};
	f[k++] = (figure){"chart_steps_mean", t->chart.steps / n};
	f[k++] = (figure){"chart_minutes_mean", mean(t->chart.minutes, t->cases)};
	f[k++] = (figure){"minutes_saved", share.value};
	f[k++] = (figure){"minutes_saved_low_95", share.low_90};
	f[k++] = (figure){"minutes_saved_high_95", share.high_90};
	return k;
}

static int list(tally *t, figure *f)
{
	static const char *const told[7] = {"top1",
	                                    "top3",
	                                    "calibration_error",
	                                    "calibration_error_above_tenth",
	                                    "severity_coverage_90",
	                                    "severity_width_over_prior",
	                                    "severities"};
	int k = 0;
	f[k++] = (figure){"n", t->cases};
	f[k++] = (figure){"not_felt", t->skipped};
	f[k++] = (figure){"reports_mean", t->cases > 0 ? (double)t->facts / t->cases : 0};
	k += list_stage(f + k, told, &t->told);
	if (!t->asked_only)
		k += list_work(t, f + k);
	f[k++] = (figure){"explain_cpu_ms", t->explained ? 1e3 * t->cpu_s / t->explained : 0};
	f[k++] = (figure){"explain_cpu_most_ms", 1e3 * t->most_cpu_s};
	return k;
}

static void print_forecasts(const char *when, const stage *s)
{
	printf("%s\n", when);
	for (int i = 0; i < BINS; i++)
		if (s->count[i])
			printf("  said %.2f, was so %.2f, %d times\n", s->binned[i] / s->count[i], s->hit[i] / s->count[i],
			       s->count[i]);
}

static void print(tally *t, int json)
{
	figure f[FIGURES_MOST];
	const int n = list(t, f);
	printf("%s", json ? "{\n" : "");
	for (int i = 0; i < n; i++)
		printf(json ? "  \"%s\": %.6g%s\n" : "%-38s %.4g%s\n", f[i].name, f[i].value, json && i + 1 < n ? "," : "");
	printf("%s", json ? "}\n" : "");
	if (json)
		return;
	print_forecasts("before anything is done:", &t->told);
	if (!t->asked_only)
		print_forecasts("when the first repair is proposed:", &t->tested);
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
		else if (!strcmp(argv[i], "--asked-only"))
			t.asked_only = 1;
		else if (i + 1 < argc && !strcmp(argv[i], "--cases"))
			cases = strtol(argv[++i], NULL, 10);
		else if (i + 1 < argc && !strcmp(argv[i], "--seed"))
			c.state = strtoull(argv[++i], NULL, 10);
		else
			cases = 0;
	}
	if (cases < 1 || cases > CASES_MOST) {
		fprintf(stderr, "usage: simulated [--cases 1..%d] [--seed S] [--asked-only] [--json]\n", CASES_MOST);
		return 2;
	}
	while (t.cases < cases)
		if (run_case(folder ? folder : PROFILES, &c, &t)) {
			fprintf(stderr, "the engines that come along cannot be read\n");
			return 1;
		}
	print(&t, json);
	return 0;
}
