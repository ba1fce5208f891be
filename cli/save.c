/* SPDX-License-Identifier: GPL-3.0-or-later */
#define _XOPEN_SOURCE 700 /* realpath */
#include "save.h"
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { NAMES = 100, PATH_MOST = 4096 };

/* A name beside the file that nobody uses; readable as files usually are. */
static int open_beside(const char *path, char *beside, size_t size)
{
	for (int n = 0; n < NAMES; n++) {
		if (snprintf(beside, size, "%s.%ld-%d.new", path, (long)getpid(), n) >= (int)size) {
			errno = ENAMETOOLONG;
			return -1;
		}
		int file = open(beside, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
		if (file >= 0 || errno != EEXIST)
			return file;
	}
	return -1;
}

static save_stamp stamp_from(const struct stat *file)
{
	return (save_stamp){file->st_dev, file->st_ino, file->st_size, file->st_mtim};
}

save_stamp save_stamp_of(const char *path)
{
	struct stat file;
	return stat(path, &file) == 0 ? stamp_from(&file) : (save_stamp){.size = 0};
}

int save_is_same(const save_stamp *one, const save_stamp *other)
{
	return one->device == other->device && one->number == other->number && one->size == other->size &&
	       one->written.tv_sec == other->written.tv_sec && one->written.tv_nsec == other->written.tv_nsec;
}

static int keep_mode(int file, const char *path)
{
	struct stat present;
	return stat(path, &present) != 0 || fchmod(file, present.st_mode & 07777) == 0;
}

static int write_out(int file, const char *path, save_writer writer, const void *content, save_stamp *stamp)
{
	struct stat written;
	FILE *out = fdopen(file, "w");
	if (!out) {
		close(file);
		return 0;
	}
	writer(out, content);
	int done =
	    fflush(out) == 0 && !ferror(out) && keep_mode(file, path) && fsync(file) == 0 && fstat(file, &written) == 0;
	if (done)
		*stamp = stamp_from(&written);
	return fclose(out) == 0 && done;
}

/* What is no file, as a terminal or a pipe, is written as it stands. */
static int is_device(const char *path)
{
	struct stat present;
	return stat(path, &present) == 0 && !S_ISREG(present.st_mode) && !S_ISDIR(present.st_mode);
}

static int put(const char *path, save_writer writer, const void *content, save_stamp *stamp)
{
	char beside[PATH_MOST];
	if (is_device(path)) {
		FILE *out = fopen(path, "w");
		if (out)
			writer(out, content);
		int done = out && fclose(out) == 0;
		*stamp = save_stamp_of(path);
		return done;
	}
	int file = open_beside(path, beside, sizeof beside);
	if (file < 0)
		return 0;
	if (write_out(file, path, writer, content, stamp) && rename(beside, path) == 0)
		return 1;
	int why = errno;
	unlink(beside);
	errno = why;
	return 0;
}

int save_file(const cli_command *command, const char *path, save_writer writer, const void *content)
{
	save_stamp stamp;
	return save_file_stamped(command, path, writer, content, &stamp);
}

int save_file_stamped(const cli_command *command, const char *path, save_writer writer, const void *content,
                      save_stamp *stamp)
{
	char *real = realpath(path, NULL); /* behind a link the file itself */
	errno = 0;
	int done = put(real ? real : path, writer, content, stamp);
	if (!done)
		fprintf(stderr, "jetwright %s: cannot write %s: %s\n", command->name, path, strerror(errno));
	free(real);
	return done ? ANSWERED : FAILED;
}
