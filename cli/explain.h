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

/* The text leaves out hypotheses below this; JSON has them all. */
#define LEAST_SHOWN 0.02

/* Each fills and returns `text`. */
const char *capital(const char *text, char *copy, size_t size);
/* "off idle: stumbles when the throttle is opened into this range" */
const char *evidence_text(const jw_evidence *seen, char *text, size_t size);
/* What a hypothesis is called in a list. */
const char *hypothesis_text(const jw_hypothesis *hypothesis, char *text, size_t size);

/* "likely" */
const char *sure_word(double probability);

/* How evidence stands to a finding. */
typedef enum bearing { EXPLAINS, FITS, OPEN, AGAINST } bearing;

bearing bearing_of(const jw_explained *explained);

/* The best step, where it is a test: what each answer would mean. Returns whether it is. */
int print_test(const answer *a);
/* The test, the repair and the retest. \param second the other of two faults, or NULL */
void print_remedy(const answer *a, const jw_finding *finding, const jw_finding *second);

#endif
