/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loaded ahead of the C library: the call that STRIKE names kills the program, or fails where it is "NAME!". */
#define _GNU_SOURCE /* RTLD_NEXT */
#include <dlfcn.h>
#include <errno.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>

int fsync(int file);
int rename(const char *from, const char *to);

/* 1 where the call is to fail. */
static int struck(const char *call)
{
	const char *strike = getenv("STRIKE");
	size_t length = strlen(call);
	if (!strike || strncmp(strike, call, length) != 0)
		return 0;
	if (strike[length] == '\0')
		raise(SIGKILL);
	errno = EIO;
	return strike[length] == '!';
}

int fsync(int file)
{
	int (*real)(int) = (int (*)(int))(size_t)dlsym(RTLD_NEXT, "fsync");
	return struck("fsync") ? -1 : real(file);
}

int rename(const char *from, const char *to)
{
	int (*real)(const char *, const char *) = (int (*)(const char *, const char *))(size_t)dlsym(RTLD_NEXT, "rename");
	return struck("rename") ? -1 : real(from, to);
}
