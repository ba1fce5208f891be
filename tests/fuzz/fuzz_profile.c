/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any bytes as an engine, a fuel and a case: no crash, and a status that agrees with the faults. */
#define _GNU_SOURCE /* memfd_create */
#include <jetwright/profile.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#define LIBRARY JW_SOURCE_DIR "/profiles"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void require(int holds)
{
	if (!holds)
		abort();
}

/* The faults stand in order, are whole texts, and are there if and only if loading failed. */
static void check(jw_status status, const jw_faults *faults)
{
	require((status < 0) == (faults->count > 0));
	for (int i = 0; i < faults->count; i++) {
		const jw_fault *f = &faults->item[i];
		require(memchr(f->path, 0, sizeof f->path) && memchr(f->message, 0, sizeof f->message) && *f->message);
		require(!i || f[-1].line < f->line || (f[-1].line == f->line && f[-1].column <= f->column));
	}
}

static void load(const char *path)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	check(jw_profile_load(path, LIBRARY, &profile, &faults), &faults);
	jw_profile_free(profile);

	jw_fuel fuel;
	char about[64];
	check(jw_fuel_load(path, &fuel, about, sizeof about, &faults), &faults);

	jw_case_file *file = NULL;
	check(jw_case_load(path, LIBRARY, &file, &faults), &faults);
	jw_case_free(file);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	char path[32];
	int file = memfd_create("profile", 0);
	require(file >= 0 && write(file, data, size) == (ssize_t)size);
	snprintf(path, sizeof path, "/proc/self/fd/%d", file);
	load(path);
	close(file);
	return 0;
}
