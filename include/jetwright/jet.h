/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file jet.h
 * What is stamped on a jet, and the bore that it stands for.
 */
#ifndef JETWRIGHT_JET_H
#define JETWRIGHT_JET_H

#include <jetwright/flow.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Ways to mark a jet; the words are those of the YAML files. */
typedef enum jw_mark_kind {
	JW_MARK_HUNDREDTHS_MM,  /**< 105 = 1.05 mm */
	JW_MARK_THOUSANDTHS_IN, /**< 41 = 0.041 in */
	JW_MARK_NUMBER_DRILL,   /**< twist drill 80 (0.0135 in) to 50 (0.0700 in), ANSI B94.11M: the higher the smaller */
	JW_MARK_FLOW_CC_MIN,    /**< cm3 a minute on a stated bench */
	JW_MARK_KIND_COUNT
} jw_mark_kind;

/** On what jets are flowed. A mark by flow means nothing without it. */
typedef struct jw_flow_bench {
	jw_orifice jet; /**< length and coefficient; its diameter is not used */
	jw_liquid_flow liquid;
	double drop_pa; /**< that drives the fuel through the jet */
} jw_flow_bench;

/** The word of a kind ("hundredths_mm"), or NULL. */
JW_API const char *jw_mark_name(jw_mark_kind kind);

/** The bore that a mark stands for. Drills are those of the table (ANSI B94.11M), flows follow
 * ::jw_bore_for_liquid_flow, the others are so many hundredths or thousandths by definition.
 * \param mark as stamped, above 0
 * \param bench for marks by flow; NULL for the others
 * \return JW_OK, JW_W_EXTRAPOLATED (flow), JW_E_RANGE (no bore of 0.02..20 mm, or no such drill), JW_E_NOT_FOUND (a
 * drill that is no whole number), JW_E_ARGUMENT (unknown kind, or a flow without a bench) */
JW_API jw_status jw_mark_bore(jw_mark_kind kind, double mark, const jw_flow_bench *bench, double *bore_m,
                              jw_error *error);

/** The mark nearest to a bore: of halves for hundredths and thousandths, of whole numbers for flows, of the table for
 * drills (ANSI B94.11M).
 * \param bore_m 20e-6..20e-3
 * \param[out] mark as it would be stamped
 * \param[out] difference_m the bore of that mark less the given one
 * \return as ::jw_mark_bore; JW_E_RANGE too where a bore lies outside the drills of the table */
JW_API jw_status jw_mark_nearest(jw_mark_kind kind, double bore_m, const jw_flow_bench *bench, double *mark,
                                 double *difference_m, jw_error *error);

/** Jets of one kind in a set, at most. */
#define JW_JETS_MOST 64

/** A jet at hand. */
typedef struct jw_jet {
	double mark, bore_m; /**< mark: as stamped, see ::jw_mark_kind */
} jw_jet;

/** Jets to choose from, each kind from the smallest bore up. */
typedef struct jw_jet_set {
	jw_mark_kind kind;
	jw_jet main[JW_JETS_MOST], pilot[JW_JETS_MOST];
	int mains, pilots;
} jw_jet_set;

#ifdef __cplusplus
}
#endif
#endif
