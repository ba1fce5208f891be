/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of rejet share. */
#ifndef CLI_REJET_H
#define CLI_REJET_H

#include "options.h"

typedef struct rejet_words {
	char text[128];
} rejet_words;

/* The question as options put it, and the answer. */
typedef struct rejet_asked {
	const jw_profile *profile;
	jw_profile *other; /* whose carburetor is fitted; NULL */
	const char *fuel;  /* the new one; NULL */
	jw_air was;        /* in which the engine ran right */
	jw_rejet_change change[JW_REJET_KIND_COUNT];
	jw_rejet_request request;
	jw_rejet_answer answer;
	jw_status status;
} rejet_asked;

extern const cli_option rejet_options[];

/* Fills change and request; an exit code. */
int rejet_read(const cli_arguments *arguments, rejet_asked *asked);

/* The value that a change replaces, SI; NAN where it is no number. */
double rejet_value_before(const rejet_asked *asked, jw_rejet_kind kind);
/* "bore", and "bore 57.4 to 61 mm" */
const char *rejet_kind_word(jw_rejet_kind kind);
rejet_words rejet_change_words(const rejet_asked *asked, const jw_rejet_change *change);

void rejet_text(const rejet_asked *asked);
void rejet_json(const rejet_asked *asked);

#endif
