/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files that the program writes: whole, or not at all. */
#ifndef CLI_SAVE_H
#define CLI_SAVE_H

#include "options.h"

/* Writes what is to stand in a file. */
typedef void (*save_writer)(FILE *out, const void *content);

/* Writes beside `path` and renames once all of it is on the disk, so that a reader sees the old file or the new one.
 * Says on stderr what went wrong; an exit code. */
int save_file(const cli_command *command, const char *path, save_writer writer, const void *content);

#endif
