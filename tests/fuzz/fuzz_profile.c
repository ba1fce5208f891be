/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as an engine, a fuel, a set of jets and a case: no crash, and a status that agrees with the faults. */
#include "fuzz.h"

#include <math.h>

enum { FEW = 8 };

static void ask(const jw_profile *profile)
{
	int count;
	double relative, contribution[FEW];
	const jw_setup *setup = jw_profile_setup(profile);
	const jw_baseline *baseline = jw_profile_baseline(profile);
	jw_air air;
	require(jw_profile_name(profile) && jw_profile_about(profile) && jw_profile_fuel(profile));
	require(!jw_profile_based_on(profile) || *jw_profile_based_on(profile));
	require(!jw_profile_calibration(profile) || baseline);
	require(jw_profile_unmeasured(profile, &count) && count >= 0 && count <= JW_UNMEASURED);
	require(jw_setup_check(setup, NULL) >= 0 && jw_air_from_humidity(98e3, 293.15, 0.5, &air, NULL) >= 0);
	if (count > FEW)
		return; /* each takes a few points */
	if (jw_profile_contributions(profile, &air, &setup->range[JW_HALF], contribution, &relative, NULL) >= 0)
		require(isfinite(relative) && relative >= 0);
}

static void ask_case(const jw_case_file *file)
{
	const jw_case *known = jw_case_evidence(file);
	const jw_log *log = jw_case_log(file);
	require(known->evidences >= 0 && known->evidences <= JW_EVIDENCE_MAX);
	require(log->visits >= 1 && log->visits <= JW_VISITS_MOST);
	require(jw_case_profile(file) && jw_case_about(file) && (!jw_case_class(file) || *jw_case_class(file)));
}

static void load(const char *path)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	check_faults(jw_profile_load(path, LIBRARY, &profile, &faults), &faults);
	if (profile)
		ask(profile);
	jw_profile_free(profile);

	jw_fuel fuel;
	char about[64];
	check_faults(jw_fuel_load(path, &fuel, about, sizeof about, &faults), &faults);

	jw_jet_set set;
	check_faults(jw_jets_load(path, LIBRARY, &set, about, sizeof about, &faults), &faults);

	jw_case_file *file = NULL;
	check_faults(jw_case_load(path, LIBRARY, &file, &faults), &faults);
	if (file)
		ask_case(file);
	jw_case_free(file);
}

/* The same text as a case, but from memory. */
static void parse(const uint8_t *data, size_t size)
{
	char text[2048];
	jw_faults faults;
	jw_case_file *file = NULL;
	if (size >= sizeof text || memchr(data, 0, size))
		return;
	memcpy(text, data, size);
	text[size] = '\0';
	check_faults(jw_case_parse(text, LIBRARY, &file, &faults), &faults);
	jw_case_free(file);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	parse(data, size);
	with_file(data, size, load);
	return 0;
}
