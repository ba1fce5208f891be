/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/files.h"

#include <string.h>

/* Frees the tree. */
static jw_status fill_from(jw_node *root, jw_filler fill, void *into, const char *path, const char *library,
                           jw_faults *faults)
{
	jw_status status =
	    into ? fill(into, root, path, library, faults) : jw_fault_file(faults, JW_E_MEMORY, "out of memory");
	jw_tree_free(root);
	return status;
}

jw_status jw_file_read(const char *path, const char *library, jw_filler fill, void *into, jw_faults *faults)
{
	jw_node *root = NULL;
	jw_faults_begin(faults, path);
	jw_status status = jw_tree_load(path, &root, faults);
	return status ? status : fill_from(root, fill, into, path, library, faults);
}

jw_status jw_text_read(const char *text, const char *library, jw_filler fill, void *into, jw_faults *faults)
{
	jw_node *root = NULL;
	jw_faults_begin(faults, "");
	jw_status status = jw_tree_parse(text, strlen(text), &root, faults);
	return status ? status : fill_from(root, fill, into, "", library, faults);
}
