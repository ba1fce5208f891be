/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file cycle.h
 * One operating point, crank degree by crank degree: the reference behind the mean-value model of point.h.
 */
#ifndef JETWRIGHT_CYCLE_H
#define JETWRIGHT_CYCLE_H

#include <jetwright/point.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Crank positions of a trace, evenly spread over the cycle, the first one told again at its end. */
#define JW_CYCLE_NODES 720

/** How finely to integrate; all 0 takes what stands in brackets. */
typedef struct jw_cycle_options {
	double relative;     /**< error allowed in a step of the gas (4e-6), 1e-12..0.01 */
	double settled;      /**< change from cycle to cycle that ends the search (1e-5), 1e-8..0.01: of the gas in its own scales, of
	                          each fuel column as a share of all fuel, whose rounding would not let a finer one end */
	int cycles;          /**< most cycles of gas (100), 1..10000 */
	int fuel_parts;      /**< parts into which each step of the fuel columns is divided (1), 1..64 */
	double relaxation_rad; /**< crank angle in which a column behind a nearly shut opening answers (an eighth of a degree; four
	                            times that past the plate), 1e-6..0.1 */
	double column_factor;  /**< on the inertia of the fuel columns (1), 0.01..1000; -1000 to below 0: without inertia */
} jw_cycle_options;

/** What happens over the cycle, from top centre of the first cylinder's gas exchange. */
typedef struct jw_cycle_trace {
	double nozzle_pa[JW_CYCLE_NODES + 1];   /**< at the nozzle in the throat */
	double manifold_pa[JW_CYCLE_NODES + 1]; /**< behind the plate */
	double cylinder_pa[JW_CYCLE_NODES + 1]; /**< of the first cylinder */
	double crankcase_pa[JW_CYCLE_NODES + 1]; /**< below it, of a two-stroke that draws through it; else 0 */
	double air_kg_s[JW_CYCLE_NODES + 1];    /**< past the nozzle; below 0: back */
	double main_kg_s[JW_CYCLE_NODES + 1];   /**< through the main jet */
	double pilot_kg_s[JW_CYCLE_NODES + 1];  /**< through the pilot jet */
	double lift_m[JW_CYCLE_NODES + 1];      /**< of the slide */
} jw_cycle_trace;

/** The periodic cycle. */
typedef struct jw_cycle {
	double phi;  /**< 1/lambda, 0 without fuel or air; of all air as jw_mixture.phi: past throttle and leak, and what comes
	                  through the circuits */
	double afr; /**< kg dry air per kg fuel */
	double air_kg_s, dry_air_kg_s;  /**< mean, all paths */
	double plate_kg_s, leak_kg_s;
	double fuel_kg_s, main_kg_s, pilot_kg_s, power_kg_s, enrichener_kg_s; /**< mean */
	double volumetric_efficiency;   /**< air past throttle and leak over swept volume of ambient air */
	double closing_efficiency;      /**< the same over air of jw_engine.manifold_heating_k and of the pressure at inlet closing */
	double closing_pa;              /**< in the inlet as the valve or port of the first cylinder closes */
	double residual;                /**< burnt share of what is then in the cylinder */
	double manifold_pa, nozzle_pa;  /**< mean */
	double lift_m, box_pa;          /**< mean */
	jw_pulse pulse;     /**< factors of the mean-value model as they come out here */
	double steady_depression_pa;    /**< at the nozzle for steady flow of the same mean */
	double main_gain;   /**< depression that would draw as much from the main circuit steadily, over that one */
	double fuel_response; /**< share of the throat's pulse gain that the main circuit takes up: (main_gain - 1)/(throat - 1); below
	                           0 where bleed and back flow weigh more than the pulse */
	double mass_error, energy_error; /**< of what came in over the cycle: what does not come out */
	double fuel_error;  /**< of what the fuel jets brought over the cycle: what does not leave by the outlets */
	int cycles;         /**< of gas until periodic, a part of one counted whole */
	jw_cycle_trace trace;
} jw_cycle;

/** Solves one point by filling and emptying: cylinders with valves or ports (two-strokes with their crankcase), inlet
 * volume and runners, the column of air through throat and plate; then the fuel columns of the circuits between the
 * pressures over the cycle. The filling follows from the geometry, not from ve or coefficient.air; a leak counts.
 * Memory is allocated by the GNU Scientific Library, whose error handler decides what happens when there is none.
 * Filter and exhaust lose with the square of the mean flow; the exhaust's back pressure is that of the greatest flow
 * by `ve`. Leaves out: waves in the exhaust, heat to the walls but jw_engine.manifold_heating_k, fuel vapour, the
 * bleed's air in the filling, the air that a moving slide displaces, and what stands in DEVELOPERS.md under "The
 * cycle-resolved form". A floating slide whose fall is stated (jw_slide.fall_s) moves by its mass, spring and damping
 * within the cycle; another stands where its mean depression holds it. A pilot fed from the main well may draw that well
 * far down: its level is followed below the jet too, where a real one would draw air. Without an air jet that level is not
 * followed: JW_E_NO_CONVERGENCE ("fuel balance") where the pilot asks for more than the main jet brings. Where two steady
 * courses are possible, as of some strongly bled main circuits, the one is told to which the search leads.
 * \param setup as accepted by ::jw_setup_check,
 * \param options NULL: usual ones
 * \return JW_OK, warnings as ::jw_mixture_at, JW_E_RANGE, JW_E_NO_CONVERGENCE, JW_E_MEMORY */
JW_API jw_status jw_cycle_at(const jw_setup *setup, const jw_air *air, const jw_point *point,
                             const jw_cycle_options *options, jw_cycle *cycle, jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
