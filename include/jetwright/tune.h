/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file tune.h
 * Making a set-up agree with an engine that runs right, and the brass that restores a mixture.
 */
#ifndef JETWRIGHT_TUNE_H
#define JETWRIGHT_TUNE_H

#include <jetwright/point.h>

#ifdef __cplusplus
extern "C" {
#endif

/** "With this brass, in this air, lambda is right at idle, half and full." */
typedef struct jw_baseline {
	jw_air air;
	double lambda_idle, lambda_half, lambda_full;
} jw_baseline;

/** What a calibration found. */
typedef struct jw_calibration {
	jw_coefficients coefficient;     /**< pilot from idle, needle from half, main from full; air kept */
	double lambda_uncalibrated[JW_RANGE_COUNT]; /**< with the coefficients at 1; 0 where no fuel flows */
} jw_calibration;

/** Solves one coefficient per circuit so that lambda is right at idle, half and full; changes nothing in the set-up.
 * \return JW_OK, JW_W_COEFFICIENT (a coefficient outside 0.8..1.25: check the dimensions), JW_E_BASELINE (not to be met
 * within 0.2..5; the error names the range) */
JW_API jw_status jw_calibrate(const jw_setup *setup, const jw_baseline *baseline, jw_calibration *result, jw_error *error);

/** Elements of a set-up that a person can exchange or turn. */
typedef enum jw_part {
	JW_PART_MAIN_JET,
	JW_PART_PILOT_JET,
	JW_PART_MAIN_AIR_JET,
	JW_PART_PILOT_AIR_JET,
	JW_PART_MIXTURE_SCREW,
	JW_PART_NEEDLE_POSITION,
	JW_PART_COUNT
} jw_part;

/** The word of a part ("main_jet"), or NULL. */
JW_API const char *jw_part_name(jw_part part);

/** Its dimension in a set-up, SI (bores and heights in m, screw in turns). */
JW_API double jw_part_value(const jw_setup *setup, jw_part part);

/** Changes it. \return JW_OK or JW_E_RANGE */
JW_API jw_status jw_part_set(jw_setup *setup, jw_part part, double value, jw_error *error);

/** The value of one part that gives a wanted phi at a point, everything else unchanged.
 * \return JW_OK, JW_E_NO_ROOT (out of reach within the part's sensible range) */
JW_API jw_status jw_part_for_phi(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_part part, double phi,
                                 double *value, jw_error *error);

/** Changes that owners make and then ask about; the words are those of the YAML files. */
typedef enum jw_change_kind {
	JW_CHANGE_FILTER_OPEN,     /**< filter or airbox removed, or an open filter fitted */
	JW_CHANGE_EXHAUST_FREER,   /**< exhaust with less back pressure */
	JW_CHANGE_KIND_COUNT
} jw_change_kind;

/** The word of a change ("filter_open"), or NULL; its plain description through jw_change_text. */
JW_API const char *jw_change_name(jw_change_kind kind);
JW_API const char *jw_change_text(jw_change_kind kind);

/** Applies a change to a set-up. */
JW_API jw_status jw_change_apply(jw_setup *setup, jw_change_kind kind, jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
