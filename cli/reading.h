/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How readings on the engine are told. */
#ifndef CLI_READING_H
#define CLI_READING_H

#include "show.h"

/* "lambda at 7500 rpm, 100 %", "flow of the main jet" */
typedef struct reading_words {
	char text[64];
} reading_words;
reading_words reading_words_of(const jw_reading *reading);

/* "0.912", "31.5 ml/min" */
number_text reading_value_text(jw_reading_kind kind, double value);

/* Whether it was taken on the running engine, at a point. */
int reading_is_running(const jw_reading *reading);

#endif
