/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Evidence weighed against a hypothesis: sums over its severity and over what all evidence shares of the engine. */
#ifndef JW_DIAGNOSE_POSTERIOR_H
#define JW_DIAGNOSE_POSTERIOR_H

#include "diagnose/deviates.h"
#include "diagnose/evidence.h"
#include "diagnose/prior.h"

/* How much likelier or less likely a cause must make a fact to speak for or against it, and the change of phi below
 * which it moves no mixture. */
#define JW_TELLING_RATIO 1.5
#define JW_LEAST_CHANGE 0.01

/* One case on one engine, with all that does not depend on the cause. */
typedef struct jw_inquiry {
	jw_background background;
	const struct jw_carried *carried;  /* odds of every hypothesis, in place of those beforehand; NULL: none */
	jw_evidence fact[JW_EVIDENCE_MAX]; /* each thing once, as the rows read it; in the order of the ranges */
	int facts;
	int first[JW_RANGE_COUNT + 1]; /* fact of each range */
	int reading[JW_RANGE_COUNT];   /* fact that is one, or -1 */
	int fact_of[JW_EVIDENCE_MAX];  /* of each piece of evidence */
	int evidences;
	unsigned needs[JW_RANGE_COUNT], wants[JW_RANGE_COUNT]; /* of each range's facts */
	double sound_air[JW_RANGE_COUNT];                      /* kg/s, of the engine as it ran right */
	double shift[JW_RANGE_COUNT][JW_SHARED];               /* of ln(phi), per standard deviation of each coefficient */
	jw_deviate draw[JW_DRAWS];
} jw_inquiry;

/* Solves the sound engine in every range. \param known with at least one, and only well-formed evidence */
jw_status jw_inquiry_open(const jw_setup *healthy, const jw_case *known, jw_inquiry *inquiry, jw_error *error);

/* Severities of a hypothesis, at most: those of one cause, or the likeliest of two together. */
#define JW_SCENE_NODES 32

/* What the model says of a hypothesis at each severity. */
typedef struct jw_scene {
	int nodes;
	double density[JW_SCENE_NODES]; /* probability of each beforehand; 0 where the model cannot be solved */
	double brought[JW_SCENE_NODES]; /* share of each that is brought in */
	jw_signs signs[JW_SCENE_NODES][JW_RANGE_COUNT];
	double told[JW_EVIDENCE_MAX]; /* of each fact */
} jw_scene;

/* Solves an engine with one cause at every severity. */
void jw_scene_of_cause(const jw_inquiry *inquiry, const jw_setup *base, int cause, const double *density,
                       jw_scene *scene);

/* Solves an engine as it is. Of a cause that is known by evidence alone the model says no more. */
jw_status jw_scene_of_setup(const jw_inquiry *inquiry, const jw_setup *setup, jw_scene *scene, jw_error *error);

/* The engine as it ran right, in the air in which it did. */
jw_status jw_scene_of_past(const jw_inquiry *inquiry, jw_scene *scene, jw_error *error);

/* Solves a set-up in the ranges of a mask, one bit each. */
jw_status jw_solve_signs(const jw_inquiry *inquiry, const jw_setup *setup, unsigned ranges, jw_signs *signs,
                         jw_error *error);

/* Solves a set-up in one range with what a trial needs (JW_NEEDS_...), whatever the case asks. */
jw_status jw_try_signs(const jw_inquiry *inquiry, const jw_setup *setup, jw_range range, unsigned needs,
                       jw_signs *signs);

#define JW_ALL_RANGES ((1u << JW_RANGE_COUNT) - 1)

/* Sets the mixture of an engine with a fault beside that of the engine without it. */
void jw_signs_compare(const jw_signs *present, jw_signs *signs);

/* Sets a scene, told and of all ranges, beside the engine without its cause: the effect on the mixture, and, since what
 * is too slight to be felt is nobody's complaint, the share of each severity that is brought in where one runs badly.
 */
void jw_scene_compare(const jw_inquiry *inquiry, const jw_scene *present, jw_scene *scene);

/* Adds what a cause tells of the facts beside the model. */
void jw_scene_tell(const jw_inquiry *inquiry, int cause, jw_scene *scene);

/* Share of engines with a cause on which a thing is seen, beyond what the model foretells; JW_NOT_TOLD: none is told,
 * or it is of the mixture, which the model of the supply tells. */
double jw_told_of(const jw_inquiry *inquiry, int cause, const jw_evidence *seen);

/* Cells of ln(lambda), all alike; the last holds all beyond it and stands for no fuel. */
#define JW_CELLS 161
#define JW_CELLS_LOW (-1.2)
#define JW_CELLS_STEP 0.015

/* What the evidence says of one hypothesis. */
typedef struct jw_weight {
	double likelihood;                       /* of all evidence together */
	double severity[JW_NODES];               /* probability of each severity */
	double each[JW_EVIDENCE_MAX];            /* of each fact, given the hypothesis and all other facts */
	double lambda[JW_RANGE_COUNT][JW_CELLS]; /* probability of each cell of ln(lambda) */
} jw_weight;

void jw_weigh(const jw_inquiry *inquiry, const jw_scene *scene, jw_weight *weight);

/* Probability of each fact by itself. \param predicted facts values */
void jw_predict(const jw_inquiry *inquiry, const jw_scene *scene, double *predicted);

/* The likelihood alone, over every stride-th draw. \param stride divides half of JW_DRAWS */
double jw_total_likelihood(const jw_inquiry *inquiry, const jw_scene *scene, int stride);

/* Likelihood of one fact, all deviates 0. \param signs of every range */
double jw_expected_likelihood(const jw_inquiry *inquiry, const double *told, const jw_signs *signs, int fact);

/* Severity below which a share of the probability lies. */
double jw_severity_quantile(const double *severity, double share);

/* Median and 90 % of lambda; all 0 where fuel may as well stop, high_90 0 where it may. */
jw_interval jw_lambda_interval(const double *lambda);

/* Relative standard uncertainty of phi in a range, from the shared coefficients and from the model. */
double jw_shared_uncertainty(const jw_inquiry *inquiry, jw_range range, double effect);

#endif
