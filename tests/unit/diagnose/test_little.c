/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Little knowledge: displacement, kind of carburetor and two jets, the rest left to a class; or the class alone. */
#include "computed.h"
#include "diagnose/right.h"
#include <string.h>

/* Size is told wider than with the profile, but by the trail motorcycle's class, which feels its faults more. */
static const struct {
	const char *engine, *class;
	double least_wider; /* ln of the ratio, mean of its faults */
} known_by[] = {{"courier-150", "scooter-125", 0}, {"trail-250", "single-250", -0.05}, {"pump-200", "utility-160", 0},
                {"twin-480", "twin-500", 0},       {"moped-50", "moped-50", 0},        {"estate-1100", "car-1200", 0}};
enum { KNOWN_BY = sizeof known_by / sizeof *known_by };

static jw_setup loaded(const char *path)
{
	jw_profile *profile = NULL;
	jw_faults faults;
	jw_status status = jw_profile_load(path, JW_SOURCE_DIR "/profiles", &profile, &faults);
	cr_assert(status >= 0, "%s: %s", path, faults.item[0].message);
	jw_setup setup = *jw_profile_setup(profile);
	jw_profile_free(profile);
	return setup;
}

/* What a parts list tells of an engine. */
static jw_setup by_its_parts_list(int engine, const jw_setup *own)
{
	char text[512];
	jw_case_file *file = NULL;
	jw_faults wrong;
	snprintf(text, sizeof text,
	         "case: 1\nabout: A parts list.\nclass: %s\ndisplacement: %.1f cm3\nmain_jet: %.3f mm\npilot_jet: %.3f mm\n"
	         "evidence: [{seen: idles_well}]\n",
	         known_by[engine].class, jw_displacement(&own->engine) * 1e6,
	         own->carburetor.main.fuel_jet.diameter_m * 1e3, own->carburetor.pilot.fuel_jet.diameter_m * 1e3);
	jw_status status = jw_case_parse(text, JW_SOURCE_DIR "/profiles", &file, &wrong);
	cr_assert(status >= 0, "%s: %s", text, wrong.item[0].message);
	cr_expect_null(jw_case_class(file));
	jw_setup setup = *jw_profile_setup(jw_case_profile(file));
	jw_case_free(file);
	cr_expect(fabs(jw_displacement(&setup.engine) / jw_displacement(&own->engine) - 1) < 1e-3);
	cr_expect(fabs(setup.carburetor.pilot.fuel_jet.diameter_m / own->carburetor.pilot.fuel_jet.diameter_m - 1) < 0.01);
	return setup;
}

static jw_setup by_class(int engine)
{
	char path[256];
	snprintf(path, sizeof path, "%s/profiles/classes/%s.yaml", JW_SOURCE_DIR, known_by[engine].class);
	return loaded(path);
}

static const computed_fault faults[] = {
    {"pilot_jet_restricted", 0.6}, {"main_jet_restricted", 0.5}, {"air_leak", 0.4},
    {"float_level_low", 0.8},      {"main_jet_too_large", 0.7},  {"air_filter_blocked", 0.8}};
enum { FAULTS = sizeof faults / sizeof *faults };

static double width(const jw_report *report, int place)
{
	const jw_interval *severity = &jw_report_finding(report, place)->severity;
	return severity->high_90 - severity->low_90;
}

/* Of each engine, by how much wider severity is told than with its profile, as ln of the ratio, and the cases. */
typedef struct widening {
	double sum;
	int cases;
} widening;

static void compare(const char *engine, const computed_fault *fault, const jw_case *known, double sure,
                    const jw_setup *little, widening *wider)
{
	jw_report *vague = explained(little, known);
	int place = place_of(vague, fault->id);
	cr_expect(place >= 0 && place < 3, "%s, %s: place %d", engine, fault->id, place);
	wider->sum += log(width(vague, place) / sure);
	wider->cases++;
	jw_report_free(vague);
}

static double width_known(const jw_setup *own, const computed_fault *fault, const jw_case *known)
{
	jw_report *full = explained(own, known);
	double sure = width(full, place_of(full, fault->id));
	jw_report_free(full);
	return sure;
}

/* By its parts list, and by its class alone. */
enum { LITTLES = 2 };

static double widened(int e, const jw_setup *own, const jw_setup little[LITTLES])
{
	const char *engine = known_by[e].engine;
	widening wider[LITTLES] = {{0, 0}};
	double sum = 0;
	for (int f = 0; f < FAULTS; f++) {
		jw_case known = computed_case(own, &faults[f], 1);
		if (!troubles_of(&known))
			continue;
		const double sure = width_known(own, &faults[f], &known);
		for (int k = 0; k < LITTLES; k++)
			compare(engine, &faults[f], &known, sure, &little[k], &wider[k]);
	}
	for (int k = 0; k < LITTLES; k++) {
		const double mean = wider[k].sum / wider[k].cases;
		cr_expect(wider[k].cases >= 3, "%s: %d", engine, wider[k].cases);
		cr_expect(mean > known_by[e].least_wider, "%s: %g", engine, mean);
		sum += mean;
	}
	return sum;
}

/* The right cause stays among the first three; its size is told wider, over all of them. */
Test(little, keeps_the_cause_and_widens_its_size)
{
	double wider = 0;
	for (int e = 0; e < KNOWN_BY; e++) {
		const jw_setup own = bundled(known_by[e].engine);
		const jw_setup little[LITTLES] = {by_its_parts_list(e, &own), by_class(e)};
		wider += widened(e, &own, little);
	}
	cr_expect(wider / (LITTLES * KNOWN_BY) > 0.05, "%g", wider / (LITTLES * KNOWN_BY));
}

/* An engine that ran right did so within the mixtures that such an engine takes, whatever its class makes of its jets.
 */
Test(little, ran_right)
{
	jw_air air = mild_air();
	for (int e = 0; e < KNOWN_BY; e++) {
		jw_setup own = bundled(known_by[e].engine), list = by_its_parts_list(e, &own);
		list.carburetor.main.fuel_jet.diameter_m *= 0.85;
		jw_setup right;
		cr_assert_eq(jw_ran_right(&list, &right, NULL), JW_OK);
		for (jw_range r = 0; r < JW_RANGE_COUNT; r++) {
			double apart = log(1 / phi_at(&right, &air, r) / jw_wanted(r, JW_WANT_BEST).lambda);
			cr_expect(fabs(apart) < 2 * 0.11, "%s, %s: %g", known_by[e].engine, jw_range_name(r), apart);
		}
		cr_expect(right.uncertainty.main <= 0.08 && right.uncertainty.pilot <= 0.08);
	}
}

/* What a baseline or readings told goes before that. */
Test(little, leaves_a_known_engine_alone)
{
	for (int e = 0; e < KNOWN_BY; e++) {
		jw_setup own = bundled(known_by[e].engine), right;
		cr_assert_eq(jw_ran_right(&own, &right, NULL), JW_OK);
		cr_expect(memcmp(&own.coefficient, &right.coefficient, sizeof own.coefficient) == 0);
		cr_expect(memcmp(&own.uncertainty, &right.uncertainty, sizeof own.uncertainty) == 0);
	}
}
