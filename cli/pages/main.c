/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: jetwright_pages PROFILES FOLDER
 * Writes man pages and completion into FOLDER. Part of the build, not installed. */
#include "pages.h"
#include <errno.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { PATH_LENGTH = 1024 };

void page_fail(const char *format, ...)
{
	va_list list;
	va_start(list, format);
	fprintf(stderr, "jetwright_pages: ");
	vfprintf(stderr, format, list);
	fputc('\n', stderr);
	va_end(list);
	exit(EXIT_FAILURE);
}

FILE *page_open(const char *folder, const char *format, ...)
{
	char name[PATH_LENGTH / 2], path[PATH_LENGTH];
	va_list list;
	va_start(list, format);
	vsnprintf(name, sizeof name, format, list);
	va_end(list);
	snprintf(path, sizeof path, "%s/%s", folder, name);
	FILE *out = fopen(path, "w");
	if (!out)
		page_fail("cannot write %s: %s", path, strerror(errno));
	return out;
}

void page_close(FILE *out)
{
	if (ferror(out) || fclose(out))
		page_fail("cannot write: %s", strerror(errno));
}

static void make_folder(const char *folder, const char *name)
{
	char path[PATH_LENGTH];
	snprintf(path, sizeof path, "%s%s", folder, name);
	if (mkdir(path, 0777) && errno != EEXIST)
		page_fail("cannot make %s: %s", path, strerror(errno));
}

int main(int argc, char **argv)
{
	static const char *const folders[] = {"", "/man1", "/man5", "/completion"};
	if (argc != 3)
		page_fail("expected PROFILES FOLDER");
	for (size_t i = 0; i < sizeof folders / sizeof *folders; i++)
		make_folder(argv[2], folders[i]);
	write_commands(argv[2]);
	write_formats(argv[2], argv[1]);
	write_completion(argv[2]);
	return EXIT_SUCCESS;
}
