/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file circuit.h
 * A fuel circuit: a fuel jet and an air jet feed one well, an emulsion leaves it through one or more outlets.
 * Main, pilot and enrichener are all this; a restriction is a change of one element.
 */
#ifndef JETWRIGHT_CIRCUIT_H
#define JETWRIGHT_CIRCUIT_H

#include <jetwright/flow.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Outlets of a circuit, at most. */
#define JW_OUTLETS 8

/** The fixed parts of a circuit. Heights count from the fuel level in the bowl. */
typedef struct jw_circuit {
	jw_orifice fuel_jet;
	jw_orifice air_jet;      /**< diameter 0: no bleed */
	double bleed_depth_m;    /**< bleed holes below the level; negative above it */
	double outlet_height_m;  /**< outlet above the level */
	double fuel_coefficient; /**< multiplies what the fuel jet passes; 1 unless calibrated */
	int slip;                /**< emulsion model, see ::jw_emulsion */
} jw_circuit;

/** One way out of the well. Where its pressure is above the well's it draws air in. */
typedef struct jw_outlet {
	double effective_area_m2; /**< Cd A */
	double pressure_pa;
} jw_outlet;

/** What the circuit hangs between. */
typedef struct jw_circuit_ends {
	double bowl_pa; /**< on the fuel in the bowl */
	double air_pa;  /**< at the mouth of the air jet */
	jw_outlet outlet[JW_OUTLETS];
	int outlets;
	jw_liquid_flow fuel;
	jw_gas air;
	/** A second circuit that draws its fuel from this one's well instead of the bowl; NULL: none. Its ends' bowl_pa is ignored,
	 * and it has no branch of its own. */
	const struct jw_branch *branch;
} jw_circuit_ends;

/** The answer. */
typedef struct jw_circuit_flow {
	double fuel_kg_s;
	double bleed_kg_s;             /**< air through the air jet */
	double outlet_kg_s[JW_OUTLETS]; /**< emulsion; negative: air drawn in */
	double well_pa;                /**< at the bleed holes */
	double quality;                /**< of the emulsion */
	double branch_kg_s;            /**< fuel that the branch draws from the well */
} jw_circuit_flow;

/** A circuit nested in another's well, as a pilot fed from the main well. */
typedef struct jw_branch {
	jw_circuit circuit;
	jw_circuit_ends ends;
} jw_branch;

/** Pressure on the bowl that would feed a nested circuit as a well at this pressure does, Pa (hydrostatics: by
 * definition).
 * \param well_pa as solved by ::jw_circuit_solve, above 0 */
JW_API double jw_branch_feed(const jw_circuit *circuit, const jw_circuit_ends *ends, double well_pa);

/** Solves one circuit: the one well pressure at which what enters can leave. Allocates nothing. The balance of masses
 * is that of an air-bled jet (by definition), each element by its law in flow.h. The head from bleed to outlet is that
 * of the liquid while the holes are covered and falls to a fixed 5 % of it as they uncover (a ramp over twice the
 * difference keeps the answer unique), whatever the emulsion's quality: were it by the emulsion's own density, a larger
 * fuel jet could lean the mixture by the column's weight alone. Mass closes to 1e-9 of the flow.
 * \param circuit bores 0..0.1 m, lengths 0..1 m, discharge coefficients 0..10, heights -1..1 m, fuel coefficient 0..1000
 * \param ends pressures of bowl and air jet 1e3..1e6 Pa, of outlets 1e2..1e6 Pa; 0..::JW_OUTLETS outlets, each of
 * 0..1e-2 m2; fuel of 1..1e5 kg/m3 and 1e-9..1 m2/s; air of 100..1000 K, 10..1e4 J/(kg K), 1e-7..1e-3 Pa s; of a branch
 * and its ends the same
 * \return JW_OK, JW_W_NO_FUEL, JW_W_CHOKED, JW_W_EXTRAPOLATED, JW_W_NEAR_THRESHOLD, JW_W_FLOODED, JW_E_RANGE,
 * JW_E_NOT_FINITE, JW_E_ARGUMENT (a branch of a branch), JW_E_NO_CONVERGENCE */
JW_API jw_status jw_circuit_solve(const jw_circuit *circuit, const jw_circuit_ends *ends, jw_circuit_flow *flow,
                                  jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
