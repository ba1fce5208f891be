/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* realpath */
#include "profile/files.h"

#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

jw_status jw_library_path(const char *library, const char *from, const char *folder, const char *name, char *path,
                          size_t size)
{
	const char *slash = strrchr(from, '/');
	int length = library ? snprintf(path, size, "%s/%s/%s.yaml", library, folder, name)
	             : slash ? snprintf(path, size, "%.*s/../%s/%s.yaml", (int)(slash - from), from, folder, name)
	                     : snprintf(path, size, "../%s/%s.yaml", folder, name);
	return length > 0 && (size_t)length < size ? JW_OK : JW_E_LIMIT;
}

/* The folder that holds the path's own one: "LIBRARY" of "LIBRARY/FOLDER/NAME.yaml". */
static int find_library(const char *path, char library[PATH_MAX])
{
	char above[JW_PATH_MOST];
	snprintf(above, sizeof above, "%s", path);
	for (int i = 0; i < 2; i++)
		above[strlen(above) - strlen(strrchr(above, '/'))] = '\0';
	return realpath(*above ? above : "/", library) != NULL;
}

/* Whether a link leads out of the library; what is not there leads nowhere, which opening it will tell. */
static int leads_out(const char *path)
{
	char library[PATH_MAX], file[PATH_MAX];
	if (!realpath(path, file) || !find_library(path, library))
		return 0;
	size_t length = strlen(library);
	return strncmp(file, library, length) != 0 || (file[length] != '/' && strcmp(library, "/") != 0);
}

/* Whether it is there and no regular file: a pipe would be waited for. */
static int is_other(const char *path)
{
	struct stat there;
	return stat(path, &there) == 0 && !S_ISREG(there.st_mode);
}

/* What is hidden from us is taken to be there. */
static int is_there(const char *path)
{
	struct stat there;
	return stat(path, &there) == 0 || errno == EACCES;
}

jw_status jw_library_file(const char *library, const char *from, const char *folder, const char *name, char *path,
                          const jw_node *root, const char *key, jw_faults *faults)
{
	char message[JW_PATH_MOST + 80];
	jw_status status = jw_library_path(library, from, folder, name, path, JW_PATH_MOST);
	if (status)
		return jw_fault_file(faults, status, "path of the library is too long, expected at most 4095 bytes");
	const char *wrong = leads_out(path)  ? "names a link out of the folder of profiles, expected a file in it at"
	                    : is_other(path) ? "names a folder, pipe or device, expected a file at"
	                                     : NULL;
	if (!wrong)
		return JW_OK;
	snprintf(message, sizeof message, "%s %s", wrong, path);
	jw_fault_at(faults, root, key, message);
	return JW_E_SCHEMA;
}

jw_status jw_fuel_named(const char *library, const char *from, const jw_node *root, const char *key, const char *name,
                        jw_fuel *fuel, jw_faults *faults)
{
	char path[JW_PATH_MOST];
	jw_faults inner;
	jw_status status = jw_library_file(library, from, "fuels", name, path, root, key, faults);
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
		snprintf(message, sizeof message, "%s at %s",
		         is_there(inner->file) ? "names a file that cannot be read, expected a readable one"
		                               : "names no file, expected one",
		         inner->file);
	else
		snprintf(message, sizeof message, "names a file with faults, %s:%d:%d: %s%s%s", inner->file, first->line,
		         first->column, first->path, *first->path ? ": " : "", first->message);
	jw_fault_at(faults, root, key, message);
	return status == JW_E_MEMORY ? status : JW_E_SCHEMA;
}
