/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Free words of a repair case into the closed vocabulary. */
#ifndef REAL_CASES_WORDS_H
#define REAL_CASES_WORDS_H

#include <jetwright/jetwright.h>

/* The columns of a case that may be read: what was fixed stays unseen. */
typedef struct told_case {
	const char *engine, *context, *symptoms, *tests;
} told_case;

/* Fills evidence and history; the air is left as it is. Returns how many clauses say nothing that the vocabulary knows.
 */
int words_encode(const told_case *told, jw_case *known);

/* The class of engines that is nearest in kind. */
const char *words_engine(const told_case *told);

#endif
