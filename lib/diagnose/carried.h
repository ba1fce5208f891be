/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is believed of an engine between two visits: which faults it has, one or two at once.
 *
 * Between repairs nothing changes, so all that is seen from one repair to the next speaks of one set of faults S, and
 * Bayes' rule over sets weighs it as it weighs a single visit. A visit's repairs then turn S into S':
 *
 *     P(S' | seen so far, result) = sum over S of P(S | seen so far) P(S' | S, repairs) P(result | S, S')
 *
 * and that is what the next visit's evidence is weighed with in place of the odds beforehand. With at most two faults
 * the sum is over which of them was removed: none, one, the other, both. Evidence from before a repair so speaks for S
 * alone, and what it says of S' comes through S. P(S' | S, repairs): each fault that a repair is meant to mend goes
 * with the probability that such a repair holds, each by itself; a carburetor that was opened may be put together
 * wrongly, where there is room for a second fault; what is sound, or was made so, may fail anew in the time until the
 * next visit. Faults without a name stay. What is not carried over a repair: how far a fault goes, which is judged
 * anew, and what the evidence told of this engine's coefficients and tolerance.
 */
#ifndef JW_DIAGNOSE_CARRIED_H
#define JW_DIAGNOSE_CARRIED_H

#include <jetwright/diagnose.h>

typedef struct jw_carried {
	double sound, other;
	double alone[JW_CAUSES_MOST];
	double pair[JW_CAUSES_MOST][JW_CAUSES_MOST]; /* the smaller cause first */
} jw_carried;

/* Where a pair stands. */
double *jw_carried_pair(jw_carried *carried, int cause, int other);

double jw_carried_both(const jw_carried *carried, int cause, int other);

/* To a sum of 1. \return JW_E_RANGE where it is 0 */
jw_status jw_carried_normalise(jw_carried *carried, jw_error *error);

/* Alone or beside another. */
double jw_carried_marginal(const jw_carried *carried, int cause);

/* The sum above over one visit's repairs, their result among them. \param done by cause, as in ::jw_visit */
jw_status jw_carried_repair(const int *done, jw_result result, jw_carried *carried, jw_error *error);

/* What befalls an engine that is sound, over so many days; `odds` of each cause. */
void jw_carried_wait(double days, const double *odds, jw_carried *carried);

#endif
