/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lambda over the ranges of the throttle, as a picture. */
#ifndef CLI_CHART_H
#define CLI_CHART_H

#include "show.h"
#include "svg.h"

enum { CHART_LINES = 3 };

typedef struct chart {
	svg_picture picture;
	char title[192], description[1600];
	range_words name[JW_RANGE_COUNT];
	const char *word[JW_RANGE_COUNT + 1];
	double place[JW_RANGE_COUNT];
	double value[CHART_LINES][JW_RANGE_COUNT], low[CHART_LINES][JW_RANGE_COUNT], high[CHART_LINES][JW_RANGE_COUNT];
} chart;

/* One range of a line, and where it lies nine times in ten; `low` and `high` 0: not told. */
typedef struct chart_point {
	double lambda; /* 0: no fuel */
	double low, high;
} chart_point;

/* A point with so many standard uncertainties to either side. */
chart_point chart_point_of(double phi, double relative);

/* Begins a chart; its parts point into it, so that it must stay where it is. */
void chart_begin(chart *c, const char *title, const char *subtitle);
void chart_line(chart *c, const char *label, const chart_point point[JW_RANGE_COUNT]);

#endif
