/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers of a profile that nobody measured, and what the mixture owes to them. */
#ifndef JW_PROFILE_UNMEASURED_H
#define JW_PROFILE_UNMEASURED_H

#include "profile/class.h"

/* Lists what the file gives a spread, and what it leaves to its class. */
void jw_unmeasured_list(jw_profile *profile, const jw_node *root, const jw_basis *basis, jw_faults *faults);

/* What is not measured is felt as doubt about the circuit that it belongs to: each coefficient doubts as much more as
 * the unmeasured numbers move phi where it rules. */
void jw_unmeasured_widen(jw_profile *profile);

#endif
