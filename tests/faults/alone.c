/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Criterion's tests, one after the other in this one process, for tools that do not see into its many: linked in place
 * of its library. The words behind the program's name are the tests to run, "suite/name", or to leave out,
 * "-suite/name". */
#include <criterion/criterion.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The linker's names for where Criterion's macros put tests and suites. */
extern struct criterion_test *const __start_cr_tst[], *const __stop_cr_tst[];
extern struct criterion_suite *const __start_cr_sts[] __attribute__((weak)), *const __stop_cr_sts[]
    __attribute__((weak));

struct criterion_options criterion_options;

static jmp_buf next_test;
static int failures;

void criterion_internal_test_setup(void)
{
}

void criterion_internal_test_main(void (*test)(void))
{
	test();
}

void criterion_internal_test_teardown(void)
{
}

void cri_asserts_passed_incr(void)
{
}

void criterion_continue_test(void)
{
}

void criterion_abort_test(void)
{
	longjmp(next_test, 1);
}

void criterion_send_assert(struct criterion_assert_stats *stats)
{
	if (stats->passed)
		return;
	failures++;
	printf("%s:%u: %s\n", stats->file, stats->line, stats->message);
}

char *cr_translate_assert_msg(int which, ...)
{
	(void)which;
	return strdup("does not hold");
}

int cr_asprintf(char **text, const char *format, ...)
{
	va_list values;
	va_start(values, format);
	int length = vasprintf(text, format, values);
	va_end(values);
	return length;
}

void cr_asprintf_free(char *text)
{
	free(text);
}

void cr_log(enum criterion_severity severity, const char *format, ...)
{
	(void)severity, (void)format;
}

static const struct criterion_test_extra_data *suite_of(const struct criterion_test *test)
{
	static const struct criterion_test_extra_data none;
	for (struct criterion_suite *const *s = __start_cr_sts; s < __stop_cr_sts; s++)
		if (*s && (*s)->data && !strcmp((*s)->name, test->category))
			return (*s)->data;
	return &none;
}

/* All but those left out, or only those named. */
static int wanted(const struct criterion_test *test, char **words)
{
	char name[256];
	int only = 0;
	snprintf(name, sizeof name, "-%s/%s", test->category, test->name);
	for (; *words; words++) {
		if (!strcmp(*words, name))
			return 0;
		if (!strcmp(*words, name + 1))
			return 1;
		only |= **words != '-';
	}
	return !only;
}

static void call(void (*fixture)(void))
{
	if (fixture)
		fixture();
}

static void run(const struct criterion_test *test, const struct criterion_test_extra_data *suite)
{
	call(suite->init);
	call(test->data->init);
	if (!setjmp(next_test))
		test->test();
	call(test->data->fini);
	call(suite->fini);
}

int main(int count, char **words)
{
	int done = 0;
	(void)count;
	for (struct criterion_test *const *t = __start_cr_tst; t < __stop_cr_tst; t++)
		if (*t && wanted(*t, words + 1)) {
			run(*t, suite_of(*t));
			done++;
		}
	printf("%d tests, %d failures\n", done, failures);
	return !done || failures;
}
