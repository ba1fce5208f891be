/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every allocation in turn fails: the status says so and nothing is left behind.
 * Stands before the C library's allocator; under a sanitizer, which does the same, there is nothing to fail. */
#include <criterion/criterion.h>
#include <jetwright/profile.h>

#ifndef JW_SANITIZED

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *block, size_t size);
void __libc_free(void *block);

/* Of the thread that runs the test: the runner has threads of its own. */
static _Thread_local int armed;
static _Thread_local long left, live;

static int refused(void)
{
	return armed && left-- <= 0;
}

static void *counted(void *block)
{
	live += armed && block;
	return block;
}

void *malloc(size_t size)
{
	return refused() ? NULL : counted(__libc_malloc(size));
}

void *calloc(size_t count, size_t size)
{
	return refused() ? NULL : counted(__libc_calloc(count, size));
}

void *realloc(void *block, size_t size)
{
	if (refused())
		return NULL;
	return block ? __libc_realloc(block, size) : counted(__libc_malloc(size));
}

void free(void *block)
{
	live -= armed && block;
	__libc_free(block);
}

/* Loads and frees with room for so many allocations. */
static jw_status load(long room, jw_faults *faults)
{
	jw_case_file *file = NULL;
	armed = 1;
	left = room;
	live = 0;
	jw_status status =
	    jw_case_load(JW_SOURCE_DIR "/profiles/cases/open-filter-fitted.yaml", JW_SOURCE_DIR "/profiles", &file, faults);
	jw_case_free(file);
	armed = 0;
	return status;
}

Test(memory, every_failure_is_told_and_leaves_nothing)
{
	jw_faults faults;
	long room = 0;
	jw_status status;
	for (; (status = load(room, &faults)) == JW_E_MEMORY; room++) {
		cr_expect_eq(live, 0, "room for %ld: %ld blocks left", room, live);
		cr_assert(room < 100000);
	}
	cr_expect_eq(status, JW_OK, "room for %ld: %d %s", room, status, faults.item[0].message);
	cr_expect_eq(live, 0, "%ld blocks left", live);
	cr_expect_gt(room, 300, "three files take many allocations, these took %ld", room);
}

#endif
