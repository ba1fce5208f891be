/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/profile.h>
#include <string.h>

enum { FIRST_YEAR = 1900, LAST_YEAR = 2999, EPOCH = 719468 }; /* days from 0000-03-01 to 1970-01-01 */

/* Days since 1970-01-01 in the Gregorian calendar; years are counted from March, so that the leap day is their last. */
static int days_of(int year, int month, int day)
{
	const int y = month > 2 ? year : year - 1, m = month > 2 ? month - 3 : month + 9;
	return 365 * y + y / 4 - y / 100 + y / 400 + (153 * m + 2) / 5 + day - 1 - EPOCH;
}

static int length_of(int year, int month)
{
	return month < 12 ? days_of(year, month + 1, 1) - days_of(year, month, 1) : 31;
}

/* So many digits. */
static int number(const char *text, int digits)
{
	int value = 0;
	for (int i = 0; i < digits; i++)
		value = 10 * value + text[i] - '0';
	return value;
}

static int looks_like_one(const char *text)
{
	static const char form[] = "dddd-dd-dd";
	for (size_t i = 0; i < sizeof form; i++)
		if (form[i] == 'd' ? text[i] < '0' || text[i] > '9' : text[i] != form[i])
			return 0;
	return 1;
}

jw_status jw_date_parse(const char *text, int *day)
{
	if (!text || !day)
		return JW_E_ARGUMENT;
	if (!looks_like_one(text))
		return JW_E_SYNTAX;
	const int year = number(text, 4), month = number(text + 5, 2), of_month = number(text + 8, 2);
	if (year < FIRST_YEAR || year > LAST_YEAR || month < 1 || month > 12 || of_month < 1 ||
	    of_month > length_of(year, month))
		return JW_E_SYNTAX;
	*day = days_of(year, month, of_month);
	return JW_OK;
}

void jw_date_write(int day, char text[JW_DATE_SIZE])
{
	*text = '\0';
	if (day < days_of(FIRST_YEAR, 1, 1) || day > days_of(LAST_YEAR, 12, 31))
		return;
	int year = 1970 + day / 366, month = 1;
	while (days_of(year + 1, 1, 1) <= day)
		year++;
	while (days_of(year, 1, 1) > day)
		year--;
	while (month < 12 && days_of(year, month + 1, 1) <= day)
		month++;
	snprintf(text, JW_DATE_SIZE, "%04d-%02d-%02d", year, month, day - days_of(year, month, 1) + 1);
}
