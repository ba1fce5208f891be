/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as a profile in which numbers change: what is written reads back as the set-up, or nothing is written. */
#include "bytes.h"

static char folder[] = "/tmp/fuzz_rewrite.XXXXXX";
static char target[64];
static const uint8_t *changes;
static size_t changes_size;

int LLVMFuzzerInitialize(int *count, char ***arguments);

static void tidy(void)
{
	unlink(target);
	rmdir(folder);
}

int LLVMFuzzerInitialize(int *count, char ***arguments)
{
	(void)count, (void)arguments;
	require(mkdtemp(folder) != NULL);
	snprintf(target, sizeof target, "%s/x.yaml", folder);
	return atexit(tidy);
}

static void rewrite(const char *path)
{
	jw_faults faults;
	jw_profile *profile = NULL, *back = NULL;
	if (jw_profile_load(path, LIBRARY, &profile, &faults) < 0)
		return;
	bytes b = {changes, changes + changes_size};
	jw_setup setup = *jw_profile_setup(profile);
	setup.coefficient.main = 0.5 + take_share(&b);
	setup.carburetor.main.fuel_jet.diameter_m = 0.6e-3 + 1e-3 * take_share(&b);
	setup.carburetor.bowl.level_error_m = 4e-3 * (take_share(&b) - 0.5);
	unlink(target);
	if (jw_profile_write(path, LIBRARY, &setup, target, &faults) >= 0) {
		require(jw_profile_load(target, LIBRARY, &back, &faults) >= 0);
		const double wanted = setup.carburetor.main.fuel_jet.diameter_m;
		require(fabs(jw_profile_setup(back)->carburetor.main.fuel_jet.diameter_m - wanted) < 1e-5 * wanted);
	} else {
		require(access(target, F_OK) != 0);
	}
	jw_profile_free(profile);
	jw_profile_free(back);
}

/* The last six bytes change numbers, what stands before them is the file. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	changes_size = size < 6 ? 0 : 6;
	changes = data + size - changes_size;
	with_file(data, size - changes_size, rewrite);
	return 0;
}
