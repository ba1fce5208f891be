/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_CIRCUIT_NEAR_H
#define JW_CIRCUIT_NEAR_H

#include <jetwright/circuit.h>

/* jw_circuit_solve, its search begun at a well pressure that is thought near; NAN: none is known. */
jw_status jw_circuit_near(const jw_circuit *circuit, const jw_circuit_ends *ends, double well_pa, jw_circuit_flow *flow,
                          jw_error *error);

#endif
