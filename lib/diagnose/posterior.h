/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Evidence weighed against a cause: quadrature over its severity and over what the model shares with every reading. */
#ifndef JW_DIAGNOSE_POSTERIOR_H
#define JW_DIAGNOSE_POSTERIOR_H

#include "diagnose/cause.h"
#include "diagnose/evidence.h"

/* Coefficients that err for all ranges together: air, main fuel (jet and needle), pilot fuel. */
#define JW_SHARED 3

/* One case on one engine, with all that does not depend on the cause. */
typedef struct jw_inquiry {
	const jw_setup *healthy;
	const jw_air *air;
	jw_evidence evidence[JW_EVIDENCE_MAX]; /* as the rows read it */
	int repeats[JW_EVIDENCE_MAX];          /* 1: says again what an earlier piece says, and does not count */
	int evidences;
	unsigned needs[JW_RANGE_COUNT];
	double sound_air[JW_RANGE_COUNT], sound_phi[JW_RANGE_COUNT];
	double shift[JW_RANGE_COUNT][JW_SHARED]; /* of ln(phi), per standard deviation of each coefficient */
} jw_inquiry;

/* Solves the sound engine in every range. \param known with at least one, and only well-formed evidence */
jw_status jw_inquiry_open(const jw_setup *healthy, const jw_case *known, jw_inquiry *inquiry, jw_error *error);

/* What the evidence says of one cause. */
typedef struct jw_weight {
	double likelihood;            /* of all evidence together, over severity and shared error */
	double severity[JW_NODES];    /* probability of each severity cell */
	double each[JW_EVIDENCE_MAX]; /* mean likelihood of each piece of evidence, given all */
} jw_weight;

/* Weighs one cause; severities that the engine model cannot solve count nothing. */
void jw_weigh(const jw_inquiry *inquiry, int cause, const double *density, jw_weight *weight);

/* Weighs the sound engine: each evidence by itself. \param before evidences values */
jw_status jw_weigh_sound(const jw_inquiry *inquiry, double *before, jw_error *error);

/* Severity below which a share of the probability lies. */
double jw_severity_quantile(const double *severity, double share);

/* Relative standard uncertainty of phi in a range, from the shared coefficients. */
double jw_shared_uncertainty(const jw_inquiry *inquiry, jw_range range);

#endif
