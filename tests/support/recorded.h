/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Answers beside what a file has recorded of them, so that no number behind them changes unseen. None of these figures
 * is right by standing there; what they should be other tests ask. Where a change is meant, the test runs with
 * JETWRIGHT_RECORD=1, which writes the file again; read the difference. */
#ifndef JW_TESTS_RECORDED_H
#define JW_TESTS_RECORDED_H

#include "near.h"
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RECORDED_LINES = 4096, RECORDED_FIGURES = 4 };

/* Figures are written to five digits. */
#define RECORDED_WITHIN 1e-4
/* Of what is all but nothing no more is asked. */
#define RECORDED_LEAST 1e-9

/* A word and what is told of it. */
typedef struct record {
	char word[64];
	double figure[RECORDED_FIGURES];
} record;

typedef struct book {
	record line[RECORDED_LINES];
	int lines;
} book;

static inline void note(book *b, const char *word, double first, double second, double third, double fourth)
{
	cr_assert(b->lines < RECORDED_LINES);
	record *r = &b->line[b->lines++];
	*r = (record){.figure = {first, second, third, fourth}};
	snprintf(r->word, sizeof r->word, "%s", word);
}

static inline void write_book(const book *b, const char *path)
{
	FILE *file = fopen(path, "w");
	cr_assert(file, "%s", path);
	for (int i = 0; i < b->lines; i++) {
		const double *f = b->line[i].figure;
		fprintf(file, "%s %.5g %.5g %.5g %.5g\n", b->line[i].word, f[0], f[1], f[2], f[3]);
	}
	cr_assert(fclose(file) == 0, "%s", path);
}

static inline void read_book(book *b, const char *path)
{
	FILE *file = fopen(path, "r");
	cr_assert(file, "%s", path);
	char word[64];
	double f[RECORDED_FIGURES];
	while (fscanf(file, "%63s %lg %lg %lg %lg", word, &f[0], &f[1], &f[2], &f[3]) == 1 + RECORDED_FIGURES)
		note(b, word, f[0], f[1], f[2], f[3]);
	fclose(file);
}

static inline int is_recorded(const record *now, const record *then)
{
	int alike = strcmp(now->word, then->word) == 0;
	for (int i = 0; i < RECORDED_FIGURES; i++)
		alike &=
		    fabs(now->figure[i] - then->figure[i]) <= fmax(RECORDED_WITHIN * fabs(then->figure[i]), RECORDED_LEAST);
	return alike;
}

static inline void beside_recorded(const book *now, const char *path)
{
	static book then;
	int others = 0;
	if (getenv("JETWRIGHT_RECORD"))
		write_book(now, path);
	read_book(&then, path);
	cr_assert(now->lines == then.lines, "%s has %d lines, expected %d", path, then.lines, now->lines);
	for (int i = 0; i < now->lines; i++) {
		const record *n = &now->line[i], *t = &then.line[i];
		if (!is_recorded(n, t) && others++ < 10)
			cr_expect(0, "%s:%d: %s %g %g %g %g, recorded %s %g %g %g %g", path, i + 1, n->word, n->figure[0],
			          n->figure[1], n->figure[2], n->figure[3], t->word, t->figure[0], t->figure[1], t->figure[2],
			          t->figure[3]);
	}
	cr_expect(others == 0, "%s: %d lines of %d differ", path, others, now->lines);
}

#endif
