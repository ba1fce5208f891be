/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef JW_CIRCUIT_NEAR_H
#define JW_CIRCUIT_NEAR_H

#include <jetwright/circuit.h>

/* jw_circuit_solve, its search begun at a well pressure that is thought near; NAN: none is known. */
jw_status jw_circuit_near(const jw_circuit *circuit, const jw_circuit_ends *ends, double well_pa, jw_circuit_flow *flow,
                          jw_error *error);

/* Whatever goes through zero leaves the range of its formula there, and nothing hangs on it. */
static inline jw_status jw_of_little(jw_status status)
{
	return status < 0 ? status : status & ~JW_W_EXTRAPOLATED;
}

/* Air through the air jet into a well that is driven over a cycle: there it goes through zero.
 * \param well_pa at most that of the air */
jw_status jw_driven_bleed(const jw_circuit *circuit, const jw_circuit_ends *ends, double well_pa, double *kg_s);

/* Air that enters through a circuit: its bleed and what its outlets draw in, kg/s. */
double jw_circuit_air(const jw_circuit_flow *flow);

/* Weight of the column from bleed to outlet at a pressure of the well, Pa: liquid while the bleed is covered. */
double jw_circuit_head(const jw_circuit *circuit, const jw_circuit_ends *ends, double well_pa);

/* Where a search for a well's pressure begins, and how steeply it rises there: left so by the last one; not a number
 * where none is known. */
typedef struct jw_well_near {
	double well_pa, slope;
} jw_well_near;

/* The well of a circuit whose fuel is given, as a column with inertia brings it: heads, bleed and outlets as in
 * jw_circuit_solve, not the fuel jet and no branch. The ends are taken as sound. */
jw_status jw_circuit_driven(const jw_circuit *circuit, const jw_circuit_ends *ends, double fuel_kg_s,
                            jw_well_near *near, jw_circuit_flow *flow, jw_error *error);

#endif
