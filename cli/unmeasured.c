/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "unmeasured.h"
#include "show.h"
#include <math.h>

enum { TOLD = 3 };

/* Each range with what the unmeasured dimensions do to it. */
typedef struct weighed {
	const jw_unmeasured *dimension;
	int count;
	double lambda[JW_RANGE_COUNT], relative[JW_RANGE_COUNT], contribution[JW_RANGE_COUNT][JW_UNMEASURED];
	int best[JW_UNMEASURED], told, most; /* those that would take most off the variance of all ranges, most first */
} weighed;

/* Without its air, the baseline's. */
static int weigh_ranges(weighed *w, const jw_profile *profile)
{
	const jw_setup *setup = jw_profile_setup(profile);
	const jw_baseline *baseline = jw_profile_baseline(profile);
	jw_air air;
	jw_status status = jw_air_from_humidity(101325, 288.15, 0, &air, NULL);
	if (baseline)
		air = baseline->air;
	for (int r = 0; r < JW_RANGE_COUNT && status >= 0; r++) {
		jw_mixture mixture;
		status = jw_mixture_at(setup, &air, &setup->range[r], &mixture, NULL);
		if (status < 0)
			break;
		w->lambda[r] = lambda_of(mixture.phi);
		status = jw_profile_contributions(profile, &air, &setup->range[r], w->contribution[r], &w->relative[r], NULL);
	}
	return status >= 0;
}

static double weight_of(const weighed *w, int i)
{
	double sum = 0;
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		sum += w->contribution[r][i] * w->contribution[r][i];
	return sum;
}

static void rank(weighed *w)
{
	for (int i = 0; i < w->count; i++) {
		int place = w->told < w->most ? w->told++ : w->most;
		for (; place > 0 && weight_of(w, w->best[place - 1]) < weight_of(w, i); place--)
			if (place < w->most)
				w->best[place] = w->best[place - 1];
		if (place < w->most)
			w->best[place] = i;
	}
}

static void weigh(weighed *w, const jw_profile *profile, int all)
{
	w->dimension = jw_profile_unmeasured(profile, &w->count);
	w->told = 0;
	w->most = all ? w->count : TOLD;
	if (w->count && weigh_ranges(w, profile))
		rank(w);
}

static int range_of(const weighed *w, int i)
{
	int most = 0;
	for (int r = 1; r < JW_RANGE_COUNT; r++)
		if (fabs(w->contribution[r][i]) > fabs(w->contribution[most][i]))
			most = r;
	return most;
}

/* What is left of the uncertainty in a range once one dimension is known. */
static double left_of(const weighed *w, int range, int i)
{
	double all = w->relative[range], its = w->contribution[range][i];
	return sqrt(fmax(all * all - its * its, 0));
}

static void interval_cell(cli_table *table, double lambda, double relative)
{
	table_cell(table, "%s to %s", lambda_text(lambda * exp(-SIGMAS_90 * relative)).text,
	           lambda_text(lambda * exp(SIGMAS_90 * relative)).text);
}

void print_unmeasured(const jw_profile *profile, int all, FILE *out)
{
	weighed w;
	const char *class = jw_profile_based_on(profile);
	weigh(&w, profile, all);
	if (all && !w.count)
		text_wrap(out, 0, 0,
		          "Every number of this profile is stated as measured; 'jetwright list dimensions' tells how.");
	if (!w.told)
		return;
	fputc('\n', out);
	text_wrap(out, 0, 0, "%d numbers are not measured on this engine%s%s. %s", w.count,
	          class ? "; most are those of the class " : "", class ? class : "",
	          all ? "Those first that would narrow lambda most:" : "Measuring these would narrow lambda most:");
	cli_table table = {.left = 1u << 1};
	table_heading(&table, (const char *const[]){"", "at", "90 % interval of lambda", "once measured"}, 4);
	for (int k = 0; k < w.told; k++) {
		int i = w.best[k], range = range_of(&w, i);
		table_cell(&table, "%s", w.dimension[i].key);
		table_cell(&table, "%s", range_text_of(range).text);
		interval_cell(&table, w.lambda[range], w.relative[range]);
		interval_cell(&table, w.lambda[range], left_of(&w, range, i));
		table_row_end(&table);
	}
	table_print(&table, out);
	fprintf(out, "How:\n");
	for (int k = 0; k < w.told; k++) {
		const char *how = jw_profile_measure(w.dimension[w.best[k]].key);
		text_item(out, 4, "%s: %s", w.dimension[w.best[k]].key, how ? how : "measured on the part");
	}
}

void json_unmeasured(cli_json *json, const jw_profile *profile, int all)
{
	weighed w;
	const char *class = jw_profile_based_on(profile);
	weigh(&w, profile, all);
	if (class)
		json_text(json, "based_on", class);
	json_array(json, "would_narrow_lambda");
	for (int k = 0; k < w.told; k++) {
		int i = w.best[k], range = range_of(&w, i);
		const char *how = jw_profile_measure(w.dimension[i].key);
		json_object(json, NULL);
		json_text(json, "key", w.dimension[i].key);
		json_text(json, "range", jw_range_name((jw_range)range));
		json_number_or_null(json, "lambda", w.lambda[range]);
		json_number(json, "uncertainty_relative", w.relative[range]);
		json_number(json, "uncertainty_relative_once_measured", left_of(&w, range, i));
		json_text(json, "how", how ? how : "");
		json_object_end(json);
	}
	json_array_end(json);
}
