/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"
#include "near.h"
#include <string.h>

Test(status, numbers_are_stable_and_named)
{
	cr_expect_eq(JW_E_ARGUMENT, -1);
	cr_expect_eq(JW_E_BASELINE, -40);
	cr_expect_eq(JW_W_CAPACITY, 1024);
	cr_expect_eq(JW_W_DISAGREE, 2048);
	cr_expect_str_eq(jw_status_name(JW_W_CHOKED), "JW_W_CHOKED");
	cr_expect_str_eq(jw_status_text(JW_OK), "fine");
	cr_expect_str_eq(jw_status_text(-9999), "unknown status");
	cr_expect_str_eq(jw_status_name(JW_W_CHOKED | JW_W_NO_FUEL), "unknown status");
}

Test(status, errors_are_negative_and_warnings_single_bits)
{
	static const jw_status errors[] = {
#define JW_X(name, value, text) name,
	    JW_ERROR_LIST(JW_X)};
	static const jw_status warnings[] = {JW_WARNING_LIST(JW_X)};
#undef JW_X
	for (size_t i = 0; i < sizeof errors / sizeof *errors; i++)
		cr_expect(errors[i] < 0 && (i == 0 || errors[i] < errors[i - 1]), "row %zu", i);
	for (size_t i = 0; i < sizeof warnings / sizeof *warnings; i++)
		cr_expect_eq(warnings[i], 1 << i, "row %zu", i);
}

Test(status, a_failed_check_fills_the_record)
{
	jw_error error = {0};
	cr_expect_eq(jw_check_range("bore", 0.0221, 0.01, 0.05, &error), JW_OK);
	cr_expect_eq(error.status, JW_OK);
	cr_expect_eq(jw_check_range("bore", 0.0721, 0.01, 0.05, &error), JW_E_RANGE);
	cr_expect_eq(error.status, JW_E_RANGE);
	cr_expect_str_eq(error.field, "bore");
	cr_expect_eq(error.value, 0.0721);
	cr_expect_eq(error.low, 0.01);
	cr_expect_eq(error.high, 0.05);
	cr_expect_eq(jw_check_range("bore", NAN, 0.01, 0.05, NULL), JW_E_NOT_FINITE);
	cr_expect_eq(jw_check_range("bore", -INFINITY, 0.01, 0.05, NULL), JW_E_NOT_FINITE);
}

/* The number stands in the build files alone. */
Test(status, version_is_that_of_the_build)
{
	cr_expect_str_eq(jw_version(), JW_VERSION);
}

Test(status, bounds_name_the_first_at_fault)
{
	const jw_bound bounds[] = {{"bore", 0.0221, 0.01, 0.05}, {"length", 0.071, 0.01, 0.05}, {"drop", NAN, 0.0, 1.0}};
	jw_error error = {0};
	cr_expect_eq(jw_check_bounds(bounds, 1, &error), JW_OK);
	cr_expect_eq(error.status, JW_OK);
	cr_expect_eq(jw_check_bounds(bounds, 3, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "length");
	cr_expect_eq(jw_check_bounds(&bounds[2], 1, NULL), JW_E_NOT_FINITE);
}
