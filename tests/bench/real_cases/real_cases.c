/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Scores the diagnosis on repair cases whose fix is known: `real_cases FILE.csv [--json]`.
 * Free words become evidence by the table in words.c, which sees engine, context, symptoms and tests only. A finding is
 * right where its group is that of the fix or of another cause that a fair judge accepts; strictly, where its name is
 * the fix. Beside it stands a naive guess: how often each group is the fix in the other cases. */
#include "groups.h"
#include "table.h"
#include "words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NAMES = 80, NAME = 48, ACCEPTED = 8 };

/* A name with what is believed of it. */
typedef struct belief {
	char name[NAME];
	double probability;
} belief;

typedef struct beliefs {
	belief item[NAMES];
	int count;
} beliefs;

/* What would be right. */
typedef struct answers {
	char fix[NAME];             /* the cause */
	char group[ACCEPTED][NAME]; /* its group first */
	int groups;
} answers;

typedef struct score {
	int n, top1, top3, top1_strict, top3_strict;
	double log, brier;
} score;

/* ---- beliefs ---- */

static void believe(beliefs *b, const char *name, double probability)
{
	int i = 0;
	while (i < b->count && strcmp(b->item[i].name, name))
		i++;
	if (i == NAMES)
		return;
	if (i == b->count)
		snprintf(b->item[b->count++].name, NAME, "%s", name);
	b->item[i].probability += probability;
}

static int by_probability(const void *a, const void *b)
{
	const belief *x = a, *y = b;
	return (x->probability < y->probability) - (x->probability > y->probability);
}

static void settle(beliefs *b)
{
	double sum = 0;
	for (int i = 0; i < b->count; i++)
		sum += b->item[i].probability;
	for (int i = 0; i < b->count; i++)
		b->item[i].probability /= sum > 0 ? sum : 1;
	qsort(b->item, (size_t)b->count, sizeof *b->item, by_probability);
}

static void take_report(const jw_report *report, beliefs *causes, beliefs *groups)
{
	double named = 0;
	for (int i = 0; i < jw_report_findings(report); i++) {
		const jw_finding *finding = jw_report_finding(report, i);
		const char *id = jw_cause_at(finding->cause)->id;
		believe(causes, id, finding->probability);
		believe(groups, group_of(id), finding->probability);
		named += finding->probability;
	}
	believe(causes, "other", fmax(1 - named, 0));
	believe(groups, "other", fmax(1 - named, 0));
	settle(causes);
	settle(groups);
}

/* ---- one case ---- */

/* Lambda at which common engines run right. */
static const double usual_lambda[] = {0.90, 0.95, 0.88};

static int load_engine(const char *folder, const char *name, jw_setup *setup)
{
	char path[4096];
	jw_faults faults;
	jw_profile *profile = NULL;
	snprintf(path, sizeof path, "%s/classes/%s.yaml", folder, name);
	if (jw_profile_load(path, folder, &profile, &faults) < 0) {
		fprintf(stderr, "%s: %s\n", path, faults.count ? faults.item[0].message : "cannot be read");
		return -1;
	}
	*setup = *jw_profile_setup(profile);
	jw_profile_free(profile);
	jw_baseline baseline = {
	    .lambda_idle = usual_lambda[0], .lambda_half = usual_lambda[1], .lambda_full = usual_lambda[2]};
	jw_calibration found;
	jw_air_from_humidity(101325, 288.15, 0.5, &baseline.air, NULL);
	if (jw_calibrate(setup, &baseline, &found, NULL) >= 0)
		setup->coefficient = found.coefficient;
	return 0;
}

static int diagnose(const char *folder, const told_case *told, beliefs *causes, beliefs *groups, int *silent)
{
	jw_case known = {0};
	jw_setup setup;
	jw_report *report = NULL;
	jw_air_from_humidity(101325, 288.15, 0.5, &known.air, NULL);
	*silent = words_encode(told, &known);
	if (load_engine(folder, words_engine(told), &setup))
		return -1;
	if (known.evidences && jw_explain(&setup, &known, &report, NULL) < 0)
		return -1;
	if (report)
		take_report(report, causes, groups);
	jw_report_free(report);
	return known.evidences;
}

/* ---- scoring ---- */

static void accept_group(answers *right, const char *cause)
{
	while (*cause == ' ')
		cause++;
	if (!strncmp(cause, "other:", 6))
		cause += 6;
	if (*cause && right->groups < ACCEPTED)
		snprintf(right->group[right->groups++], NAME, "%s", group_of(cause));
}

static answers answers_of(const char *fix, const char *also)
{
	answers right = {0};
	char text[512], *rest = text;
	accept_group(&right, fix);
	snprintf(right.fix, NAME, "%s", strncmp(fix, "other:", 6) ? fix : fix + 6);
	snprintf(text, sizeof text, "%s", also);
	for (char *word; (word = strtok_r(rest, ";,|", &rest));)
		accept_group(&right, word);
	return right;
}

static int is_right(const answers *right, const char *group)
{
	for (int i = 0; i < right->groups; i++)
		if (!strcmp(right->group[i], group))
			return 1;
	return 0;
}

/* Place of the first right name, from 1; 0 where none is listed. */
static int rank_group(const beliefs *groups, const answers *right)
{
	for (int i = 0; i < groups->count; i++)
		if (is_right(right, groups->item[i].name))
			return i + 1;
	return 0;
}

static int rank_strict(const beliefs *causes, const answers *right)
{
	for (int i = 0; i < causes->count; i++)
		if (!strcmp(causes->item[i].name, right->fix))
			return i + 1;
	return 0;
}

/* A group that nobody thought of still has this probability, so that one surprise does not outweigh all. */
static const double least_probability = 1e-3;

static void add_to(score *s, const beliefs *causes, const beliefs *groups, const answers *right)
{
	const int group = rank_group(groups, right), strict = rank_strict(causes, right);
	double hit = 0, brier = 0, most = 0;
	for (int i = 0; i < groups->count; i++) {
		if (is_right(right, groups->item[i].name)) {
			hit += groups->item[i].probability;
			most = fmax(most, groups->item[i].probability);
		} else {
			brier += groups->item[i].probability * groups->item[i].probability;
		}
	}
	s->n++;
	s->top1 += group == 1;
	s->top3 += group >= 1 && group <= 3;
	s->top1_strict += strict == 1;
	s->top3_strict += strict >= 1 && strict <= 3;
	s->log += log(fmax(hit, least_probability));
	s->brier += brier + (1 - hit) * (1 - hit);
}

/* How often each group is the fix in the other cases, each group that there is counted once beforehand. */
static void guess(const table *t, int fix, int left_out, beliefs *groups)
{
	for (int i = 0; i < jw_cause_count(); i++)
		believe(groups, group_of(jw_cause_at(i)->id), 0);
	believe(groups, "other", 0);
	const int known = groups->count;
	for (int i = 0; i < known; i++)
		groups->item[i].probability = 1;
	for (int row = 1; row < t->rows; row++) {
		answers right = answers_of(table_cell(t, row, fix), "");
		if (row != left_out && right.groups)
			believe(groups, right.group[0], 1);
	}
	settle(groups);
}

/* ---- output ---- */

/* Wilson's interval of a share, 95 %. */
static void wilson(int hits, int n, double *low, double *high)
{
	const double z = 1.959964, share = n ? (double)hits / n : 0, scale = 1 + z * z / n;
	const double centre = (share + z * z / (2 * n)) / scale;
	const double half = z * sqrt(share * (1 - share) / n + z * z / (4.0 * n * n)) / scale;
	*low = centre - half;
	*high = centre + half;
}

static void print_share(const char *key, int hits, int n)
{
	double low, high;
	wilson(hits, n, &low, &high);
	printf("  \"%s\": %.4f,\n  \"%s_low_95\": %.4f,\n  \"%s_high_95\": %.4f,\n", key, (double)hits / n, key, low, key,
	       high);
}

static void print_json(const score *s, const score *naive)
{
	printf("{\n  \"n\": %d,\n", s->n);
	print_share("top1", s->top1, s->n);
	print_share("top3", s->top3, s->n);
	print_share("top1_strict", s->top1_strict, s->n);
	print_share("top3_strict", s->top3_strict, s->n);
	printf("  \"log_score\": %.4f,\n  \"brier\": %.4f,\n", s->log / s->n, s->brier / s->n);
	printf("  \"naive_top1\": %.4f,\n  \"naive_top3\": %.4f,\n", (double)naive->top1 / s->n,
	       (double)naive->top3 / s->n);
	printf("  \"naive_log_score\": %.4f,\n  \"naive_brier\": %.4f\n}\n", naive->log / s->n, naive->brier / s->n);
}

static void print_line(const char *id, const answers *right, const beliefs *groups, int evidences, int silent)
{
	const int rank = rank_group(groups, right);
	printf("%-6s %-10s %-24s", id, rank == 1 ? "first" : rank && rank <= 3 ? "top three" : "missed", right->fix);
	for (int i = 0; i < 3 && i < groups->count; i++)
		printf(" %s %.2f", groups->item[i].name, groups->item[i].probability);
	printf("  (%d facts, %d clauses unread)\n", evidences, silent);
}

static void print_text(const score *s, const score *naive)
{
	printf("\n%d cases; first by group %d, in the first three %d; strictly %d and %d\n", s->n, s->top1, s->top3,
	       s->top1_strict, s->top3_strict);
	printf("log score %.3f, naive %.3f; Brier %.3f, naive %.3f\n", s->log / s->n, naive->log / s->n, s->brier / s->n,
	       naive->brier / s->n);
}

/* ---- all cases ---- */

/* Where a table has what a case needs; -1: nowhere. */
typedef struct headings {
	int id, engine, context, symptoms, tests, fix, also;
} headings;

static headings headings_of(const table *t)
{
	return (headings){.id = table_column(t, "id"),
	                  .engine = table_column(t, "engine"),
	                  .context = table_column(t, "context"),
	                  .symptoms = table_column(t, "symptoms"),
	                  .tests = table_column(t, "tests"),
	                  .fix = table_column(t, "fix"),
	                  .also = table_column(t, "also_accept")};
}

static void score_case(const table *t, const headings *h, int row, score *own, score *naive, int json)
{
	const char *folder = getenv("JETWRIGHT_PROFILES");
	const told_case told = {table_cell(t, row, h->engine), table_cell(t, row, h->context),
	                        table_cell(t, row, h->symptoms), table_cell(t, row, h->tests)};
	const answers right = answers_of(table_cell(t, row, h->fix), table_cell(t, row, h->also));
	beliefs causes = {0}, groups = {0}, guessed = {0};
	int silent = 0;
	guess(t, h->fix, row, &guessed);
	const int evidences = diagnose(folder ? folder : PROFILES, &told, &causes, &groups, &silent);
	if (evidences <= 0) { /* nothing said that is understood */
		causes = (beliefs){0};
		groups = guessed;
	}
	add_to(own, &causes, &groups, &right);
	add_to(naive, &causes, &guessed, &right);
	if (!json)
		print_line(table_cell(t, row, h->id), &right, &groups, evidences, silent);
}

static int score_all(const char *file, const table *t, int json)
{
	const headings h = headings_of(t);
	score own = {0}, naive = {0};
	if (h.symptoms < 0 || h.fix < 0 || t->rows < 2) {
		fprintf(stderr, "%s: expected cases under the headings id, engine, context, symptoms, tests, fix\n", file);
		return 1;
	}
	for (int row = 1; row < t->rows; row++)
		score_case(t, &h, row, &own, &naive, json);
	if (json)
		print_json(&own, &naive);
	else
		print_text(&own, &naive);
	return 0;
}

int main(int argc, char **argv)
{
	int json = 0;
	const char *file = NULL;
	for (int i = 1; i < argc; i++) {
		if (!strcmp(argv[i], "--json"))
			json = 1;
		else
			file = argv[i];
	}
	if (!file) {
		fprintf(stderr, "usage: real_cases FILE.csv [--json]\n");
		return 2;
	}
	table t;
	if (table_load(file, &t))
		return 1;
	const int code = score_all(file, &t, json);
	table_free(&t);
	return code;
}
