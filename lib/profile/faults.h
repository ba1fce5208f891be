/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Collects what is wrong with a file; nothing is printed here. */
#ifndef JW_PROFILE_FAULTS_H
#define JW_PROFILE_FAULTS_H

#include <jetwright/profile.h>

void jw_faults_begin(jw_faults *faults, const char *file);

/* Keeps the faults in file order; beyond JW_FAULTS the last ones are only counted. */
void jw_fault_add(jw_faults *faults, int line, int column, const char *path, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

/* Adds a fault of the file as a whole and returns the status. */
jw_status jw_fault_file(jw_faults *faults, jw_status status, const char *message);

#endif
