/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Profiles that leave dimensions to the class of their carburetor. */
#ifndef JW_PROFILE_CLASS_H
#define JW_PROFILE_CLASS_H

#include "profile/files.h"

/* A class fits engines from half to twice its displacement. */
#define JW_CLASS_SPAN 2.0

/* Brings what the file `root` does not state from the displacement of the class to that of its engine: areas, volumes,
 * flows and forces in proportion, bores by the root. */
void jw_class_scale(const jw_field *table, const jw_node *root, double ratio, void *into);

/* What a spread says of the set-up that begins at `setup` in the struct of the table. */
jw_unmeasured jw_unmeasured_of(const jw_spread *spread, size_t setup);

#endif
