/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests that can be proposed. */
#ifndef JW_DIAGNOSE_TESTS_H
#define JW_DIAGNOSE_TESTS_H

#include <jetwright/diagnose.h>
#include <stddef.h>

/* What the engine must do for a test to say anything. */
typedef enum jw_when {
	JW_ANY_TIME,
	JW_RUNNING,     /* an engine that runs */
	JW_NOT_STARTING /* one that is hard to start, or does not */
} jw_when;

typedef struct jw_test_row {
	jw_test_info info;
	jw_when when;
	int still;             /* 1: says something of an engine that does not turn; that is looked at there first */
	size_t part, or_part;  /* of a double in jw_setup that is above 0 where the engine has what is tested; 0: it has */
	int several;           /* 1: only engines with several carburetors */
	int by_hand;           /* 1: only where the enrichener or choke is worked by hand */
	int beside;            /* 1: done beside an engine that runs unloaded, nowhere above a quarter of the throttle */
	int strokes;           /* only engines of so many; 0: either */
	const char *unless[3]; /* seen, it would do harm */
} jw_test_row;

#define JW_TESTS_MOST 64

int jw_test_count(void);
const jw_test_row *jw_test_row_at(int test);

/* Words that say whether an engine runs, or starts badly, for checks; NULL beyond the last. */
const char *jw_test_word(int index);

/* Whether a test can be done on this engine, with these tools, and is not answered yet. */
int jw_test_possible(const jw_setup *healthy, const jw_case *known, const jw_test_row *row);

/* Where a test is done whose evidence takes a range: where the first complaint is. */
jw_range jw_test_range(const jw_case *known, int evidence_kind);

#endif
