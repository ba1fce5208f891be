/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Evidence as data: what an engine does in a range, and how likely that is given its mixture. */
#ifndef JW_DIAGNOSE_EVIDENCE_H
#define JW_DIAGNOSE_EVIDENCE_H

#include "diagnose/want.h"
#include <jetwright/diagnose.h>

/* What the model says of one range of a set-up. */
typedef struct jw_signs {
	double lnphi;          /* with the enrichener as the range has it */
	double lnphi_enriched; /* with the enrichener open */
	double lnphi_screw;    /* with the mixture screw half a turn further out */
	double lnair;          /* air against the sound engine's */
	double leak_share;     /* of the air */
} jw_signs;

/* Which of them cost a solve of their own. */
#define JW_NEEDS_PLAIN 1u
#define JW_NEEDS_ENRICHED 2u
#define JW_NEEDS_SCREW 4u

typedef struct jw_evidence_row jw_evidence_row;

/* Probability of a row's evidence on an engine with these signs, before doubt is added. */
typedef double (*jw_shape)(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen);

struct jw_evidence_row {
	jw_evidence_kind kind;
	jw_shape shape;
	unsigned needs;
	jw_want lean, rich;          /* limits that the shape compares with */
	double lean_says, rich_says; /* how many engines beyond that limit show it */
	double other;                /* how many engines that ail from something else show it */
};

/* Row of the vocabulary, or NULL outside. */
const jw_evidence_row *jw_evidence_row_at(int kind);

/* Range and uncertainty as the row understands them. */
jw_evidence jw_evidence_read(const jw_evidence *seen);

/* L = (1-e) model + e/K: people err and engines differ. */
double jw_likelihood(const jw_evidence *seen, const jw_signs *signs);

/* The same where the cause is none of the table. */
double jw_likelihood_other(const jw_evidence *seen);

#endif
