/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Profiles that leave dimensions to the class of their carburetor. */
#ifndef JW_PROFILE_CLASS_H
#define JW_PROFILE_CLASS_H

#include "profile/profile.h"

/* What is kept of a class once the profile is read over it. */
typedef struct jw_basis {
	jw_node *root; /* NULL: the profile is based on none; else to be freed by jw_tree_free */
	jw_spread spread[JW_UNMEASURED];
	int spreads, cycle;
	jw_carburetor_kind kind;
	double displacement_m3;
} jw_basis;

/* Reads the class that the file names, if any, into the profile.
 * \param path of the file, beside which the class is sought where there is no library */
jw_status jw_class_load(jw_profile *profile, const jw_node *root, const char *path, const char *library,
                        jw_basis *basis, jw_faults *faults);

/* Brings what the file does not state from the displacement of the class to that of its engine: areas, volumes, flows
 * and forces in proportion, bores by the root. A class of another kind or size is a fault: it says nothing about this
 * engine. */
void jw_class_scale(jw_profile *profile, const jw_node *root, const jw_basis *basis, jw_faults *faults);

/* What a spread says of the profile's set-up; a count of 0 where it has no such rows. */
jw_unmeasured jw_unmeasured_of(const jw_profile *profile, const jw_spread *spread);

#endif
