/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/files.h"

jw_status jw_file_read(const char *path, const char *library, jw_filler fill, void *into, jw_faults *faults)
{
	jw_node *root = NULL;
	jw_faults_begin(faults, path);
	jw_status status = jw_tree_load(path, &root, faults);
	if (status)
		return status;
	status = into ? fill(into, root, path, library, faults) : jw_fault_file(faults, JW_E_MEMORY, "out of memory");
	jw_tree_free(root);
	return status;
}
