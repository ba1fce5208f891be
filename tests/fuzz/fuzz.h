/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every fuzzer of a loader demands. */
#ifndef JW_FUZZ_H
#define JW_FUZZ_H

#ifndef _GNU_SOURCE
#define _GNU_SOURCE /* memfd_create */
#endif

#include <jetwright/profile.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#define LIBRARY JW_SOURCE_DIR "/profiles"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define require(holds)                                                                                                 \
	do {                                                                                                               \
		if (!(holds)) {                                                                                                \
			fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #holds);                                 \
			abort();                                                                                                   \
		}                                                                                                              \
	} while (0)

/* The faults stand in order, are whole texts, and are there if and only if loading failed. */
static inline void check_faults(jw_status status, const jw_faults *faults)
{
	require((status < 0) == (faults->count > 0));
	for (int i = 0; i < faults->count; i++) {
		const jw_fault *f = &faults->item[i];
		require(memchr(f->path, 0, sizeof f->path) && memchr(f->message, 0, sizeof f->message) && *f->message);
		require(!i || f[-1].line < f->line || (f[-1].line == f->line && f[-1].column <= f->column));
	}
}

/* Loads the bytes as a file. */
static inline void with_file(const uint8_t *data, size_t size, void (*load)(const char *path))
{
	char path[32];
	int file = memfd_create("input", 0);
	require(file >= 0 && write(file, data, size) == (ssize_t)size);
	snprintf(path, sizeof path, "/proc/self/fd/%d", file);
	load(path);
	close(file);
}

#endif
