/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_SOLVE_UNCERTAINTY_H
#define JW_SOLVE_UNCERTAINTY_H

#include "base/base.h"

#include <jetwright/uncertainty.h>

/* Whether each input is finite and its distribution can have such a mean, spread and freedom. */
jw_status jw_inputs_check(const jw_input *inputs, int count, jw_error *error);

/* Evaluates the model; what is not finite is JW_E_NOT_FINITE. */
jw_status jw_model_at(jw_model model, void *context, const double *x, double *y, jw_error *error);

#endif
