/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/files.h"

#include <string.h>

static const struct file_kind {
	const char *name;
	const jw_field *fields;
} file_kinds[] = {{"engine", jw_engine_fields},
                  {"fuel", jw_fuel_fields},
                  {"case", jw_case_fields},
                  {"readings", jw_readings_fields}};

jw_status jw_profile_fields(const char *kind, FILE *out)
{
	if (!kind || !out)
		return JW_E_ARGUMENT;
	for (size_t i = 0; i < sizeof file_kinds / sizeof *file_kinds; i++)
		if (!strcmp(file_kinds[i].name, kind))
			return jw_fields_print(file_kinds[i].fields, "", out);
	return JW_E_NOT_FOUND;
}
