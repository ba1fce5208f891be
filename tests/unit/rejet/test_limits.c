/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How far a change may go: as the header says, and no further. */
#include "limits.h"
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
		const jw_rejet_limits taken = jw_rejet_limits_of(ranged[i].kind), stated = stated_of(ranged[i].enumerator);
		cr_expect(taken.low == stated.low && taken.high == stated.high, "%s: %g..%g, stated %g..%g",
		          ranged[i].enumerator, taken.low, taken.high, stated.low, stated.high);
		const double beyond = 1e-9 * (taken.high - taken.low);
		cr_expect_eq(check(&s, ranged[i].kind, taken.low), JW_OK, "%s", ranged[i].enumerator);
		cr_expect_eq(check(&s, ranged[i].kind, taken.high), JW_OK, "%s", ranged[i].enumerator);
		cr_expect_eq(check(&s, ranged[i].kind, taken.low - beyond), JW_E_RANGE, "%s", ranged[i].enumerator);
		cr_expect_eq(check(&s, ranged[i].kind, taken.high + beyond), JW_E_RANGE, "%s", ranged[i].enumerator);
	}
}

Test(limits, of_how_many_and_which)
{
	const jw_setup s = bundled("courier-150");
	const jw_rejet_change none = {.kind = JW_REJET_KIND_COUNT}, wider = {.kind = JW_REJET_BORE, .value = 60e-3};
	const jw_rejet_change twice[] = {wider, wider};
	const jw_rejet_limits bores = jw_rejet_limits_of(JW_REJET_BORE);
	JW_REFUSED(jw_rejet_check(&none, 1, &s, &error), JW_E_ARGUMENT, "change", JW_REJET_KIND_COUNT, 0,
	           JW_REJET_KIND_COUNT - 1);
	JW_REFUSED(jw_rejet_check(twice, 2, &s, &error), JW_E_ARGUMENT, "bore", 60e-3, bores.low, bores.high);
	JW_REFUSED(jw_rejet_check(&wider, -1, &s, &error), JW_E_RANGE, "changes", -1, 0, JW_REJET_CHANGES);
}

Test(limits, of_a_road_and_of_places)
{
	const jw_setup s = bundled("courier-150");
	const jw_air air = mild_air();
	const jw_rejet_request request = {.setup = &s, .air = &air, .grooves = {5, 3, 1e-3}};
	jw_air place[JW_REJET_PLACES + 1];
	static jw_rejet_plan road;
	static jw_rejet_visits visits;
	for (int i = 0; i <= JW_REJET_PLACES; i++)
		place[i] = air;
	JW_REFUSED(jw_rejet_plan_over(&request, -1001, 0, &road, &error), JW_E_RANGE, "altitude", -1001, -1000, 0);
	JW_REFUSED(jw_rejet_plan_over(&request, 500, 500, &road, &error), JW_E_RANGE, "altitude", 500, -1000, 500);
	JW_REFUSED(jw_rejet_plan_over(&request, 0, 5001, &road, &error), JW_E_RANGE, "altitude", 5001, 0, 5000);
	JW_REFUSED(jw_rejet_plan_for(&request, place, 0, &visits, &error), JW_E_RANGE, "places", 0, 1, JW_REJET_PLACES);
	JW_REFUSED(jw_rejet_plan_for(&request, place, JW_REJET_PLACES + 1, &visits, &error), JW_E_RANGE, "places",
	           JW_REJET_PLACES + 1, 1, JW_REJET_PLACES);
}
