/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any text as a quantity, a date and a word: what is read is finite, and reads back the same in every unit. */
#include "bytes.h"
#include "base/base.h"
#include <jetwright/rejet.h>

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
	const char *known[JW_CAUSES_MOST];
	int count = 0;
	for (; count < jw_cause_count(); count++)
		known[count] = jw_cause_at(count)->id;
	const char *near = jw_word_nearest(text, known, count);
	require(!near || *near);
	require(jw_cause_find(text) < count && jw_evidence_kind_find(text) < jw_evidence_kind_count());
	require(jw_passage_find(text) < JW_PASSAGE_COUNT);
}

static void describe_kind(const char *text)
{
	FILE *nothing = fopen("/dev/null", "w");
	require(nothing != NULL);
	require(jw_profile_fields(text, nothing) <= 0 && jw_profile_schema(text, nothing) <= 0);
	fclose(nothing);
	const char *how = jw_profile_measure(text);
	require(!how || *how);
}

static int named(const char *name)
{
	return !name || *name;
}

/* Any number as one of a list: its word, or none. */
static void name_number(const char *text)
{
	int i = (int)strtol(text, NULL, 10);
	require(named(jw_range_name((jw_range)i)) && named(jw_part_name((jw_part)i)));
	require(named(jw_change_name((jw_change_kind)i)) && named(jw_change_text((jw_change_kind)i)));
	require(named(jw_reading_name((jw_reading_kind)i)) && named(jw_unknown_name((jw_unknown)i)));
	require(named(jw_answer_name((jw_answer)i)) && named(jw_tool_name((jw_tool)i)));
	require(named(jw_result_name((jw_result)i)) && named(jw_need_name((jw_need)i)));
	require(named(jw_liquid_name((jw_liquid)i)) && named(jw_mark_name((jw_mark_kind)i)));
	require(named(jw_rejet_kind_name((jw_rejet_kind)i)) && named(jw_rejet_verdict_name((jw_rejet_verdict)i)));
	require(*jw_status_name(i) && *jw_status_text(i) && *jw_version());
	require(jw_unit_example((jw_dimension)i) != NULL);
	require(named(jw_profile_kind(i)) && named(jw_profile_measured(i)));
	const jw_passage_info *passage = jw_passage_at((jw_passage)i);
	const jw_evidence_kind *kind = jw_evidence_kind_at(i);
	const jw_test_info *test = jw_test_of(i);
	require((!passage || *passage->id) && (!kind || *kind->id) && (!test || *test->text));
	require(jw_lean_limit((jw_range)i) >= 0 && jw_rejet_danger_lambda((jw_range)i) >= 0);
	require(jw_rejet_tolerance((jw_range)i) >= 0 && jw_rejet_tells((jw_part)i) < JW_RANGE_COUNT);
	require(isfinite(jw_rejet_band((jw_range)i, i & 1)));
}

/* The first byte tells what the text is taken for. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	static void (*const others[])(const char *) = {read_date, find_word, describe_kind, name_number};
	char text[256];
	if (!size || size > sizeof text)
		return 0;
	memcpy(text, data + 1, size - 1);
	text[size - 1] = '\0';
	unsigned which = data[0] % (JW_DIMENSION_COUNT + 1 + sizeof others / sizeof *others);
	if (which <= JW_DIMENSION_COUNT)
		read_quantity(text, (jw_dimension)which);
	else
		others[which - JW_DIMENSION_COUNT - 1](text);
	return 0;
}
