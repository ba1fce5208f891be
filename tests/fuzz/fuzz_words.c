/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any text as a quantity, a date and a word: what is read is finite, and reads back the same in every unit. */
#include "bytes.h"
#include "base/base.h"
#include <jetwright/diagnose.h>
#include <jetwright/tune.h>

static void check_units(double si, jw_dimension kind)
{
	char unit[32];
	for (const char *names = jw_unit_names(kind); *names;) {
		size_t length = strcspn(names, ",");
		double value, back;
		char text[64];
		require(length < sizeof unit);
		snprintf(unit, sizeof unit, "%.*s", (int)length, names);
		if (jw_quantity_in(si, kind, unit, &value, NULL) >= 0) {
			snprintf(text, sizeof text, "%.17g %s", value, unit);
			if (jw_quantity_parse(text, kind, &back, NULL) >= 0)
				require(fabs(back - si) <= 1e-9 * (fabs(si) + 500)); /* temperatures have an offset */
		}
		names += length + strspn(names + length, ", ");
	}
}

static void read_quantity(const char *text, jw_dimension kind)
{
	double si = 12345;
	jw_error error = {0};
	jw_status status = jw_quantity_parse(text, kind, &si, &error);
	require(status >= 0 ? isfinite(si) : si == 12345);
	if (status >= 0)
		check_units(si, kind);
}

static void read_date(const char *text)
{
	char back[JW_DATE_SIZE];
	int day;
	if (jw_date_parse(text, &day) != JW_OK)
		return;
	jw_date_write(day, back);
	require(strcmp(text, back) == 0);
}

static void find_word(const char *text)
{
	const char *known[128];
	int count = 0;
	for (; count < jw_cause_count() && count < 128; count++)
		known[count] = jw_cause_at(count)->id;
	const char *near = jw_word_nearest(text, known, count);
	require(!near || *near);
	require(jw_cause_find(text) < jw_cause_count() && jw_evidence_kind_find(text) < jw_evidence_kind_count());
	require(jw_passage_find(text) < JW_PASSAGE_COUNT);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	char text[256];
	if (!size || size > sizeof text)
		return 0;
	memcpy(text, data + 1, size - 1);
	text[size - 1] = '\0';
	read_quantity(text, (jw_dimension)(data[0] % (JW_DIMENSION_COUNT + 1)));
	read_date(text);
	find_word(text);
	return 0;
}
