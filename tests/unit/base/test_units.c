/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "near.h"
#include <float.h>
#include <jetwright/units.h>
#include <stdio.h>
#include <string.h>

/* Copies the next name of a ", " separated list; the rest, or NULL at its end. */
static const char *next_name(const char *list, char name[16])
{
	size_t length = strcspn(list, ",");
	memcpy(name, list, length);
	name[length] = '\0';
	return list[length] ? list + length + 2 : NULL;
}

Test(units, every_unit_round_trips)
{
	int units = 0;
	for (int kind = 0; kind < JW_DIMENSION_COUNT; kind++) {
		const char *list = jw_unit_names(kind);
		while (list && *list) {
			char name[16], text[48];
			list = next_name(list, name);
			snprintf(text, sizeof text, "-273.4375 %s", name); /* exact in binary */
			double si = NAN, back = NAN;
			cr_expect_eq(jw_quantity_parse(text, kind, &si, NULL), JW_OK, "%s", text);
			cr_expect_eq(jw_quantity_in(si, kind, name, &back, NULL), JW_OK, "%s", text);
			cr_expect(fabs(back + 273.4375) <= 4 * DBL_EPSILON * 460, "%s comes back as %.17g", text, back);
			units++;
		}
	}
	cr_expect_eq(units, 73, "%d units in the lists", units);
}

/* Zero is zero in any unit, but for temperatures told from another. */
Test(units, only_temperatures_have_another_zero)
{
	for (int kind = 0; kind < JW_DIMENSION_COUNT; kind++) {
		const char *list = jw_unit_names(kind);
		while (list && *list) {
			char name[16], text[48];
			list = next_name(list, name);
			snprintf(text, sizeof text, "0 %s", name);
			double si = NAN;
			cr_expect_eq(jw_quantity_parse(text, kind, &si, NULL), JW_OK, "%s", text);
			cr_expect((si == 0) == (kind != JW_TEMPERATURE || strcmp(name, "K") == 0), "%s: %g", text, si);
		}
	}
}

Test(units, each_kind_has_a_readable_example)
{
	for (int kind = 0; kind < JW_DIMENSION_COUNT; kind++) {
		double si = NAN;
		cr_expect_eq(jw_quantity_parse(jw_unit_example(kind), kind, &si, NULL), JW_OK, "%s", jw_unit_example(kind));
		cr_expect(isfinite(si));
	}
	cr_expect_str_eq(jw_unit_names(JW_NUMBER), "");
	cr_expect_str_eq(jw_unit_names(JW_FRACTION), "%, ppm");
	cr_expect_str_eq(jw_unit_names(JW_ANGLE), "deg, rad");
	cr_expect_str_eq(jw_unit_names((jw_dimension)-1), "");
	cr_expect_str_eq(jw_unit_example(JW_DIMENSION_COUNT), "");
}

/* Definitions: NIST Special Publication 811 (2008), appendix B. */
Test(units, values_are_those_of_the_definitions)
{
	static const struct {
		char text[16];
		jw_dimension kind;
		double si;
	} rows[] = {
	    {"7.25", JW_NUMBER, 7.25},
	    {"0.4", JW_FRACTION, 0.4},
	    {"40%", JW_FRACTION, 0.4},
	    {"1.05 mm", JW_LENGTH, 1.05e-3},
	    {"+1.05e0mm", JW_LENGTH, 1.05e-3},
	    {".5 in", JW_LENGTH, 0.0127},
	    {"5.E-1 in", JW_LENGTH, 0.0127},
	    {"3 thou", JW_LENGTH, 76.2e-6},
	    {"5000 ft", JW_LENGTH, 1524},
	    {"9.15 in3", JW_VOLUME, 1.4994163556e-4},
	    {"-2.0\tkPa", JW_PRESSURE, -2000},
	    {"30 psi", JW_PRESSURE, 2.0684271879505084e5},
	    {"29.92 inHg", JW_PRESSURE, 1.01320756e5},
	    {"86 F", JW_TEMPERATURE, 303.15},
	    {"-40 C", JW_TEMPERATURE, 233.15},
	    {"-40 F", JW_TEMPERATURE, 233.15},
	    {"27 F", JW_TEMPERATURE_DIFFERENCE, 15},
	    {"90 deg", JW_ANGLE, 1.5707963267948966},
	    {"7500rpm", JW_SPEED, 125},
	    {"50 1/s", JW_SPEED, 50},
	    {"120 ml/min", JW_VOLUME_FLOW, 2e-6},
	    {"2.1 lbf", JW_FORCE, 9.341265},
	    {"1.5 min", JW_TIME, 90},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double si = NAN;
		cr_expect_eq(jw_quantity_parse(rows[i].text, rows[i].kind, &si, NULL), JW_OK, "%s", rows[i].text);
		cr_expect(fabs(si - rows[i].si) <= 1e-6 * fabs(rows[i].si), "%s = %.17g", rows[i].text, si);
	}
}

Test(units, faulty_text_is_refused_and_output_untouched)
{
	static const struct {
		char text[24];
		jw_dimension kind;
		jw_status status;
		char field[24];
	} rows[] = {
	    {"", JW_NUMBER, JW_E_ARGUMENT, "number"},
	    {"mm", JW_LENGTH, JW_E_ARGUMENT, "number"},
	    {".", JW_NUMBER, JW_E_ARGUMENT, "number"},
	    {"+-1", JW_NUMBER, JW_E_ARGUMENT, "number"},
	    {" 1.05 mm", JW_LENGTH, JW_E_ARGUMENT, "number"},
	    {"inf mm", JW_LENGTH, JW_E_ARGUMENT, "number"},
	    {"nan", JW_NUMBER, JW_E_ARGUMENT, "number"},
	    {"0x1F", JW_NUMBER, JW_E_ARGUMENT, "number"},
	    {"0x1p3 mm", JW_LENGTH, JW_E_ARGUMENT, "number"},
	    {"1,05 mm", JW_LENGTH, JW_E_ARGUMENT, "text after the number"},
	    {"1.0.5 mm", JW_LENGTH, JW_E_ARGUMENT, "text after the number"},
	    {"1.05 mm wide", JW_LENGTH, JW_E_ARGUMENT, "text after the number"},
	    {"1.05 mm ", JW_LENGTH, JW_E_ARGUMENT, "text after the number"},
	    {"1.05 ", JW_NUMBER, JW_E_ARGUMENT, "text after the number"},
	    {"1.05\nmm", JW_LENGTH, JW_E_ARGUMENT, "text after the number"},
	    {"1e999", JW_NUMBER, JW_E_NOT_FINITE, "number"},
	    {"-1e999 mm", JW_LENGTH, JW_E_NOT_FINITE, "number"},
	    {"1e308 MPa", JW_PRESSURE, JW_E_NOT_FINITE, "number"},
	    {"1.05", JW_LENGTH, JW_E_UNIT, "unit"},
	    {"1.05 kPa", JW_LENGTH, JW_E_UNIT, "unit"},
	    {"1.05 MM", JW_LENGTH, JW_E_UNIT, "unit"},
	    {"1e mm", JW_LENGTH, JW_E_ARGUMENT, "text after the number"},
	    {"1e", JW_NUMBER, JW_E_UNIT, "unit"},
	    {"40%", JW_NUMBER, JW_E_UNIT, "unit"},
	    {"1", JW_DIMENSION_COUNT, JW_E_ARGUMENT, "kind"},
	    {"1", (jw_dimension)-1, JW_E_ARGUMENT, "kind"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double si = 12345.678;
		jw_error error = {0};
		cr_expect_eq(jw_quantity_parse(rows[i].text, rows[i].kind, &si, &error), rows[i].status, "\"%s\"",
		             rows[i].text);
		cr_expect_eq(si, 12345.678, "\"%s\" wrote %.17g", rows[i].text, si);
		cr_expect_eq(error.status, rows[i].status, "\"%s\"", rows[i].text);
		cr_expect(error.field && strcmp(error.field, rows[i].field) == 0, "\"%s\" blames %s", rows[i].text,
		          error.field);
	}
}

/* What has no size has no limits either. */
Test(units, what_is_missing_is_named)
{
	double value;
	const struct {
		jw_dimension kind;
		const char *unit;
		double *value;
		const char *field;
	} rows[] = {{JW_LENGTH, NULL, &value, "unit"},
	            {JW_LENGTH, "mm", NULL, "value"},
	            {JW_DIMENSION_COUNT, "mm", &value, "kind"}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_error error = {.value = 1, .low = 1, .high = 1};
		cr_expect_eq(jw_quantity_in(1, rows[i].kind, rows[i].unit, rows[i].value, &error), JW_E_ARGUMENT);
		cr_expect_str_eq(error.field, rows[i].field);
		cr_expect(error.value == 0 && error.low == 0 && error.high == 0, "%s", rows[i].field);
	}
}

Test(units, missing_arguments_are_refused)
{
	double value = 12345.678;
	cr_expect_eq(jw_quantity_parse(NULL, JW_LENGTH, &value, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_quantity_parse("1 mm", JW_LENGTH, NULL, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_quantity_in(1, JW_LENGTH, NULL, &value, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_quantity_in(1, JW_LENGTH, "mm", NULL, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_quantity_in(1, JW_DIMENSION_COUNT, "mm", &value, NULL), JW_E_ARGUMENT);
	cr_expect_eq(jw_quantity_in(1, JW_LENGTH, "kPa", &value, NULL), JW_E_UNIT);
	cr_expect_eq(jw_quantity_in(NAN, JW_LENGTH, "mm", &value, NULL), JW_E_NOT_FINITE);
	jw_error error = {0};
	cr_expect_eq(jw_quantity_in(-INFINITY, JW_LENGTH, "mm", &value, &error), JW_E_NOT_FINITE);
	cr_expect(error.field && !strcmp(error.field, "si") && error.value == -INFINITY && error.high > 1e300);
	cr_expect_eq(jw_quantity_parse("1e999 mm", JW_LENGTH, &value, &error), JW_E_NOT_FINITE);
	cr_expect(!strcmp(error.field, "number") && error.value == INFINITY);
	cr_expect_eq(jw_quantity_in(1e308, JW_LENGTH, "um", &value, NULL), JW_E_NOT_FINITE);
	cr_expect_eq(value, 12345.678);
}
