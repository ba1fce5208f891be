/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far a change may go: as the header says, and no further. */
#include "bundled.h"
#include "rejet/change.h"
#include <string.h>

static const struct {
	jw_rejet_kind kind;
	const char *enumerator;
} ranged[] = {
    {JW_REJET_THROAT, "JW_REJET_THROAT,"},           {JW_REJET_BORE, "JW_REJET_BORE,"},
    {JW_REJET_STROKE, "JW_REJET_STROKE,"},           {JW_REJET_CYLINDERS, "JW_REJET_CYLINDERS,"},
    {JW_REJET_COMPRESSION, "JW_REJET_COMPRESSION,"}, {JW_REJET_FILLING, "JW_REJET_FILLING,"},
    {JW_REJET_FILTER, "JW_REJET_FILTER,"},           {JW_REJET_PREMIX, "JW_REJET_PREMIX,"},
    {JW_REJET_PRESSURE, "JW_REJET_PRESSURE,"},       {JW_REJET_TEMPERATURE, "JW_REJET_TEMPERATURE,"},
    {JW_REJET_HUMIDITY, "JW_REJET_HUMIDITY,"},
};

static const char *header(void)
{
	static char text[40000];
	FILE *file = fopen(JW_SOURCE_DIR "/include/jetwright/rejet.h", "r");
	cr_assert(file != NULL);
	size_t size = fread(text, 1, sizeof text - 1, file);
	fclose(file);
	cr_assert(size > 0 && size < sizeof text - 1);
	return text;
}

/* The first "low..high" behind an enumerator. */
static jw_rejet_limits stated_of(const char *enumerator)
{
	const char *at = strstr(header(), enumerator);
	cr_assert(at != NULL, "%s", enumerator);
	const char *dots = strstr(at, ".."), *low = dots;
	cr_assert(dots != NULL && dots < strstr(at, "*/"), "%s", enumerator);
	while (strchr("0123456789.e-", low[-1]))
		low--;
	return (jw_rejet_limits){strtod(low, NULL), strtod(dots + 2, NULL)};
}

static jw_status check(const jw_setup *setup, jw_rejet_kind kind, double value)
{
	jw_rejet_change change = {.kind = kind, .value = value};
	jw_error error = {0};
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		change.factor[r] = value;
	jw_status status = jw_rejet_check(&change, 1, setup, &error);
	if (status < 0)
		cr_expect_str_eq(error.field, jw_rejet_kind_name(kind));
	return status;
}

Test(limits, are_those_of_the_header)
{
	const jw_setup s = bundled("courier-150");
	for (size_t i = 0; i < sizeof ranged / sizeof *ranged; i++) {
		const jw_rejet_limits limits = jw_rejet_limits_of(ranged[i].kind), stated = stated_of(ranged[i].enumerator);
		cr_expect(limits.low == stated.low && limits.high == stated.high, "%s: %g..%g, stated %g..%g",
		          ranged[i].enumerator, limits.low, limits.high, stated.low, stated.high);
		const double beyond = 1e-9 * (limits.high - limits.low);
		cr_expect_eq(check(&s, ranged[i].kind, limits.low), JW_OK, "%s", ranged[i].enumerator);
		cr_expect_eq(check(&s, ranged[i].kind, limits.high), JW_OK, "%s", ranged[i].enumerator);
		cr_expect_eq(check(&s, ranged[i].kind, limits.low - beyond), JW_E_RANGE, "%s", ranged[i].enumerator);
		cr_expect_eq(check(&s, ranged[i].kind, limits.high + beyond), JW_E_RANGE, "%s", ranged[i].enumerator);
	}
}
