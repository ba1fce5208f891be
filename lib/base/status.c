/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/base.h"

typedef struct status_row {
	jw_status code;
	const char *name, *text;
} status_row;

static const status_row status_rows[] = {
    {JW_OK, "JW_OK", "fine"},
#define JW_X(name, value, text) {name, #name, text},
    JW_ERROR_LIST(JW_X) JW_WARNING_LIST(JW_X)
#undef JW_X
};

static const status_row *status_find(jw_status code)
{
	for (size_t i = 0; i < sizeof status_rows / sizeof *status_rows; i++)
		if (status_rows[i].code == code)
			return &status_rows[i];
	return NULL;
}

const char *jw_status_text(jw_status code)
{
	const status_row *row = status_find(code);
	return row ? row->text : "unknown status";
}

const char *jw_status_name(jw_status code)
{
	const status_row *row = status_find(code);
	return row ? row->name : "unknown status";
}

const char *jw_version(void)
{
	return JW_VERSION;
}

jw_status jw_fail(jw_error *error, jw_status status, const char *field, double value, double low, double high)
{
	if (error)
		*error = (jw_error){status, field, value, low, high};
	return status;
}

jw_status jw_no_memory(jw_error *error, const char *what)
{
	return jw_fail(error, JW_E_MEMORY, what, 0.0, 0.0, 0.0);
}

jw_status jw_check_range(const char *field, double value, double low, double high, jw_error *error)
{
	if (!isfinite(value))
		return jw_fail(error, JW_E_NOT_FINITE, field, value, low, high);
	if (value < low || value > high)
		return jw_fail(error, JW_E_RANGE, field, value, low, high);
	return JW_OK;
}

jw_status jw_check_bounds(const jw_bound *bounds, size_t count, jw_error *error)
{
	jw_status status = JW_OK;
	for (size_t i = 0; i < count && status == JW_OK; i++)
		status = jw_check_range(bounds[i].field, bounds[i].value, bounds[i].low, bounds[i].high, error);
	return status;
}
