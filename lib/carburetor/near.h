/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The carburetor as a solver sees it, which asks for many flows in turn: each search starts from the last answer. */
#ifndef JW_CARBURETOR_NEAR_H
#define JW_CARBURETOR_NEAR_H

#include "solve/root.h"

#include <jetwright/carburetor.h>

/* The air's way at one setting of the controls: what does not depend on the flow. */
typedef struct jw_path {
	const jw_carburetor *carburetor;
	const jw_gas *air;
	double ambient_pa;
	double depression_gain;
	double filter_pa;     /* per (kg/s)^2 */
	double choke_m2;      /* effective area past the choke plate; 0 = none fitted */
	double widest_m;      /* lift that opens the throat most */
	double throat_m2;     /* effective area there */
	double capacity_kg_s; /* see jw_carburetor_capacity */
} jw_path;

jw_path jw_path_of(const jw_carburetor *carburetor, const jw_controls *controls, const jw_gas *air, double ambient_pa,
                   double depression_gain);

/* Depression at mean flow, in which a pulse table tells pulls, Pa; so little is no pull.
 * \param share of the nozzle's that the outlet in question feels */
#define JW_LEAST_PULL_PA 1e-3
static inline double jw_steady_pull(const jw_air_path *path, double share)
{
	return fmax(share * (path->mouth_pa - path->throat_steady_pa), JW_LEAST_PULL_PA);
}

/* Diameter of a rod where it stands in its jet, m. */
double jw_rod_in_jet(const jw_rod *rod, double throttle);

/* Effective area of the throat under its slide at a lift, m2. */
double jw_throat_area(const jw_carburetor *carburetor, double lift_m);

/* Share of the nozzle's pull that the outlet of a power jet feels at a lift: all where it ends beside the nozzle. That
 * of a piston slide stands in the whole bore ahead of it, where the same air goes slower, bore area times v = effective
 * throat area times v_throat (continuity); pressure falls by the square of v (Bernoulli). */
double jw_power_share(const jw_carburetor *carburetor, double lift_m);

/* Pressure at that outlet. Where air flows back, as a higher pressure at the plate than at the mouth tells, it leaves
 * the gap under a piston slide as a jet, loses its speed in the bore, and goes out at the mouth's pressure: no pull. */
double jw_power_pa(const jw_carburetor *carburetor, double share, double mouth_pa, double nozzle_pa, double plate_pa);

/* Whether ports ahead of what throttles lie beside the nozzle, in the gap under a piston slide: it narrows from the
 * front edge to the rear one, so that nothing is regained before them. Else they lie ahead of a plate, behind the
 * diffuser. */
int jw_ports_at_nozzle(const jw_carburetor *carburetor);

/* Where to seek a floating slide: at a lift that is thought near, NAN: none is known. */
jw_guess jw_lift_guess(const jw_carburetor *carburetor, double near_m);

/* jw_carburetor_air, its floating slide sought from a guess, which becomes its lift. */
jw_status jw_path_at(const jw_path *path, double kg_s, jw_guess *lift, jw_air_path *at, jw_error *error);

/* jw_carburetor_fuel; the wells are sought from those of a like carburetor, NULL: none is known. */
jw_status jw_carburetor_fuel_near(const jw_carburetor *carburetor, const jw_fuel_ends *ends,
                                  const jw_carburetor_flow *near, jw_carburetor_flow *flow, jw_error *error);

/* The main circuit between bowl and nozzle (its one outlet), and the pilot circuit with its outlets: behind the screw,
 * ports behind the plate, ports ahead of it. Each at its fuel level, with the pressures of the ends. */
#define JW_PILOT_OUTLETS 3
double jw_carburetor_annulus(const jw_carburetor *carburetor, double lift_m); /* Cd A of that outlet */
jw_branch jw_carburetor_main(const jw_carburetor *carburetor, const jw_fuel_ends *ends);
jw_branch jw_carburetor_pilot(const jw_carburetor *carburetor, const jw_fuel_ends *ends);

/* The power jet and the enrichener with their one outlet, which is shut where there is none. */
jw_branch jw_carburetor_power(const jw_carburetor *carburetor, const jw_fuel_ends *ends);
jw_branch jw_carburetor_enrichener(const jw_carburetor *carburetor, const jw_fuel_ends *ends);

/* The power jet alone, sought near a pressure of its well; NAN: none is known. */
jw_status jw_carburetor_power_near(const jw_carburetor *carburetor, const jw_fuel_ends *ends, double near_pa,
                                   jw_circuit_flow *flow, jw_error *error);

#endif
