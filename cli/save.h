/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files that the program writes: whole, or not at all. */
#ifndef CLI_SAVE_H
#define CLI_SAVE_H

#include "options.h"
#include <sys/types.h>
#include <time.h>

/* Which file stands somewhere, and when it was last written; all 0: none. */
typedef struct save_stamp {
	dev_t device;
	ino_t number;
	off_t size;
	struct timespec written;
} save_stamp;

save_stamp save_stamp_of(const char *path);
int save_is_same(const save_stamp *one, const save_stamp *other);

/* Writes what is to stand in a file. */
typedef void (*save_writer)(FILE *out, const void *content);

/* Writes beside `path` and renames once all of it is on the disk, so that a reader sees the old file or the new one.
 * Says on stderr what went wrong; an exit code. */
int save_file(const cli_command *command, const char *path, save_writer writer, const void *content);

/* The same. \param[out] stamp of what was written, whatever somebody does to it once it is there */
int save_file_stamped(const cli_command *command, const char *path, save_writer writer, const void *content,
                      save_stamp *stamp);

#endif
