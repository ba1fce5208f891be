/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as an engine, a fuel, a set of jets and a case: no crash, and a status that agrees with the faults. */
#include "fuzz.h"

static void load(const char *path)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	check_faults(jw_profile_load(path, LIBRARY, &profile, &faults), &faults);
	jw_profile_free(profile);

	jw_fuel fuel;
	char about[64];
	check_faults(jw_fuel_load(path, &fuel, about, sizeof about, &faults), &faults);

	jw_jet_set set;
	check_faults(jw_jets_load(path, LIBRARY, &set, about, sizeof about, &faults), &faults);

	jw_case_file *file = NULL;
	check_faults(jw_case_load(path, LIBRARY, &file, &faults), &faults);
	jw_case_free(file);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	with_file(data, size, load);
	return 0;
}
