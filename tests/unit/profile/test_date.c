/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dates against those of Python's datetime, and there and back. */
#include "near.h"
#include <jetwright/profile.h>

static const struct {
	const char *text;
	int day;
} days[] = {{"1970-01-01", 0},     {"1969-12-31", -1},     {"2000-02-29", 11016},
            {"2026-04-18", 20561}, {"1900-01-01", -25567}, {"2999-12-31", 376199}};

Test(date, is_read_and_written)
{
	for (size_t i = 0; i < sizeof days / sizeof *days; i++) {
		char text[JW_DATE_SIZE];
		int day = 12345;
		cr_assert_eq(jw_date_parse(days[i].text, &day), JW_OK, "%s", days[i].text);
		cr_expect_eq(day, days[i].day, "%s: %d", days[i].text, day);
		jw_date_write(day, text);
		cr_expect_str_eq(text, days[i].text);
	}
	for (int day = -25567; day <= 376199; day += 13) {
		char text[JW_DATE_SIZE];
		int back = 0;
		jw_date_write(day, text);
		cr_assert(jw_date_parse(text, &back) == JW_OK && back == day, "%d: %s", day, text);
	}
}

Test(date, refuses_what_is_none)
{
	static const char *const bad[] = {"",           "2026-4-18",  "2026-04-18 ", "18.04.2026", "2026-13-01",
	                                  "2026-00-10", "2026-02-29", "1900-02-29",  "2026-04-31", "1899-12-31",
	                                  "3000-01-01", "2026/04/18", "2026-04-00",  "2026-04-1x"};
	int day = 7;
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
		cr_expect_eq(jw_date_parse(bad[i], &day), JW_E_SYNTAX, "%s", bad[i]);
	cr_expect_eq(day, 7);
	cr_expect_eq(jw_date_parse(NULL, &day), JW_E_ARGUMENT);
	cr_expect_eq(jw_date_parse("2026-04-18", NULL), JW_E_ARGUMENT);
	char text[JW_DATE_SIZE] = "x";
	jw_date_write(JW_DAY_UNKNOWN, text);
	cr_expect_str_eq(text, "");
	text[0] = 'x';
	jw_date_write(376200, text); /* 3000-01-01 */
	cr_expect_str_eq(text, "");
}
