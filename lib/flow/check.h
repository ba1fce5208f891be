/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a caller from outside may hand in wrong. */
#ifndef JW_FLOW_CHECK_H
#define JW_FLOW_CHECK_H

#include "base/base.h"

#include <jetwright/flow.h>

/* Bores that pass for a jet, by its mark, its flow or what a rejet may ask for. */
#define JW_SMALLEST_JET_M 20e-6
#define JW_LARGEST_JET_M 20e-3
/* Below it no discharge coefficient was measured: Lichtarowicz et al. (1965). */
#define JW_LEAST_REYNOLDS 10.0

static inline jw_status jw_check_liquid(const jw_liquid_flow *liquid, jw_error *error)
{
	jw_status status = jw_check_range("density_kg_m3", liquid->density_kg_m3, 1.0, 1e5, error);
	return status == JW_OK ? jw_check_range("viscosity_m2_s", liquid->viscosity_m2_s, 1e-9, 1.0, error) : status;
}

/* Beside its bore. */
static inline jw_status jw_check_shape(const jw_orifice *orifice, jw_error *error)
{
	jw_status status = jw_check_range("length_m", orifice->length_m, 0.0, 1.0, error);
	return status == JW_OK ? jw_check_range("coefficient", orifice->coefficient, 0.0, 10.0, error) : status;
}

#endif
