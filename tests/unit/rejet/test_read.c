/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What lambda readings on the changed engine leave of the doubt. */
#include "bundled.h"
#include "rejetted.h"

#include <math.h>

/* An engine of which a class states most, so that many of its dimensions are unmeasured. */
typedef struct known {
	jw_profile *profile;
	jw_air air;
	jw_reading reading[3];
	jw_rejet_request request;
} known;

static void open_class(known *k)
{
	jw_faults faults;
	*k = (known){.air = mild_air()};
	cr_assert(jw_profile_load(JW_SOURCE_DIR "/profiles/classes/single-250.yaml", JW_SOURCE_DIR "/profiles", &k->profile,
	                          &faults) >= 0);
	k->request = (jw_rejet_request){.setup = jw_profile_setup(k->profile), .air = &k->air};
}

static const jw_range read_at[] = {JW_IDLE, JW_HALF, JW_FULL};

/* Lambda that the engine foretells, times `off`, to a standard uncertainty that is a share of it. */
static void read_lambda(known *k, double off, double relative)
{
	const jw_setup *s = k->request.setup;
	for (int i = 0; i < 3; i++) {
		const double lambda = off / phi_at(s, &k->air, read_at[i]);
		k->reading[i] = (jw_reading){.kind = JW_READING_LAMBDA,
		                             .air = k->air,
		                             .point = s->range[read_at[i]],
		                             .value = lambda,
		                             .uncertainty = relative * lambda};
	}
	k->request.reading = k->reading;
	k->request.readings = 3;
}

/* Independent doubts add by their squares (JCGM 100, 5.1.2): what unmeasured dimensions do comes on top of what the fit
 * leaves. */
Test(read, doubt_of_what_is_unmeasured_stays)
{
	known k;
	open_class(&k);
	read_lambda(&k, 1, 0.02);
	const jw_rejet_answer without = rejetted(&k.request);
	k.request.unmeasured = jw_profile_unmeasured(k.profile, &k.request.unmeasureds);
	cr_assert(k.request.unmeasureds > 20);
	const jw_rejet_answer with = rejetted(&k.request);
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		double contribution[JW_UNMEASURED], all, variance = 0;
		cr_assert(jw_mixture_contributions(&with.setup, &k.air, &with.setup.range[r], k.request.unmeasured,
		                                   k.request.unmeasureds, &k.air, contribution, &all, NULL) >= 0);
		for (int i = 0; i < k.request.unmeasureds; i++)
			variance += contribution[i] * contribution[i];
		const int is_read = r == JW_IDLE || r == JW_HALF || r == JW_FULL;
		cr_expect(is_read ? variance < 1e-20 : variance > 1e-7, "%s: %g", jw_range_name((jw_range)r), variance);
		JW_NEAR_REL(with.range[r].relative_after * with.range[r].relative_after,
		            without.range[r].relative_after * without.range[r].relative_after + variance, 1e-9);
		cr_expect_eq(with.range[r].relative_change, with.range[r].relative_after);
	}
	jw_profile_free(k.profile);
}

/* Readings so vague that they tell nothing leave what was known before, widened by the doubt of the changes: each
 * coefficient where it is anchored, main at full throttle, needle at half, pilot at idle. */
Test(read, readings_that_tell_nothing_leave_the_doubt_of_the_change)
{
	static const char *const engines[] = {"trail-250", "estate-1100"};
	for (size_t e = 0; e < 2; e++) {
		const jw_setup s = bundled(engines[e]);
		known k = {.air = mild_air()};
		const jw_rejet_change change = {.kind = JW_REJET_BORE, .value = 1.08 * s.engine.bore_m};
		k.request = (jw_rejet_request){.setup = &s, .air = &k.air, .change = &change, .changes = 1, .anchored = 1};
		const jw_rejet_answer before = rejetted(&k.request);
		read_lambda(&k, 1, 1000);
		const jw_rejet_answer after = rejetted(&k.request);
		const jw_coefficients *u = &s.uncertainty;
		const double full = before.range[JW_FULL].relative_change, half = before.range[JW_HALF].relative_change,
		             idle = before.range[JW_IDLE].relative_change;
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			jw_coefficients slope;
			cr_assert(jw_mixture_sensitivity(&after.setup, &after.air, &s.range[r], &slope, NULL) >= 0);
			const double wanted =
			    hypot(hypot(slope.air * u->air, slope.main * hypot(u->main, full)),
			          hypot(slope.needle * hypot(u->needle, half), slope.pilot * hypot(u->pilot, idle)));
			JW_NEAR_REL(after.range[r].relative_after, wanted, 1e-3);
			JW_NEAR_ABS(after.range[r].by_readings, 0, 1e-5);
			JW_NEAR_REL(after.range[r].relative_foretold, before.range[r].relative_after, 1e-12);
		}
	}
}

/* Fine ones are believed: lambda comes out as read, within what was read, and the verdict follows it. */
Test(read, fine_readings_are_believed)
{
	known k;
	open_class(&k);
	const jw_rejet_answer foretold = rejetted(&k.request);
	static const double off[] = {1.06, 0.95};
	for (int n = 0; n < 2; n++) {
		read_lambda(&k, off[n], 0.005);
		const jw_rejet_answer a = rejetted(&k.request);
		for (int i = 0; i < 3; i++) {
			const jw_rejet_range *there = &a.range[read_at[i]], *then = &foretold.range[read_at[i]];
			JW_NEAR_ABS(log(there->after.phi * k.reading[i].value), 0, 0.005);
			JW_NEAR_ABS(there->by_readings, log(there->after.phi / then->after.phi), 1e-12);
			cr_expect(there->relative_after > 0.002 && there->relative_after < 0.0051, "%g", there->relative_after);
			cr_expect_gt(there->relative_foretold, 4 * there->relative_after);
			JW_NEAR_REL(there->before.phi, then->before.phi, 1e-12);
		}
		/* Off 1: leaner at full throttle than it should ever be. */
		const double margin = 1 / a.range[JW_FULL].after.phi - jw_rejet_danger_lambda(JW_FULL);
		cr_expect_eq(a.range[JW_FULL].becomes == JW_REJET_DANGEROUS, margin > 0, "lambda is over by %g", margin);
	}
	jw_profile_free(k.profile);
}

/* Three that agree; then that at half throttle slips. */
Test(read, names_the_reading_that_stands_apart)
{
	known k;
	open_class(&k);
	read_lambda(&k, 1, 0.02);
	cr_expect_lt(rejetted(&k.request).worst_apart, JW_READING_DISAGREES);
	k.reading[1].value *= 1.6;
	jw_fit fit;
	jw_fit_reading each[3];
	cr_assert(jw_fit_readings(k.request.setup, k.reading, 3, &fit, each, NULL) >= 0);
	JW_NEAR_REL(fit.worst_apart, fabs(each[fit.worst].apart), 1e-12);
	const jw_rejet_answer a = rejetted(&k.request);
	cr_expect_eq(a.worst_reading, 1);
	cr_expect_gt(a.worst_apart, JW_READING_DISAGREES);
	k.request.readings = 0;
	cr_expect_eq(rejetted(&k.request).worst_reading, -1);
	jw_profile_free(k.profile);
}
