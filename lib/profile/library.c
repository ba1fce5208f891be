/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/files.h"

#include <string.h>

jw_status jw_library_path(const char *library, const char *from, const char *folder, const char *name, char *path,
                          size_t size)
{
	const char *slash = strrchr(from, '/');
	int length = library ? snprintf(path, size, "%s/%s/%s.yaml", library, folder, name)
	             : slash ? snprintf(path, size, "%.*s/../%s/%s.yaml", (int)(slash - from), from, folder, name)
	                     : snprintf(path, size, "../%s/%s.yaml", folder, name);
	return length > 0 && (size_t)length < size ? JW_OK : JW_E_LIMIT;
}

jw_status jw_library_file(const char *library, const char *from, const char *folder, const char *name,
                          char path[JW_PATH_MOST], jw_faults *faults)
{
	jw_status status = jw_library_path(library, from, folder, name, path, JW_PATH_MOST);
	return status ? jw_fault_file(faults, status, "path of the library is too long, expected at most 4095 bytes")
	              : status;
}

jw_status jw_fuel_named(const char *library, const char *from, const jw_node *root, const char *key, const char *name,
                        jw_fuel *fuel, jw_faults *faults)
{
	char path[JW_PATH_MOST];
	jw_faults inner;
	jw_status status = jw_library_file(library, from, "fuels", name, path, faults);
	if (status)
		return status;
	status = jw_fuel_load(path, fuel, NULL, 0, &inner);
	return status < 0 ? jw_fault_named(faults, root, key, &inner, status) : status;
}

jw_status jw_fault_named(jw_faults *faults, const jw_node *root, const char *key, const jw_faults *inner,
                         jw_status status)
{
	char message[2 * sizeof(jw_fault)];
	const jw_fault *first = inner->item;
	if (status == JW_E_OPEN)
		snprintf(message, sizeof message, "names no file, expected one at %s", inner->file);
	else
		snprintf(message, sizeof message, "names a file with faults, %s:%d:%d: %s%s%s", inner->file, first->line,
		         first->column, first->path, *first->path ? ": " : "", first->message);
	jw_fault_at(faults, root, key, message);
	return status == JW_E_MEMORY ? status : JW_E_SCHEMA;
}
