/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Counts allocations of the whole process by standing before the C library's; include it in one file of a program.
 * Under a sanitizer, which does the same, nothing is counted. */
#ifndef JW_TESTS_ALLOCATIONS_H
#define JW_TESTS_ALLOCATIONS_H

#include <stddef.h>

static _Atomic long jw_allocations;

#ifndef JW_SANITIZED
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *block, size_t size);

void *malloc(size_t size)
{
	jw_allocations++;
	return __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
	jw_allocations++;
	return __libc_calloc(count, size);
}

void *realloc(void *block, size_t size)
{
	jw_allocations++;
	return __libc_realloc(block, size);
}
#endif

#endif
