/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Evidence as data: what an engine does in a range, and how likely that is given its mixture. */
#ifndef JW_DIAGNOSE_EVIDENCE_H
#define JW_DIAGNOSE_EVIDENCE_H

#include "diagnose/want.h"
#include <jetwright/diagnose.h>

/* What is read on the carburetor taken apart, on a scale on which two causes add; the same in every range. */
typedef enum jw_bench {
	JW_BENCH_LEVEL,      /* of the fuel above where it belongs, m */
	JW_BENCH_PILOT_BORE, /* ln of the bore that the jet acts like, over the one that the engine ran right with */
	JW_BENCH_MAIN_BORE,
	JW_BENCH_PILOT_FLOW, /* ln of the share of its clean flow that the jet passes */
	JW_BENCH_MAIN_FLOW,
	JW_BENCH_SCREW,      /* turns further out than its setting */
	JW_BENCH_NEEDLE,     /* of the needle above where it belongs, m */
	JW_BENCH_NEEDLE_JET, /* ln of its bore over that of the engine that ran right */
	JW_BENCH_COUNT
} jw_bench;

/* What the model says of one range of a set-up. */
typedef struct jw_signs {
	double lnphi;                                 /* with the enrichener as the range has it */
	double lnphi_enriched;                        /* with the enrichener open */
	double lnphi_screw;                           /* with the mixture screw half a turn further out */
	double lnair;                                 /* air against the sound engine's */
	double leak_share;                            /* of the air that a spray reaches */
	double effect, effect_enriched, effect_screw; /* of the fault on each of these; 0 without one */
	int starved;                                  /* all three are what the supply brings, and err as one */
	double tolerance;                             /* of the engine for lean and rich, in standard deviations */
	double bench[JW_BENCH_COUNT];
	const double *past; /* what jw_past_limits says of lnphi, where that is known already; else NULL */
} jw_signs;

/* Which of them cost a solve of their own. */
#define JW_NEEDS_PLAIN 1u
#define JW_NEEDS_ENRICHED 2u
#define JW_NEEDS_SCREW 4u

typedef struct jw_evidence_row jw_evidence_row;

/* Probability of a row's evidence on an engine with these signs, before doubt is added. */
typedef double (*jw_shape)(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen);

/* What an instrument reads, on a scale: the value itself, in SI, where `even`, else its logarithm. */
typedef struct jw_gauge {
	jw_evidence_unit stated;
	int even;
	double usual, usual_share; /* standard uncertainty where none is stated: so much, plus so much of the value */
	double span;               /* of the scale: what readings may be */
	double spread;             /* from one sound engine to the next, on the scale */
	size_t over;               /* of the double in jw_setup that readings are taken over; 0: none */
	int on_bench;              /* the signs tell it: */
	jw_bench bench;
	/* Else the shares `told`, `sound` and `other` say on how many engines it reads as on a faulty one. */
	double sound, faulty, faulty_spread; /* values in SI, and on the scale */
} jw_gauge;

struct jw_evidence_row {
	jw_evidence_kind kind;
	const jw_gauge *gauge; /* of readings */
	jw_shape shape;
	unsigned needs;
	jw_want lean, rich;          /* limits that the shape compares with */
	double lean_says, rich_says; /* how many engines beyond that limit show it */
	double limit;                /* a lambda that the shape compares with */
	double sound;                /* how many engines show it, whatever their mixture */
	double other;                /* how many engines that ail from something unnamed show it */
	int plain;                   /* hardly anybody mistakes it */
	int good;                    /* nothing is wrong where it is seen */
	int harmless;                /* engines in order may show it or not, so that neither is a complaint */
	const char *opposite;        /* another answer to the same question, in the same range; NULL: there is none */
	const char *against[2];      /* what else cannot be so at once */
	const char *implies; /* what is so wherever this is; of a reading, wherever it reads as on a faulty engine */
};

/* Row of the vocabulary, or NULL outside. */
const jw_evidence_row *jw_evidence_row_at(int kind);

/* Range and uncertainty as the row understands them. */
jw_evidence jw_evidence_read(const jw_evidence *seen);

/* Shares that a cause tells of itself, beside what the model foretells; other values are probabilities. */
#define JW_NOT_TOLD (-2.0)    /* the model alone speaks */
#define JW_ANY_MIXTURE (-1.0) /* a reading may be anything */

/* L = (1-e) model + e/K of anything but a reading: people err and engines differ. A told share stands for what the
 * mixture says nothing of; else it is a second reason for trouble, or a second condition of running well. */
double jw_likelihood(const jw_evidence *seen, const jw_signs *signs, double told);

/* The same where the cause is unnamed. */
double jw_likelihood_other(const jw_evidence *seen);

/* Limits that a row compares lnphi with, one bit each. */
unsigned jw_wants_asked(const jw_evidence_row *row);

/* Two told shares in one. */
double jw_tell_both(const jw_evidence *seen, double first, double second);

/* The shape of readings but that of the mixture. */
double jw_gauge_shape(const jw_evidence_row *row, const jw_signs *signs, const jw_evidence *seen);

/* Whether a row is a reading of the mixture, which the model's own error goes with. */
int jw_reads_mixture(const jw_evidence_row *row);

/* Probability that a reading to come, taken on the bench, stands out from those of sound engines.
 * \param signs NULL: the cause is unnamed \param side -1: below them, 1: above */
double jw_reads_off(const jw_evidence_row *row, const jw_signs *signs, double told, int side);

/* Whether a reading is nearer to what a faulty engine reads than to a sound one; 0 of the mixture, and of words. */
int jw_reads_faulty(const jw_evidence *seen);

/* What one piece of evidence says of another kind: 1 that it is as it was answered, -1 that it cannot be, 0 nothing. */
int jw_evidence_settles(const jw_evidence *a, const jw_evidence *b);

/* How far two readings of one kind are apart, in standard uncertainties of their difference. */
double jw_readings_apart(const jw_evidence *a, const jw_evidence *b);

/* A reading of ln(phi) beside a model that errs by so much itself. */
typedef struct jw_reading_weight {
	double believed;      /* (1-e) of the reading's probability */
	double doubted;       /* e/K: it says nothing */
	double error, spread; /* of the model, if the reading is believed */
} jw_reading_weight;

jw_reading_weight jw_weigh_reading(const jw_evidence *seen, double lnphi, double model_spread);

/* Readings of one thing in one: their weighted mean, with a wider spread where they disagree (Birge, Phys. Rev. 40
 * (1932) 207). */
jw_evidence jw_merge_readings(const jw_evidence *reading, int n);

/* Trouble, or anything good denied, or read as on an engine in trouble. */
int jw_complains(const jw_evidence *seen);

/* Trouble in running that the mixture may make. */
int jw_runs_badly(const jw_evidence *seen);

#endif
