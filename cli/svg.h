/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures: panels with axes, lines and bands. Text stays text, colours follow the reader's light or dark theme, and
 * lines differ by their dashes too. */
#ifndef CLI_SVG_H
#define CLI_SVG_H

#include "save.h"

enum { SVG_PANELS = 8, SVG_LINES = 8, SVG_SPANS = 5 };

typedef struct svg_axis {
	const char *title; /* with its unit */
	double low, high;  /* what to show, the rest is cut off; both 0: all that is drawn, widened to round numbers */
	double step;       /* between ticks; 0: round */
	const char *const *words; /* names of the places 0, 1, 2, ... in place of numbers; NULL after the last */
} svg_axis;

/* A line through points, with a band about it where `low` and `high` are given. It is broken where a value is not
 * finite. */
typedef struct svg_line {
	const char *label; /* written at its right end; NULL: none */
	int count;
	const double *x, *y, *low, *high;
} svg_line;

/* A shaded part of an axis. */
typedef struct svg_span {
	const char *label;
	int upright; /* 1: a part of the x axis, 0: of the y axis */
	double from, to;
} svg_span;

typedef struct svg_panel {
	const char *title;
	svg_axis x, y;
	svg_line line[SVG_LINES];
	int lines;
	svg_span span[SVG_SPANS];
	int spans;
} svg_panel;

typedef struct svg_picture {
	const char *title, *subtitle;
	const char *description; /* for those who do not see it: what it shows, and what stands out */
	int columns;             /* of panels; filled row by row */
	svg_panel panel[SVG_PANELS];
	int panels;
} svg_picture;

/* One <svg> element within a page of HTML, which has the title and subtitle in its own text. */
void svg_draw(FILE *out, const svg_picture *picture);

/* A file of its own; an exit code. */
int svg_save(const cli_command *command, const char *path, const svg_picture *picture);

#endif
