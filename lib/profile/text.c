/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* realpath */
#include "profile/text.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define STAGED_NAMES 100

jw_status jw_text_load(const char *path, size_t most, char **text, size_t *size, jw_faults *faults)
{
	FILE *file = fopen(path, "rb");
	if (!file)
		return errno == ENOMEM ? jw_fault_file(faults, JW_E_MEMORY, "out of memory")
		                       : jw_fault_file(faults, JW_E_OPEN, "file cannot be opened, expected a readable file");
	setvbuf(file, NULL, _IONBF, 0); /* read once, whole */
	char *read = malloc(most + 2);
	size_t length = read ? fread(read, 1, most + 1, file) : 0;
	int broken = ferror(file);
	fclose(file);
	if (!read)
		return jw_fault_file(faults, JW_E_MEMORY, "out of memory");
	if (broken) {
		free(read);
		return jw_fault_file(faults, JW_E_OPEN, "file cannot be read, expected a readable file");
	}
	read[length] = '\0';
	*text = read;
	*size = length;
	return JW_OK;
}

static jw_status cannot_write(jw_faults *faults)
{
	return jw_fault_file(faults, JW_E_WRITE, "file cannot be written, expected a folder and a file that may be");
}

/* A name of its own in the same folder, since only within one file system is renaming whole or not at all. */
static int open_staged(const char *path, char *staged, size_t size)
{
	for (int i = 0; i < STAGED_NAMES; i++) {
		if (snprintf(staged, size, "%s.%ld-%d.tmp", path, (long)getpid(), i) >= (int)size)
			return -1;
		int file = open(staged, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
		if (file >= 0 || errno != EEXIST)
			return file;
	}
	return -1;
}

static int write_all(int file, const char *text, size_t size)
{
	while (size) {
		ssize_t written = write(file, text, size);
		if (written < 0 && errno == EINTR)
			continue;
		if (written <= 0)
			return 0;
		text += written;
		size -= (size_t)written;
	}
	return 1;
}

static int keep_mode(int file, const char *path)
{
	struct stat present;
	return stat(path, &present) != 0 || (S_ISREG(present.st_mode) && fchmod(file, present.st_mode & 07777) == 0);
}

/* The rename lasts only once the folder is on the disk too; not every file system can say so. */
static void flush_folder(const char *path)
{
	char folder[4096];
	const char *slash = strrchr(path, '/');
	snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - path) + 1 : 1, slash ? path : ".");
	int file = open(folder, O_RDONLY | O_CLOEXEC);
	if (file >= 0) {
		fsync(file);
		close(file);
	}
}

static jw_status stage(const char *path, const char *text, size_t size, char *staged, size_t room, jw_faults *faults)
{
	int file = open_staged(path, staged, room);
	if (file < 0)
		return cannot_write(faults);
	int done = keep_mode(file, path) && write_all(file, text, size) && fsync(file) == 0;
	if (close(file) == 0 && done)
		return JW_OK;
	unlink(staged);
	return cannot_write(faults);
}

static jw_status put(const char *path, const char *text, size_t size, jw_text_check check, void *context,
                     jw_faults *faults)
{
	char staged[4096];
	jw_status status = stage(path, text, size, staged, sizeof staged, faults);
	if (status < 0)
		return status;
	status = check(staged, context);
	if (status >= 0 && rename(staged, path) != 0)
		status = cannot_write(faults);
	if (status < 0)
		unlink(staged);
	else
		flush_folder(path);
	return status;
}

jw_status jw_text_save(const char *path, const char *text, size_t size, jw_text_check check, void *context,
                       jw_faults *faults)
{
	char *real = realpath(path, NULL);
	if (!real && errno == ENOMEM)
		return jw_fault_file(faults, JW_E_MEMORY, "out of memory");
	jw_status status = put(real ? real : path, text, size, check, context, faults);
	free(real);
	return status;
}
