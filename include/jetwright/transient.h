/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file transient.h
 * The mixture while the throttle moves: fuel film on the inlet's walls, and the accelerator pump.
 */
#ifndef JETWRIGHT_TRANSIENT_H
#define JETWRIGHT_TRANSIENT_H

#include <jetwright/point.h>

#ifdef __cplusplus
extern "C" {
#endif

/** The film at one temperature of the wall. */
typedef struct jw_wall {
	double share;      /**< of the entering fuel that lands on the wall, 0..1 */
	double constant_s; /**< mean time that it stays there, 1e-3..1e3 */
} jw_wall;

/** Share and time at a wall temperature: linear between cold and warm, held beyond them. */
JW_API jw_wall jw_film_at(const jw_film *film, double wall_k);

/** Carries the film over a step in which the entering fuel changes evenly, by the closed form of
 * dm/dt = X mi - m/tau, fuel to the cylinder (1 - X) mi + m/tau (Aquino, SAE 810494, equation from memory).
 * \param entering_kg_s at the start and at the end of the step, 0..1e3
 * \param step_s 0..1e6
 * \param[in,out] film_kg on the wall, 0..1e6
 * \param[out] cylinder_kg_s at the end of the step
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_film_step(const jw_wall *wall, const double entering_kg_s[2], double step_s, double *film_kg,
                              double *cylinder_kg_s, jw_error *error);

/** The throttle moved once, the engine's speed held. */
typedef struct jw_snap {
	double speed_rev_s;
	double from, to;    /**< throttle opening 0..1 */
	double opening_s;   /**< over which it moves evenly, 0..60; 0: within the first step */
	double enrichener;  /**< 0..1, held */
	double wall_k;      /**< temperature of the inlet's wall, 200..500 K */
	double step_s;      /**< from one instant to the next, 1e-4..1 */
} jw_snap;

/** What enters and what the cylinders get at one instant. */
typedef struct jw_instant {
	double time_s;          /**< since the throttle began to move */
	double throttle; /**< opening 0..1 */
	double phi;             /**< 1/lambda of what the cylinders get */
	double metered_kg_s;    /**< fuel of all circuits */
	double pump_kg_s;       /**< of the accelerator pump, mean of the step that ends here */
	double from_film_kg_s;  /**< fuel that leaves the film */
	double dry_air_kg_s;    /**< that the cylinders get */
	double cylinder_kg_s;   /**< fuel that the cylinders get */
	double film_kg;         /**< fuel on the wall */
	double manifold_kg;     /**< fuel carried by the air in the manifold */
} jw_instant;

/** Follows a movement of the throttle, the fuel of all circuits passing the film by ::jw_film_step (Aquino, SAE
 * 810494). The first instant is the steady state before it. At each instant air and metered fuel are those of
 * ::jw_mixture_at (quasi-steady), but the main circuit's fuel follows with the time constant of its column's inertia;
 * the pump's shot and the metered fuel both pass the film. Air and fuel then mix with what is in the manifold, first
 * order, its volume over the engine's draught being the time constant. Left out: the rush of air past the opening
 * plate that fills the manifold, the well that empties and fills, the lag of a floating slide, the change of speed.
 * The film's share and time are known to no better than jw_film.uncertainty.
 * \param instants 2..1e6, written in order of time, snap->step_s apart
 * \return JW_OK, warnings of the points passed, JW_E_ARGUMENT, JW_E_RANGE or an error of a point; on error the
 * instants are not to be read */
JW_API jw_status jw_snap_follow(const jw_setup *setup, const jw_air *air, const jw_snap *snap, jw_instant *instant,
                                int instants, jw_error *error);

/** How lean a movement went. */
typedef struct jw_stumble {
	double leanest_phi, leanest_s; /**< and when */
	double lean_s;                 /**< time during which phi lay below the limit, linear between instants */
} jw_stumble;

/** Sums up instants.
 * \param instants 1 or more
 * \param lean_phi 1/lambda at the lean limit of running, above 0: see jw_lean_limit */
JW_API jw_stumble jw_snap_stumble(const jw_instant *instant, int instants, double lean_phi);

#ifdef __cplusplus
}
#endif
#endif
