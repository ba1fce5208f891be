/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/files.h"
#include "profile/schema.h"

#include <string.h>

static const struct file_kind {
	const char *name;
	const jw_field *fields;
} file_kinds[] = {{"engine", jw_engine_fields},
                  {"fuel", jw_fuel_fields},
                  {"case", jw_case_fields},
                  {"readings", jw_readings_fields},
                  {"jets", jw_jets_fields}};

static const struct file_kind *kind_named(const char *name)
{
	for (size_t i = 0; i < sizeof file_kinds / sizeof *file_kinds; i++)
		if (!strcmp(file_kinds[i].name, name))
			return &file_kinds[i];
	return NULL;
}

jw_status jw_profile_fields(const char *kind, FILE *out)
{
	if (!kind || !out)
		return JW_E_ARGUMENT;
	const struct file_kind *found = kind_named(kind);
	return found ? jw_fields_print(found->fields, "", out) : JW_E_NOT_FOUND;
}

jw_status jw_profile_schema(const char *kind, FILE *out)
{
	if (!kind || !out)
		return JW_E_ARGUMENT;
	const struct file_kind *found = kind_named(kind);
	return found ? jw_schema_print(found->fields, found->name, out) : JW_E_NOT_FOUND;
}

const char *jw_profile_kind(int index)
{
	return index >= 0 && index < (int)(sizeof file_kinds / sizeof *file_kinds) ? file_kinds[index].name : NULL;
}
