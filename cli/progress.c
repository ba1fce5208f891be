/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "progress.h"
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <time.h>
#include <unistd.h>

enum { WIDEST = 128 };

/* The program has one terminal, and one line on it. */
static struct {
	const char *doing;
	int steps, step, shown;
	double after_s;
	struct timespec began;
} line;

static int can_erase(void)
{
	const char *terminal = getenv("TERM");
	return isatty(STDERR_FILENO) && terminal && strcmp(terminal, "dumb") != 0;
}

/* What goes on in a second row is not erased. */
static int room(void)
{
	struct winsize terminal;
	if (ioctl(STDERR_FILENO, TIOCGWINSZ, &terminal) != 0 || !terminal.ws_col)
		return WIDEST;
	return terminal.ws_col - 1;
}

static double passed_s(void)
{
	struct timespec now;
	clock_gettime(CLOCK_MONOTONIC, &now);
	return (double)(now.tv_sec - line.began.tv_sec) + 1e-9 * (double)(now.tv_nsec - line.began.tv_nsec);
}

void progress_begin(const char *doing, int steps, double after_s)
{
	line.doing = doing;
	line.steps = steps;
	line.after_s = after_s;
	line.step = line.shown = 0;
	clock_gettime(CLOCK_MONOTONIC, &line.began);
}

void progress_step(void)
{
	line.step++;
	if (passed_s() < line.after_s || !can_erase())
		return;
	char text[WIDEST];
	if (line.steps > 1)
		snprintf(text, sizeof text, "%s: %d of %d", line.doing, line.step, line.steps);
	else
		snprintf(text, sizeof text, "%s ...", line.doing);
	line.shown = 1;
	fprintf(stderr, "\r\033[K%.*s", room(), text);
	fflush(stderr);
}

void progress_end(void)
{
	if (line.shown)
		fputs("\r\033[K", stderr);
	line.shown = 0;
}
