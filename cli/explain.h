/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the text and the JSON of explain are made of. */
#ifndef CLI_EXPLAIN_H
#define CLI_EXPLAIN_H

#include "show.h"

/* A worked case. */
typedef struct answer {
	const jw_case *known;
	const jw_profile *profile;
	const jw_setup *healthy;
	const jw_report *report;
	const char *about, *class; /* the class that stands for the engine, or NULL */
	jw_status status;
} answer;

void explain_text(const answer *a);
void explain_json(const answer *a);

/* How a part's dimension is written. */
typedef struct part_words {
	const char *unit, *format; /* of value and present value */
	double si;
} part_words;

const part_words *part_words_of(jw_part part);

#endif
