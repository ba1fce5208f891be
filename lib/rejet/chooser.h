/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the steps of a choice hand on to each other. */
#ifndef JW_REJET_CHOOSER_H
#define JW_REJET_CHOOSER_H

#include "rejet/parts.h"

#define JW_MOST_AT_HAND (JW_JETS_MOST + 1)

/* What there is of one part, rising. */
typedef struct jw_at_hand {
	double value[JW_MOST_AT_HAND]; /* of a screw's turns there are fewer */
	int place[JW_MOST_AT_HAND];
	int count;
} jw_at_hand;

typedef struct jw_chooser {
	const jw_setup *setup;
	const jw_air *air;
	double target[JW_RANGE_COUNT]; /* ln(phi) */
	double was[JW_PART_COUNT];
	double ideal[JW_PART_COUNT], ideal_lnphi[JW_RANGE_COUNT]; /* once they are sought */
	jw_part sought[JW_PART_COUNT];
	int parts;
	jw_at_hand hand[JW_PART_COUNT];
	double main_cost[JW_MOST_AT_HAND]; /* what each main jet misses in the ranges that it serves, all else ideal */
	int least_main;                    /* index of the smallest main jet that may be chosen */
	int safe;                          /* 1: some choice is safe at full throttle */
	int strict;                        /* 1: one that is not may not be taken */
	int any_bore;                      /* 1: the main jet is made to fit the others */
	jw_error *error;
} jw_chooser;

/* A set out of what is at hand. */
typedef struct jw_pick {
	int index[JW_PART_COUNT];
	double value[JW_PART_COUNT], lnphi[JW_RANGE_COUNT];
	double cost, judged;
} jw_pick;

/* ---- at_hand.c ---- */

int jw_is_sought(const jw_setup *setup, jw_part part);
double jw_usual_step(const jw_chooser *chooser, jw_part part);
/* Within what the part can be. */
double jw_bounded(const jw_chooser *chooser, jw_part part, double value);
/* Cost of a part so far off: decides where several parts could do the same. */
double jw_pull(const jw_chooser *chooser, jw_part part, double off);
/* Where no list of jets is given, any bore is at hand: the ideal one. */
void jw_lay_out(const jw_rejet_request *request, jw_chooser *chooser, jw_part part, double ideal);

/* Two bores that are one jet, as near as jets are made. */
int jw_same_jet(double bore_m, double other_m);

/* Index of the one nearest to a value. */
int jw_nearest(const jw_at_hand *hand, double value);

/* ---- cost.c ---- */

/* ln(phi) of every range with a set of parts, indexed by part. */
jw_status jw_set_lnphi(const jw_chooser *chooser, const double *value, double *lnphi);
/* Of ln(phi) off what is wanted. */
double jw_miss_cost(jw_range range, double off);
/* Of several ranges. */
double jw_misses_cost(const jw_chooser *chooser, const double *lnphi, jw_range from, jw_range to);
double jw_moves_cost(const jw_chooser *chooser, const double *value);
/* Of pilot jet and screw away from their ideal. */
double jw_bent_cost(const jw_chooser *chooser, const double *value, const double *ideal);
/* Of ln(phi): nobody bends a choice for less. */
#define JW_TRACE 1e-4
/* How much leaner than allowed at full throttle. */
double jw_unsafe_by(const jw_chooser *chooser, const double *lnphi);
/* By more than a trace. */
int jw_too_lean(const jw_chooser *chooser, const double *lnphi);

/* ---- ideal.c ---- */

/* The main jet that brings full throttle on its target, or as near as it can; the other parts as they are. */
void jw_set_main(const jw_chooser *chooser, double *value);
/* Fills `ideal` and its ln(phi). */
jw_status jw_seek_ideal(jw_chooser *chooser);

/* ---- pick.c ---- */

/* Fills a pick from its indices. */
jw_status jw_judge_pick(const jw_chooser *chooser, jw_pick *pick);
jw_status jw_seek_pick(jw_chooser *chooser, jw_pick *best);

/* ---- tell.c ---- */

jw_status jw_tell_parts(const jw_chooser *chooser, const jw_pick *pick, jw_rejet_choice *choice);
/* Where trials begin; the doubt of a choice is in it already. */
jw_status jw_begin_trials(const jw_chooser *chooser, const jw_pick *pick, jw_rejet_choice *choice);

#endif
