/* SPDX-License-Identifier: GPL-3.0-or-later */
/* First-order intervals of every profile that comes along against quasi-Monte-Carlo (JCGM 101). */
#include "bundled.h"

#include <dirent.h>
#include <stdlib.h>
#include <string.h>

#define SAMPLES 1023
#define COEFFICIENTS 4

/* A set-up whose inputs are deviations: of its coefficients, then of its unmeasured numbers in an order of weight. */
typedef struct drawn {
	const jw_setup *setup;
	const jw_air *air;
	const jw_point *point;
	const jw_unmeasured *unmeasured;
	int order[JW_UNMEASURED], count;
} drawn;

static jw_status lnphi_drawn(const double *x, double *lnphi, void *context)
{
	const drawn *d = context;
	const jw_coefficients *u = &d->setup->uncertainty;
	jw_setup s = *d->setup;
	jw_mixture mixture;
	s.coefficient.air *= exp(x[0] * u->air);
	s.coefficient.main *= exp(x[1] * u->main);
	s.coefficient.needle *= exp(x[2] * u->needle);
	s.coefficient.pilot *= exp(x[3] * u->pilot);
	s.carburetor.enrichener.fuel_coefficient *= exp(x[3] * u->pilot);
	s.carburetor.power.fuel_coefficient *= exp(x[1] * u->main);
	for (int i = 0; i < d->count; i++)
		jw_setup_shift(&s, &d->unmeasured[d->order[i]], x[COEFFICIENTS + i]);
	if (jw_setup_check(&s, NULL) < 0 || jw_mixture_at(&s, d->air, d->point, &mixture, NULL) < 0)
		return JW_E_RANGE;
	*lnphi = log(fmax(mixture.phi, 1e-3));
	return JW_OK;
}

static void order_by(drawn *d, const double *weight)
{
	for (int i = 0; i < d->count; i++) {
		int place = i;
		for (; place > 0 && fabs(weight[d->order[place - 1]]) < fabs(weight[i]); place--)
			d->order[place] = d->order[place - 1];
		d->order[place] = i;
	}
}

static jw_sampling sampled(const drawn *d)
{
	static double outputs[SAMPLES];
	jw_input inputs[JW_INPUTS];
	jw_sampling found = {0};
	for (int i = 0; i < COEFFICIENTS + d->count; i++)
		inputs[i] = (jw_input){.mean = 0, .uncertainty = 1};
	jw_status status =
	    jw_sample(lnphi_drawn, (void *)d, inputs, COEFFICIENTS + d->count, SAMPLES, 0.9, outputs, &found, NULL);
	cr_assert(status >= 0, "%s", jw_status_name(status));
	return found;
}

/* Ratios of first order over sampling. */
typedef struct tally {
	double least, greatest, logs;
	int points;
} tally;

static void compare(const jw_profile *profile, const char *name, double least, double greatest, tally *sum)
{
	const jw_air air = mild_air();
	const jw_setup *setup = jw_profile_setup(profile);
	jw_setup stated = *setup;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double weight[JW_UNMEASURED], relative = 0;
		drawn d = {&stated, &air, &setup->range[r], NULL, {0}, 0};
		d.unmeasured = jw_profile_unmeasured(profile, &d.count);
		/* The coefficients' own uncertainty, which the set-up widens where dimensions are not measured. */
		if (d.count)
			stated.uncertainty = (jw_coefficients){0.05, 0.05, 0.05, 0.05};
		cr_assert(jw_profile_contributions(profile, &air, d.point, weight, &relative, NULL) >= 0);
		order_by(&d, weight);
		jw_sampling found = sampled(&d);
		double spread = (found.high - found.low) / (2 * 1.644854);
		printf("  %-22s %-14s first order %.3f, sampled %.3f, from its 90 %% interval %.3f, %4.1f %% left out\n", name,
		       jw_range_name((jw_range)r), relative, found.deviation, spread, 100.0 * found.left_out / SAMPLES);
		double ratio = relative / spread;
		cr_expect(ratio > least && ratio < greatest, "%s %s: %g against %g", name, jw_range_name((jw_range)r), relative,
		          spread);
		sum->least = fmin(sum->least, ratio);
		sum->greatest = fmax(sum->greatest, ratio);
		sum->logs += log(ratio) * log(ratio);
		sum->points++;
	}
}

static void compare_folder(const char *folder, double least, double greatest, double rms_most)
{
	char path[512];
	tally sum = {INFINITY, 0, 0, 0};
	snprintf(path, sizeof path, "%s/profiles/%s", JW_SOURCE_DIR, folder);
	DIR *entries = opendir(path);
	cr_assert(entries, "%s", path);
	for (struct dirent *entry; (entry = readdir(entries));) {
		jw_profile *profile = NULL;
		jw_faults faults;
		if (!strstr(entry->d_name, ".yaml"))
			continue;
		snprintf(path, sizeof path, "%s/profiles/%s/%s", JW_SOURCE_DIR, folder, entry->d_name);
		cr_assert(jw_profile_load(path, NULL, &profile, &faults) >= 0, "%s", path);
		compare(profile, entry->d_name, least, greatest, &sum);
		jw_profile_free(profile);
	}
	closedir(entries);
	cr_assert(sum.points >= 5 * JW_RANGE_COUNT);
	double rms = sqrt(sum.logs / sum.points);
	cr_expect(rms < rms_most, "%s: %g", folder, rms);
	printf("%s: first order over sampling %.2f to %.2f, rms of its logarithm %.3f, at %d points\n", folder, sum.least,
	       sum.greatest, rms, sum.points);
}

Test(uncertainty, of_coefficients_agrees_with_sampling)
{
	compare_folder("engines", 0.8, 1.2, 0.05);
}

Test(uncertainty, of_unmeasured_dimensions_agrees_with_sampling)
{
	compare_folder("classes", 0.65, 1.6, 0.15);
}
