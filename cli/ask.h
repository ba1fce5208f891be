/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A conversation about one engine: a case that grows by one answer at a time. */
#ifndef CLI_ASK_H
#define CLI_ASK_H

#include "explain.h"
#include "save.h"

/* ---- the case ---- */

enum { HEAD_SIZE = 16 * 1024, ENGINE_SIZE = 64, REMARKS = 64, REMARKS_SIZE = 4096 };

/* Comments of a file among its evidence; each stands before the piece that it is numbered by, or beside it. */
typedef struct remarks {
	char text[REMARKS_SIZE]; /* one after the other, each with its end */
	size_t used;
	struct {
		size_t text;
		int evidence, beside;
	} item[REMARKS];
	int count, left_out;
} remarks;

/* A case as far as it is told. */
typedef struct draft {
	char head[HEAD_SIZE]; /* of its file, but evidence and visits */
	int engine_told, history_told;
	char engine[ENGINE_SIZE]; /* that was asked for: "class: utility-160" */
	double months;            /* standing, that were asked for; negative: unknown */
	int months_told, changed_told, changed[JW_CHANGE_KIND_COUNT];
	int today; /* days since 1970-01-01 */
	jw_log log;
	remarks remarks;
	int runs_told;                /* where it runs well, since the last repair */
	int rest_told;                /* what stays, after a repair */
	int closed;                   /* nothing is left to ask */
	char put_off[JW_CAUSES_MOST]; /* remedies that are not for now */
} draft;

/* \param head lines of its head, or "" */
void draft_begin(draft *d, int today, const char *head);
/* What is in a case file. \return whether the draft holds all of it, after saying why not on stderr */
int draft_load(draft *d, const char *path, const char *library, int today);
/* Puts the file in place as a whole or not at all; says on stderr what went wrong. */
int draft_save(const draft *d, const char *path, save_stamp *stamp);

/* The visit that is under way: a new one where the last is over. NULL: there is no room for another. */
jw_visit *draft_visit(draft *d);
/* Whether it has no room for another answer. */
int draft_is_full(const draft *d);
const jw_visit *draft_last(const draft *d);
int draft_adds(draft *d, int kind, jw_range range, jw_answer seen, double value);

/* ---- what it comes to ---- */

typedef struct worked {
	jw_case_file *file;
	jw_course course;
	jw_report *report;
	answer a;
} worked;

/* \return whether there is an answer; says on stderr why not where `loud` */
int work(const draft *d, const char *library, int loud, worked *w);
void work_free(worked *w);

/* ---- questions ---- */

typedef enum ask_kind {
	ASK_ENGINE,
	ASK_MONTHS,
	ASK_CHANGED,
	ASK_COMPLAINT,
	ASK_RUNS,
	ASK_TEST,
	ASK_READING,
	ASK_REPAIR,
	ASK_RESULT,
	ASK_NOTHING
} ask_kind;

enum { CHOICES = 24 };

typedef struct choice {
	const char *word; /* that stands for it beside its number; NULL: none */
	sentence text;
} choice;

typedef struct question {
	ask_kind kind;
	char before[1024], text[512], caution[512];
	choice choice[CHOICES];
	int choices, several; /* several: more than one may be named */
	int number;           /* a number is asked for, from low to high, in the unit of a reading */
	double low, high;
	int evidence; /* of a test */
	jw_range range;
	int cause; /* of a repair */
} question;

/* What was answered: choices, one bit each, or a number, or that nobody knows. */
typedef struct reply {
	unsigned picked;
	double number;
	int unknown;
} reply;

/* What to ask next. \return 0 where the case cannot be worked, which is told */
int next_question(const draft *d, const char *library, question *q);

/* The draft with the answer in it. */
void take_reply(draft *d, const question *q, const reply *r);

/* The conversation on standard input and output, until it ends. \param path where the case is kept \param source that
 * it starts from, or NULL \param head lines of the head where it starts from none \return the exit code */
int converse(const char *path, const char *source, const char *library, int today, const char *head);

#endif
