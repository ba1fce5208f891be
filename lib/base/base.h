/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every module needs: failing with a record, and argument checks. */
#ifndef JW_BASE_H
#define JW_BASE_H

#include <jetwright/status.h>
#include <math.h>
#include <stddef.h>

#define JW_PI 3.14159265358979323846
#define JW_ICE_POINT_K 273.15

/* Fills the record (if any) and returns the status. */
jw_status jw_fail(jw_error *error, jw_status status, const char *field, double value, double low, double high);

/* Fills the record (if any) with what there is no memory for; returns JW_E_MEMORY. */
jw_status jw_no_memory(jw_error *error, const char *what);

/* JW_OK if value is finite and low <= value <= high; else fills the record. */
jw_status jw_check_range(const char *field, double value, double low, double high, jw_error *error);

/* One argument and its limits. */
typedef struct jw_bound {
	const char *field;
	double value, low, high;
} jw_bound;

/* The first that ::jw_check_range refuses, or JW_OK. */
jw_status jw_check_bounds(const jw_bound *bounds, size_t count, jw_error *error);

/* Statuses of two calls: the first error, else the warnings of both. ORing a warning into an error makes another error. */
static inline jw_status jw_both(jw_status first, jw_status second)
{
	return first < 0 ? first : second < 0 ? second : first | second;
}

/* The double that stands so many bytes from the start of a struct: how tables name members. */
static inline double *jw_double_at(void *of, size_t offset)
{
	return (double *)(void *)((char *)of + offset);
}

static inline double jw_value_at(const void *of, size_t offset)
{
	return *(const double *)(const void *)((const char *)of + offset);
}

static inline double jw_square(double x)
{
	return x * x;
}

static inline double jw_clamp(double x, double low, double high)
{
	return x < low ? low : x > high ? high : x;
}

#endif
