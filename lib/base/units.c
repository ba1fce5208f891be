/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE /* strtod_l: the decimal point must not follow the caller's locale */
#include "base/base.h"

#include <jetwright/units.h>
#include <float.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>

#define FREE_FALL 9.80665
#define INCH 0.0254
#define FOOT (12 * INCH)
#define POUND 0.45359237
#define POUND_FORCE (POUND * FREE_FALL)
#define MM_MERCURY 133.322387415 /* conventional: 13595.1 kg/m3 */
#define MM_WATER FREE_FALL       /* conventional: 1000 kg/m3 */

/* clang-format off */
/* Units of each kind, the usual one first: name, SI per unit, and what is added to the number before (temperatures). */
#define UNITS_JW_NUMBER(X)
#define UNITS_JW_FRACTION(X) \
	X("%", 0.01, 0) X("ppm", 1e-6, 0)
#define UNITS_JW_LENGTH(X) \
	X("mm", 1e-3, 0) X("cm", 1e-2, 0) X("m", 1, 0) X("km", 1e3, 0) X("um", 1e-6, 0) \
	X("in", INCH, 0) X("thou", 1e-3 * INCH, 0) X("ft", FOOT, 0)
#define UNITS_JW_AREA(X) \
	X("mm2", 1e-6, 0) X("cm2", 1e-4, 0) X("m2", 1, 0) X("in2", INCH * INCH, 0)
#define UNITS_JW_VOLUME(X) \
	X("cm3", 1e-6, 0) X("cc", 1e-6, 0) X("ml", 1e-6, 0) X("l", 1e-3, 0) X("m3", 1, 0) \
	X("in3", INCH * INCH * INCH, 0)
#define UNITS_JW_PRESSURE(X) \
	X("Pa", 1, 0) X("hPa", 1e2, 0) X("kPa", 1e3, 0) X("MPa", 1e6, 0) X("mbar", 1e2, 0) X("bar", 1e5, 0) \
	X("mmHg", MM_MERCURY, 0) X("inHg", 25.4 * MM_MERCURY, 0) X("mmH2O", MM_WATER, 0) X("inH2O", 25.4 * MM_WATER, 0) \
	X("psi", POUND_FORCE / (INCH * INCH), 0) X("atm", 101325, 0)
#define UNITS_JW_TEMPERATURE(X) \
	X("C", 1, 273.15) X("F", 5.0 / 9, 459.67) X("K", 1, 0)
#define UNITS_JW_TEMPERATURE_DIFFERENCE(X) \
	X("K", 1, 0) X("C", 1, 0) X("F", 5.0 / 9, 0)
#define UNITS_JW_ANGLE(X) \
	X("deg", JW_PI / 180, 0) X("rad", 1, 0)
#define UNITS_JW_SPEED(X) \
	X("rpm", 1.0 / 60, 0) X("rev/s", 1, 0) X("1/s", 1, 0) X("1/min", 1.0 / 60, 0)
#define UNITS_JW_MASS_FLOW(X) \
	X("g/s", 1e-3, 0) X("kg/s", 1, 0) X("g/min", 1e-3 / 60, 0) X("kg/h", 1.0 / 3600, 0) X("lb/h", POUND / 3600, 0)
#define UNITS_JW_VOLUME_FLOW(X) \
	X("ml/min", 1e-6 / 60, 0) X("cc/min", 1e-6 / 60, 0) X("ml/s", 1e-6, 0) X("l/min", 1e-3 / 60, 0) \
	X("l/h", 1e-3 / 3600, 0) X("m3/s", 1, 0)
#define UNITS_JW_MASS(X) \
	X("g", 1e-3, 0) X("kg", 1, 0) X("oz", POUND / 16, 0) X("lb", POUND, 0)
#define UNITS_JW_FORCE(X) \
	X("N", 1, 0) X("gf", 1e-3 * FREE_FALL, 0) X("kgf", FREE_FALL, 0) X("lbf", POUND_FORCE, 0)
#define UNITS_JW_STIFFNESS(X) \
	X("N/m", 1, 0) X("N/mm", 1e3, 0) X("lbf/in", POUND_FORCE / INCH, 0)
#define UNITS_JW_DENSITY(X) \
	X("kg/m3", 1, 0) X("g/cm3", 1e3, 0) X("kg/l", 1e3, 0)
#define UNITS_JW_TIME(X) \
	X("s", 1, 0) X("ms", 1e-3, 0) X("min", 60, 0) X("h", 3600, 0)
/* clang-format on */

typedef struct unit_row {
	const char *name;
	double factor, offset; /* si = (number + offset) * factor */
} unit_row;

/* A count or a share written without a unit. */
static const unit_row bare_unit = {"", 1, 0};

#define UNIT_ROW(name, factor, offset) {name, factor, offset},
#define JW_X(kind, si, example) static const unit_row units_##kind[] = {UNITS_##kind(UNIT_ROW){NULL, 0, 0}};
JW_DIMENSION_LIST(JW_X)
#undef JW_X

typedef struct kind_row {
	const unit_row *units; /* ends with a row without a name */
	const char *names;     /* each after a comma and a blank */
	const char *example;
} kind_row;

#define UNIT_NAME(name, factor, offset) ", " name
#define JW_X(kind, si, example) {units_##kind, "" UNITS_##kind(UNIT_NAME), example},
static const kind_row kind_rows[JW_DIMENSION_COUNT] = {JW_DIMENSION_LIST(JW_X)};
#undef JW_X

static const kind_row *kind_find(jw_dimension kind)
{
	return (unsigned)kind < JW_DIMENSION_COUNT ? &kind_rows[kind] : NULL;
}

static const unit_row *unit_find(jw_dimension kind, const char *name)
{
	if (!*name)
		return kind == JW_NUMBER || kind == JW_FRACTION ? &bare_unit : NULL;
	for (const unit_row *unit = kind_rows[kind].units; unit->name; unit++)
		if (strcmp(unit->name, name) == 0)
			return unit;
	return NULL;
}

static const char *skip_digits(const char *text)
{
	return text + strspn(text, "0123456789");
}

static const char *skip_sign(const char *text)
{
	return text + (*text == '+' || *text == '-');
}

/* End of a decimal number at the start of the text: sign, digits with a point, exponent. NULL if there is none. */
static const char *skip_number(const char *text)
{
	const char *whole = skip_sign(text);
	const char *end = skip_digits(whole);
	size_t digits = (size_t)(end - whole);
	if (*end == '.') {
		const char *part = end + 1;
		end = skip_digits(part);
		digits += (size_t)(end - part);
	}
	if (digits == 0)
		return NULL;
	if (*end == 'e' || *end == 'E') {
		const char *exponent = skip_sign(end + 1);
		if (skip_digits(exponent) > exponent)
			end = skip_digits(exponent);
	}
	return end;
}

/* Reads the number and moves on to what follows it. */
static jw_status read_number(const char **text, double *number)
{
	const char *end = skip_number(*text);
	if (!end)
		return JW_E_ARGUMENT;
	locale_t c_locale = newlocale(LC_ALL_MASK, "C", (locale_t)0);
	if (c_locale == (locale_t)0)
		return JW_E_MEMORY;
	char *stop;
	*number = strtod_l(*text, &stop, c_locale);
	freelocale(c_locale);
	if (stop != end) /* hexadecimal */
		return JW_E_ARGUMENT;
	*text = end;
	return JW_OK;
}

/* Whether it can be a unit at all: a comma, a blank or a second number makes it trailing text. */
static int is_word(const char *text)
{
	static const char characters[] = "0123456789/%"
	                                 "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	                                 "abcdefghijklmnopqrstuvwxyz";
	return text[strspn(text, characters)] == '\0';
}

static jw_status check_finite(double value, const char *field, double given, jw_error *error)
{
	return isfinite(value) ? JW_OK : jw_fail(error, JW_E_NOT_FINITE, field, given, -DBL_MAX, DBL_MAX);
}

jw_status jw_quantity_parse(const char *text, jw_dimension kind, double *si, jw_error *error)
{
	if (!text || !si || !kind_find(kind))
		return jw_fail(error, JW_E_ARGUMENT, !text ? "text" : !si ? "si" : "kind", 0, 0, 0);
	double number;
	jw_status status = read_number(&text, &number);
	if (status)
		return jw_fail(error, status, "number", 0, 0, 0);
	const char *name = text + strspn(text, " \t");
	if (!is_word(name) || (!*name && name > text))
		return jw_fail(error, JW_E_ARGUMENT, "text after the number", 0, 0, 0);
	const unit_row *unit = unit_find(kind, name);
	if (!unit)
		return jw_fail(error, JW_E_UNIT, "unit", 0, 0, 0);
	double value = (number + unit->offset) * unit->factor;
	status = check_finite(value, "number", value, error);
	if (!status)
		*si = value;
	return status;
}

jw_status jw_quantity_in(double si, jw_dimension kind, const char *unit, double *value, jw_error *error)
{
	if (!unit || !value || !kind_find(kind))
		return jw_fail(error, JW_E_ARGUMENT, !unit ? "unit" : !value ? "value" : "kind", 0, 0, 0);
	const unit_row *row = unit_find(kind, unit);
	if (!row)
		return jw_fail(error, JW_E_UNIT, "unit", 0, 0, 0);
	double number = si / row->factor - row->offset;
	jw_status status = check_finite(number, "si", si, error);
	if (!status)
		*value = number;
	return status;
}

const char *jw_unit_names(jw_dimension kind)
{
	const kind_row *row = kind_find(kind);
	return row && *row->names ? row->names + 2 : "";
}

const char *jw_unit_example(jw_dimension kind)
{
	const kind_row *row = kind_find(kind);
	return row ? row->example : "";
}
