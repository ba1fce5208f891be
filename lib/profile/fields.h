/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a file may hold, as a table of fields; reading, checking and printing all follow the same rows. */
#ifndef JW_PROFILE_FIELDS_H
#define JW_PROFILE_FIELDS_H

#include "profile/tree.h"

#include <jetwright/units.h>

typedef enum jw_field_kind {
	JW_FIELD_BLOCK,    /* of other fields; while an optional one is absent its fields are left alone */
	JW_FIELD_QUANTITY, /* double, SI */
	JW_FIELD_INTEGER,  /* int */
	JW_FIELD_WORD,     /* int: which of a closed list */
	JW_FIELD_WORDS,    /* list of such words; int[]: 1 for each that is named */
	JW_FIELD_TEXT,     /* char[most + 1] */
	JW_FIELD_NAME,     /* the same, of a-z, 0-9 and -: what a file of the library is called */
	JW_FIELD_ROW,      /* [a, b]: one value for each column */
	JW_FIELD_ROWS,     /* list of such rows */
	JW_FIELD_LIST,     /* list of single values, each as the one column says */
	JW_FIELD_RECORDS,  /* list of blocks, each with the columns as its keys */
	JW_FIELD_SPREADS   /* jw_spread[]: a block keyed as a table, each key with a standard uncertainty */
} jw_field_kind;

/* No text of a file is longer, its end included. */
#define JW_FIELD_BYTES 512

typedef struct jw_field jw_field;

/* Fields end with a row without a path. */
struct jw_field {
	const char *path; /* keys joined by dots */
	jw_field_kind kind;
	const char *standard;   /* what holds when absent, as text; "" leaves the member alone; NULL: must be given */
	jw_dimension dimension; /* of a quantity */
	const char *low, *high; /* quantity and integer: closed range, as text */
	const char *(*word)(int index); /* NULL past the last */
	int most;                       /* bytes or rows */
	const char *example;            /* of a text that has a form; NULL: any */
	const jw_field *columns;        /* their offsets count from this row's own */
	const jw_field *keyed;          /* of spreads: the table */
	const char *member;             /* what errors of other modules call it */
	size_t offset;                  /* of the member in the struct */
	size_t stride;                  /* of a column: from one row to the next */
	size_t count;                   /* rows: offset of the int that takes their number; of a column as its own */
};

/* Standard uncertainty of a quantity, or of a column of rows: relative times the value, plus absolute in SI. */
typedef struct jw_spread {
	const jw_field *field, *cell; /* the same but for a column */
	double relative, absolute;
} jw_spread;

/* Where the value goes; the last initialisers of a row. */
#define JW_AT(type, place) .offset = offsetof(type, place)

/* Reads a block into a struct; what is wrong goes to the faults, every fault of it. */
void jw_fields_read(const jw_field *table, const jw_node *root, void *into, jw_faults *faults);

/* The same over what another file of the kind, `base`, has given before: what the block leaves out stays. Only what has
 * no default and belongs to no block is every file's own. */
void jw_fields_read_over(const jw_field *table, const jw_node *root, const jw_node *base, void *into,
                         jw_faults *faults);

/* A standard uncertainty as text: in the unit of a quantity, or as a share of it ("2%"). */
int jw_spread_parse(const char *text, jw_dimension dimension, double *relative, double *absolute);

/* SI bounds of a quantity. */
void jw_field_range(const jw_field *field, double *low, double *high);

/* Whether a text would be accepted for a field of one value. */
int jw_field_accepts(const jw_field *field, const char *text);

/* Turns an error of another module into a fault at the value that it speaks of. */
void jw_fields_blame(const jw_field *table, const jw_node *root, const jw_error *error, jw_faults *faults);

void jw_fault_node(jw_faults *faults, const jw_node *node, const char *message);

/* A fault at a key path, or at the deepest block of it that is there. */
void jw_fault_at(jw_faults *faults, const jw_node *root, const char *path, const char *message);

/* The table for people. \return JW_OK or JW_E_WRITE */
jw_status jw_fields_print(const jw_field *table, const char *prefix, FILE *out);

#endif
