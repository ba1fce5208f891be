/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file engine.h
 * The engine's demand for air, and the pulse that it puts on the intake.
 */
#ifndef JETWRIGHT_ENGINE_H
#define JETWRIGHT_ENGINE_H

#include <jetwright/status.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Speeds at which the filling is stated, at most. */
#define JW_VE_POINTS 12
/** Points of a measured valve lift, at most. */
#define JW_CAM_POINTS 24
/** Nodes of a table of pulse factors, at most. */
#define JW_PULSE_NODES 156

/** A valve or a port of one cylinder over the crank angle. */
typedef struct jw_window {
	double opens_rad;  /**< four-stroke inlet: before top centre of the gas exchange, exhaust: before bottom centre;
	                        two-stroke inlet: before top centre, exhaust and transfer: after it */
	double closes_rad; /**< four-stroke inlet: after bottom centre, exhaust: after top centre; a port that the piston covers
	                        closes as it opens: not read */
	double size_m;     /**< head of the valve (of several: of as much area together), or width of the port */
	double lift_m;     /**< greatest lift of the valve; not read of a port */
} jw_window;

/** What the cycle-resolved form (cycle.h) needs of an engine beside the rest; all 0: usual values by ::jw_breathing_usual. */
typedef struct jw_breathing {
	double rod_ratio;   /**< connecting rod over crank radius; 0: none of this is stated */
	jw_window inlet, exhaust;
	jw_window transfer; /**< two-stroke */
	double runner_m, runner_bore_m; /**< column of one cylinder from the inlet's volume to its valve or port */
	double ahead_m;     /**< column from the airbox or open mouth to the nozzle, in the throat's bore; 0: a bore and a half */
	/** Lift of the inlet valve as measured, between opening and closing; without points it has a stated shape. */
	double cam_rad[JW_CAM_POINTS], cam_lift_m[JW_CAM_POINTS];
	int cam_points;
} jw_breathing;

/** An engine, as its carburetor meets it. */
typedef struct jw_engine {
	int strokes;               /**< 4, or 2 (scavenged by the crankcase) */
	int cylinders;             /**< on this carburetor */
	int carburetors;           /**< alike on the engine; every figure is for one of them */
	double bore_m, stroke_m;
	double compression_ratio; /**< volume of cylinder and chamber over that of the chamber */
	double crankcase_ratio;    /**< two-stroke: volume of the crankcase, piston up over piston down */
	double intake_duration_rad; /**< crank angle over which one cylinder draws */
	double manifold_volume_m3;  /**< from plate to inlet valve, one carburetor */
	double manifold_heating_k;  /**< charge above ambient at the inlet valve */
	double exhaust_back_pa;     /**< cylinder pressure at exhaust closing above ambient */
	double ve_speed_rev_s[JW_VE_POINTS]; /**< rising */
	double ve[JW_VE_POINTS];    /**< volumetric efficiency referred to the density at inlet closing, unthrottled */
	int ve_points;
	jw_breathing breathing;
} jw_engine;

/** What an engine states of its breathing, or usual valves, ports and lengths for its size where it states none (common
 * practice, no source). */
JW_API jw_breathing jw_breathing_usual(const jw_engine *engine);

/** Swept volume of all cylinders, m3, by geometry. */
JW_API double jw_displacement(const jw_engine *engine);

/** Volumetric efficiency at a speed: linear between the points, held beyond them (definition: Heywood 1988, 2.10).
 * \param engine as accepted by jw_setup_check
 * \param[out] ve share of the swept volume, at the density at inlet closing
 * \return JW_OK or JW_W_EXTRAPOLATED (beyond the points) */
JW_API jw_status jw_volumetric_efficiency(const jw_engine *engine, double speed_rev_s, double *ve);

/** Air per second of an engine at a given charge density, kg/s: ve rho V N/2 (four-stroke), ve rho V N (two-stroke)
 * (Heywood 1988, 2.10).
 * \param strokes 4 or 2
 * \param ve volumetric efficiency, 0 or above; nothing is checked */
JW_API double jw_air_consumption(double displacement_m3, int strokes, double speed_rev_s, double ve,
                                 double density_kg_m3);

/** Share of the unthrottled filling that is left at a pressure ratio: ideal cycle, residual gas expanding (Heywood
 * 1988, 6.2): r/(r-1) - [pe/pi + (g-1)]/[g (r-1)]; 1 at pe = pi, never below 0.
 * \param compression_ratio r, above 1; not checked
 * \param exhaust_over_intake pe/pi, of pressures, above 0 */
JW_API double jw_part_throttle_factor(double compression_ratio, double exhaust_over_intake);

/** What the engine draws at a manifold pressure, kg/s: ::jw_air_consumption at the density of the manifold, times
 * ::jw_part_throttle_factor (Heywood 1988, 2.10 and 6.2). Rises with that pressure; 0 below some.
 * \param engine as accepted by jw_setup_check
 * \param manifold_pa above 0, as the ambient is; not checked
 * \return as ::jw_volumetric_efficiency */
JW_API jw_status jw_engine_demand(const jw_engine *engine, double ambient_pa, double ambient_k,
                                  double gas_constant_j_kg_k, double manifold_pa, double speed_rev_s, double *kg_s);

/** Ratio of cycle-mean to mean-flow depression of half-sine draughts evenly spread over the cycle, 1 or above: the mean
 * square of their sum over the square of its mean (by definition; the depression goes with the square of the flow,
 * Heywood 1988, 7.2).
 * \param duty length of one draught over the time from one to the next, above 0; up to 1 they are apart: pi^2/(8 duty)
 */
JW_API double jw_pulse_factor(double duty);

/** How the draught pulses at a speed and plate opening. */
typedef struct jw_pulse {
	double throat; /**< cycle-mean depression over the one at mean flow, throat */
	double plate;  /**< the same for the drop across the plate */
	double angular_frequency_rad_s; /**< of the draught */
} jw_pulse;

/** Pulse factors from speed, opening and geometry alone (never from the solved flow): ::jw_pulse_factor of the
 * draughts. A plate with a manifold volume behind it is a low-pass filter: the factor falls to 1 as it closes.
 * \param engine as accepted by jw_setup_check
 * \param plate_area_m2 effective area between throat and manifold, 0 or above
 * \param sound_speed_m_s above 0; not checked */
JW_API jw_pulse jw_engine_pulse(const jw_engine *engine, double speed_rev_s, double plate_area_m2,
                                double sound_speed_m_s);

/** What the mean-value model takes from a table over speed and opening. Pulls are depressions at the nozzle, below the
 * mouth of the carburetor; that at mean flow is the measure of what the pulse adds. A circuit's lift is the pull from
 * which it brings fuel steadily: what the pulse gives is told above it, since fuel is smooth in that. */
typedef enum jw_pulse_factor_kind {
	JW_PULSE_AIR,        /**< on what the engine takes and the throttle passes at a manifold pressure */
	JW_PULSE_THROAT,     /**< cycle-mean pull over the one at mean flow, in place of ::jw_pulse::throat */
	JW_PULSE_MAIN_LIFT,  /**< lift of the main circuit, Pa */
	JW_PULSE_MAIN,       /**< pull, above its lift, that draws as much from it steadily, over the one at mean flow;
	                          below 0: by so much the crests fail to lift */
	JW_PULSE_POWER_LIFT, /**< lift of the power jet, Pa */
	JW_PULSE_POWER,      /**< as JW_PULSE_MAIN, of the pull at the power jet's own outlet: ahead of a piston slide a share of the
	                          nozzle's */
	JW_PULSE_PILOT,      /**< up to 1: on the pilot jet's flow; above: 1 + what its outlets are pulled more, over the pull
	                          at mean flow */
	JW_PULSE_FACTORS
} jw_pulse_factor_kind;

/** Such a table: a grid of speeds and openings, speed by speed, both rising, the openings alike at every speed. */
typedef struct jw_pulse_table {
	double speed_rev_s[JW_PULSE_NODES], throttle[JW_PULSE_NODES]; /**< throttle: opening 0..1 */
	double factor[JW_PULSE_FACTORS][JW_PULSE_NODES]; /**< by ::jw_pulse_factor_kind */
	int nodes; /**< 0: no table, the formulas hold */
} jw_pulse_table;

/** The factors at a point: by cubics that do not overshoot between the nodes (Fritsch and Butland, SIAM J. Sci. Stat.
 * Comput. 5, 1984), of logarithms or, of pulls, of roots, with which fuel grows; held beyond the outermost.
 * \param table with nodes, as accepted by jw_setup_check
 * \param throttle opening, 0..1
 * \param[out] factor by ::jw_pulse_factor_kind
 * \return JW_OK or JW_W_EXTRAPOLATED */
JW_API jw_status jw_pulse_table_at(const jw_pulse_table *table, double speed_rev_s, double throttle,
                                   double factor[JW_PULSE_FACTORS]);

/** Share of the pulse gain that a fuel column takes up, x^2/(1 + x^2) of x = angular frequency times time constant: 0
 * follows the air at once, 1 feels the mean depression only (a first-order lag, by definition).
 * \param time_constant_s of the column, 0 or above */
JW_API double jw_pulse_response(double angular_frequency_rad_s, double time_constant_s);

#ifdef __cplusplus
}
#endif
#endif
