/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Any words behind the program's name: it answers or refuses with one of its exit codes. A line is a word; slashes are
 * taken out, so that nothing outside a folder of its own is written. */
#include "fuzz.h"

#include <dirent.h>
#include <fcntl.h>
#include <getopt.h>

enum { WORDS = 24 };

static char folder[] = "/tmp/fuzz_arguments.XXXXXX";

int LLVMFuzzerInitialize(int *count, char ***arguments);
int program_main(int argc, char **argv);

static void empty_folder(void)
{
	DIR *entries = opendir(folder);
	for (struct dirent *entry; entries && (entry = readdir(entries));)
		if (entry->d_name[0] != '.' || strlen(entry->d_name) > 2)
			unlinkat(dirfd(entries), entry->d_name, 0);
	if (entries)
		closedir(entries);
}

static void tidy(void)
{
	empty_folder();
	rmdir(folder);
}

/* The fuzzer's own words go on to the error stream that was. */
int LLVMFuzzerInitialize(int *count, char ***arguments)
{
	(void)count, (void)arguments;
	require(mkdtemp(folder) != NULL && atexit(tidy) == 0);
	require(setenv("JETWRIGHT_PROFILES", LIBRARY, 1) == 0);
	require(freopen("/dev/null", "r", stdin) && freopen("/dev/null", "w", stdout));
	return 0;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	char text[1024], *word[WORDS + 2] = {(char[]){"jetwright"}};
	int count = 1, back = open(".", O_RDONLY | O_DIRECTORY), errors = dup(2), nothing = open("/dev/null", O_WRONLY);
	if (size >= sizeof text || memchr(data, 0, size))
		size = 0;
	memcpy(text, data, size);
	text[size] = '\0';
	for (char *c = text; *c; c++)
		if (*c == '/')
			*c = '_';
	for (char *rest = text, *next; count <= WORDS && (next = strsep(&rest, "\n"));)
		word[count++] = next;
	require(back >= 0 && errors >= 0 && nothing >= 0 && chdir(folder) == 0);
	dup2(nothing, 2);
	optind = 0;
	int code = program_main(count, word);
	dup2(errors, 2);
	require(code >= 0 && code <= 2);
	empty_folder();
	require(fchdir(back) == 0);
	close(back), close(errors), close(nothing);
	return 0;
}
