/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Causes that a fair judge takes for one. */
#ifndef REAL_CASES_GROUPS_H
#define REAL_CASES_GROUPS_H

/* Group of a fix, or of a cause of the library; what is in no group is its own. */
const char *group_of(const char *cause);

#endif
