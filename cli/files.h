/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Finding and loading the files that arguments name. */
#ifndef CLI_FILES_H
#define CLI_FILES_H

#include <jetwright/jetwright.h>

enum { PATH_SIZE = 1024, NAMES = 256, NAME_SIZE = 64 };

/* The folder of profiles that come along: JETWRIGHT_PROFILES, else beside the program. 0 if there is none. */
int profiles_folder(char folder[PATH_SIZE]);

/* Where an argument points: a path, "-" for standard input, or a bare name within the folder of its kind. */
typedef struct cli_place {
	const char *kind; /* the folder that bare names are looked up in */
	char path[PATH_SIZE];
	char folder[PATH_SIZE]; /* that holds engines/, fuels/, cases/ for this file */
	const char *shown;      /* in messages */
} cli_place;
cli_place find_place(const char *kind, const char *argument);
/* The folder for the loaders: NULL lets them look around the file. */
const char *place_library(const cli_place *place);

/* Prints "file:line:column: path: what is wrong" for each fault on stderr; returns FAILED. */
int report_faults(const cli_place *place, jw_status status, const jw_faults *faults);

/* Names of the files of a kind in the folder of profiles, sorted; returns how many. */
int read_names(const char *folder, const char *kind, char names[NAMES][NAME_SIZE]);

/* Says on stderr that there are no profiles that come along; returns FAILED. */
int report_no_profiles(void);

/* A bare name that leads nowhere deserves a hint: where the names of its kind, or of every kind (NULL), are listed. */
void hint_names(const cli_place *place, const char *kind);

/* The profile or fuel that an argument names; NULL or an error status after saying why on stderr. */
jw_profile *load_profile(const char *argument, jw_status *status);
jw_status load_fuel(const char *argument, jw_fuel *fuel);

#endif
