/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file uncertainty.h
 * How uncertain a result is whose inputs are: by first-order propagation (JCGM 100:2008) and by propagation of whole
 * distributions (JCGM 101:2008) over a low-discrepancy sequence.
 */
#ifndef JETWRIGHT_UNCERTAINTY_H
#define JETWRIGHT_UNCERTAINTY_H

#include <jetwright/status.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Inputs of a model, at most. */
#define JW_INPUTS 128

/** How an input scatters. Each is given by its mean and standard deviation. */
typedef enum jw_distribution {
	JW_NORMAL,
	JW_RECTANGULAR,
	JW_TRIANGULAR,
	JW_STUDENT,    /**< with the input's degrees of freedom, above 2 */
	JW_LOG_NORMAL, /**< mean above 0 */
	JW_DISTRIBUTION_COUNT
} jw_distribution;

/** One input, independent of the others. */
typedef struct jw_input {
	double mean; /**< in the unit that the model takes */
	double uncertainty; /**< standard, 0 or more */
	double freedom;     /**< degrees of freedom of that uncertainty; 0 = without limit */
	jw_distribution distribution;
} jw_input;

/** A result from inputs in their order. \return JW_OK, warnings, or an error, which ends the propagation */
typedef jw_status (*jw_model)(const double *inputs, double *output, void *context);

/** What first order says. */
typedef struct jw_propagation {
	double value;       /**< at the means */
	double uncertainty; /**< combined standard uncertainty */
	double freedom;     /**< effective degrees of freedom (Welch-Satterthwaite); 0 = without limit */
} jw_propagation;

/** First-order propagation, u^2 = sum (c_i u_i)^2 (JCGM 100, 5.1.2), slopes c_i by central differences.
 * \param step of the differences, in standard uncertainties, above 0 up to 1. A small one gives the slope at the means;
 * 1 gives the change over one uncertainty either way (JCGM 100, 5.1.3 note 2), the better guide where the model bends.
 * \param[out] contribution c_i u_i of each input, with its sign; may be NULL
 * \return JW_OK, warnings of the model, JW_E_RANGE, JW_E_NOT_FINITE, or what the model returns */
JW_API jw_status jw_propagate(jw_model model, void *context, const jw_input *inputs, int count, double step,
                              double *contribution, jw_propagation *result, jw_error *error);

/** Combined standard uncertainty with the second-order terms (JCGM 100, 5.1.2 note), right for normal inputs. Evaluates
 * the model 2 count^2 + 2 count + 1 times.
 * \param step as for ::jw_propagate
 * \param[out] uncertainty standard, in the unit of the model's output
 * \return as ::jw_propagate */
JW_API jw_status jw_propagate_second(jw_model model, void *context, const jw_input *inputs, int count, double step,
                                     double *uncertainty, jw_error *error);

/** Factor k for which +-k u holds the value with a probability (JCGM 100, G.3).
 * \param freedom degrees of freedom, 0.5..1e9; 0 = without limit (normal)
 * \param probability 1e-9..1 - 1e-9
 * \param[out] factor k, above 0
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_coverage_factor(double freedom, double probability, double *factor, jw_error *error);

/** What propagated distributions say. */
typedef struct jw_sampling {
	double mean, deviation;             /**< of the output; deviation is its standard uncertainty */
	double low, high;                   /**< probabilistically symmetric interval */
	double shortest_low, shortest_high; /**< the shortest interval of the same probability */
	int left_out; /**< samples that the model refused by JW_E_RANGE: the distribution is cut there */
} jw_sampling;

/** Propagates distributions (JCGM 101) by evaluating the model over a low-discrepancy sequence: Sobol's for the first
 * 40 inputs, which should be the weightiest; the others are pseudo-random. The same each time; allocates nothing.
 * \param samples 100..1e9; powers of two less one fill Sobol's net
 * \param probability of the intervals, 1e-9..1 - 1e-9
 * \param[out] outputs room for `samples` values, sorted on return; worked in, so that on error they are not to be read
 * \return JW_OK, warnings of the model, JW_E_RANGE (also where the model refuses more than half), JW_E_NOT_FINITE,
 * JW_E_MEMORY, or what the model returns */
JW_API jw_status jw_sample(jw_model model, void *context, const jw_input *inputs, int count, int samples,
                           double probability, double *outputs, jw_sampling *result, jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
