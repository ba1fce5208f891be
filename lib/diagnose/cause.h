/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Causes as data: what each changes in a set-up, how likely it is beforehand, and what would hide it. */
#ifndef JW_DIAGNOSE_CAUSE_H
#define JW_DIAGNOSE_CAUSE_H

#include "tune/passage.h"

#include <jetwright/diagnose.h>
#include <stddef.h>

/* How a severity s changes the element x of a set-up; a is the row's amount. */
typedef enum jw_operation {
	JW_BY_AREA,  /* a bore: its area times 1 - a s */
	JW_BY_SHARE, /* x (1 - a s) */
	JW_BY_LOSS,  /* a loss behind a blocked area: x / (1 - a s)^2 */
	JW_BY_SHIFT, /* x + a s */
	JW_BY_STICK  /* s times the throat's bore, whatever x was */
} jw_operation;

/* An element's change at severity 1. */
typedef struct jw_step {
	jw_operation operation;
	double amount;
} jw_step;

/* How the effect is told. */
typedef enum jw_effect {
	JW_EFFECT_NONE,
	JW_EFFECT_FLOW, /* share of the jet's liquid flow that is left */
	JW_EFFECT_AREA, /* share of the bore's area that is left */
	JW_EFFECT_FIT,  /* bore that belongs there */
	JW_EFFECT_HOLE,
	JW_EFFECT_WORN,
	JW_EFFECT_NEEDLE_LOW,
	JW_EFFECT_NEEDLE_HIGH,
	JW_EFFECT_LEVEL_LOW,
	JW_EFFECT_LEVEL_HIGH,
	JW_EFFECT_TURNS,
	JW_EFFECT_LIFT,
	JW_EFFECT_LOSS,
	JW_EFFECT_OPENING,
	JW_EFFECT_CLOSING,
	JW_EFFECT_COUNT
} jw_effect;

/* Offsets count from the start of jw_setup unless said otherwise. */
typedef struct jw_cause_row {
	jw_cause_info info;
	jw_need need;           /* what fails; the mixture where none is said */
	double minutes;         /* to a verified repair */
	size_t exists;          /* of a double that is above 0 where the engine has the part; 0: every engine has it */
	int several;            /* 1: only engines with several carburetors have it */
	int strokes;            /* only engines of so many have it; 0: either */
	const char *within;     /* a wider cause that takes this one in, so that both are one; NULL: none */
	int unsprayed;          /* a leak that no spray at the intake reaches */
	size_t element;         /* of the double that changes */
	int times;              /* elements changed alike, 0 counts as 1 */
	size_t stride;          /* from one to the next */
	jw_step step;           /* none: the cause is known by evidence alone */
	jw_step air_screw_step; /* where it is there, on a screw that leans when turned out */
	size_t supply;          /* of what it shuts between tank and bowl; 0: it lies elsewhere */
	int is_push;            /* that is the pressure of a pump, not a bore */
	double grows;           /* share of such engines in which it grew until it was felt; the rest came at once */
	int exchangeable;       /* the cause lies in a part that can be exchanged or turned: */
	jw_part part;
	jw_effect effect;
	jw_passage passage; /* JW_EFFECT_FLOW: the jet */
	double odds;        /* in daily use; only ratios count */
	double standing;    /* what long standing adds, as a multiple */
	double high;        /* severity density s (1-s)^high: what is not felt is no complaint */
	int rejet;          /* wrong brass: a change foretells its size, from this range */
	jw_range rejet_range;
	int undoes; /* a change brought it about, and undoing that is the other remedy beside new brass: */
	jw_change_kind change;
	double two_stroke; /* odds on a two-stroke, as a multiple; 0 counts as 1 */
	double (*weather)(const jw_setup *setup, const jw_air *air); /* the same in an air; NULL: any is alike */
	int masks;                                                   /* parts whose change would hide it */
	jw_part mask[2];
} jw_cause_row;

/* Row of a cause, or NULL outside. */
const jw_cause_row *jw_cause_row_at(int cause);

/* Whether the engine has the part that the cause is about. */
int jw_cause_possible(const jw_setup *healthy, const jw_cause_row *row);

/* Share of engines with a cause on which a thing is seen in a range, where a table has it; below 0: any mixture may be
 * read. Returns whether the table has it; then it goes before what the engine model says. */
int jw_cause_tells(const char *cause, const char *seen, jw_range range, double *share);

/* The table's entries, for checks; 0 beyond the last. */
int jw_told_entry(int entry, const char **cause, const char **seen);

/* The step that fits the engine's mixture screw. */
const jw_step *jw_cause_step(const jw_setup *setup, const jw_cause_row *row);

/* The changed element. */
double jw_cause_element(const jw_setup *setup, const jw_cause_row *row);

/* Whether the brass in the engine is known, and further off than a severity of 1 beside that which fits. */
int jw_cause_is_further_off(const jw_setup *base, const jw_setup *present, const jw_cause_row *row);

/* Whether the cause exists, the engine has the part, and the severity is 0..1. */
jw_status jw_cause_check(const jw_setup *healthy, int cause, double severity, jw_error *error);

/* Drop across the jet of a JW_EFFECT_FLOW cause, and the rod in it, on the sound engine, in the range where the cause
 * tells most; 0 for other causes and where the jet passes nothing. */
jw_status jw_cause_driven(const jw_setup *healthy, const jw_air *air, int cause, jw_driven *driven, jw_error *error);

/* Share of the clean jet's flow that a JW_EFFECT_FLOW cause leaves at a drop; without one, of its area. */
jw_status jw_cause_flow_share(const jw_setup *base, const jw_air *air, int cause, double severity,
                              const jw_driven *driven, double *share, jw_error *error);

/* jw_cause_effect with what is driven through its jet known. \param base the cause acts on; wrong brass: with the brass
 * that fits \param present value of the changed element that is in the engine, told by JW_EFFECT_FIT */
jw_status jw_cause_effect_at(const jw_setup *base, const jw_air *air, int cause, double severity,
                             const jw_driven *driven, double present, double *value, jw_error *error);

#endif
