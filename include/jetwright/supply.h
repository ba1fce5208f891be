/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file supply.h
 * From the tank to the bowl: cap vent, tap, hose, filter, pump, float needle and seat, in series.
 */
#ifndef JETWRIGHT_SUPPLY_H
#define JETWRIGHT_SUPPLY_H

#include <jetwright/flow.h>

#ifdef __cplusplus
extern "C" {
#endif

/** What brings the fuel. Levels in the bowl count from the one at which the float needle shuts; lower ones are negative.
 * A bore of 0 is a passage that is shut. */
typedef struct jw_supply {
	double head_m;             /**< fuel's surface in the tank above the needle's seat; negative: below it */
	double tank_air_m3;        /**< air above the fuel in the tank */
	double vent_m;             /**< bore of the vent in the tank's cap, Cd 0.6 */
	double tap_m;              /**< narrowest bore of the tap, Cd 0.6 */
	double hose_m, hose_length_m; /**< bore and length of the hose */
	double filter_pa;          /**< loss of the filter with petrol at 20 C, at filter_m3_s; grows with flow and viscosity */
	double filter_m3_s;
	double pump_pa;            /**< pressure of the pump against a shut outlet; 0 = none */
	double pump_m3_s;          /**< what it moves against no pressure, at pump_speed_rev_s */
	double pump_speed_rev_s;   /**< of the engine; 0 = its speed does not matter */
	double seat_m;             /**< bore of the needle's seat */
	double seat_coefficient;   /**< discharge coefficient of the open seat */
	double needle_leak_m;      /**< hole that the shut needle leaves, as a bore; 0 = tight */
	double travel_m;           /**< fall of the level that opens the needle fully */
	double bowl_area_m2;       /**< fuel's surface in the bowl; 0 = the supply is not described */
	double jet_depth_m;        /**< lower edge of the main jet below the set level */
	double overflow_m;         /**< where fuel leaves the bowl, above the set level */
} jw_supply;

/** What the supply hangs between: fuel and air as of ::jw_circuit_solve, ambient pressure 1e3..1e6 Pa, bowl and tank up to
 * that, vapour up to 1e7 Pa. */
typedef struct jw_supply_ends {
	jw_liquid_flow fuel;
	jw_gas air;             /**< that the vent draws in */
	double ambient_pa, bowl_pa;
	double vapour_pa;       /**< of the fuel in the tank; 0 where not known */
	double tank_pa;         /**< on the fuel in the tank; 0: what the vent leaves in the long run */
	double speed_rev_s;     /**< of the engine, for a pump */
} jw_supply_ends;

/** What it passes, and where the pressure goes: pushes add up to losses while anything flows. */
typedef struct jw_supply_flow {
	double kg_s;
	double tank_pa;                             /**< on the fuel in the tank */
	double head_pa, pump_pa;                    /**< pushes beside tank over bowl pressure */
	double tap_pa, hose_pa, filter_pa, seat_pa; /**< losses */
} jw_supply_flow;

/** Free area of the float needle at a level, m2: grows evenly with its lift, as the ring between cone and seat does
 * (geometry), up to the seat's own; what a leak leaves is added below that.
 * \param level_m against the set one; any */
JW_API double jw_float_needle_area(const jw_supply *supply, double level_m);

/** Air that the cap's vent lets into a tank at a pressure, kg/s; negative: out of it. An isentropic nozzle, Cd 0.6
 * (Heywood 1988, app. C).
 * \param tank_pa above 0; not checked */
JW_API double jw_vent_flow(const jw_supply *supply, const jw_supply_ends *ends, double tank_pa);

/** Pressure in the tank when its vent lets in as much air as fuel leaves, Pa: air and the fuel's own vapour fill the
 * room (Dalton's law, by definition). With the vent shut only the vapour is left.
 * \param kg_s of fuel, 0..1000; 0 = the tank rests at ambient
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_supply_tank(const jw_supply *supply, const jw_supply_ends *ends, double kg_s, double *tank_pa,
                                jw_error *error);

/** What the supply passes at a level in the bowl: losses in series, by ::jw_liquid_mass_flow and ::jw_pipe_drop (Darcy
 * and Weisbach). The seat lets fuel fall from above the level, so the level acts through the needle alone. Leaves out:
 * fuel that runs back, air that rises through the hose, the force of the fuel on the needle, the vent's share of a warm
 * tank's pressure. The pump falls linearly from shut to free.
 * \param supply as accepted by jw_setup_check, described
 * \param level_m -1..1, against the set one
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_supply_pass(const jw_supply *supply, const jw_supply_ends *ends, double level_m,
                                jw_supply_flow *flow, jw_error *error);

/** The level at which the supply passes what is drawn, by ::jw_supply_pass (Darcy and Weisbach).
 * \param kg_s of fuel drawn from the bowl, 0..1000
 * \return JW_OK, JW_W_SHORT_SUPPLY (never so much: the level of a wide-open needle), JW_W_OVERFLOW (a leaking needle
 * passes more: the level of the overflow), JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_supply_level(const jw_supply *supply, const jw_supply_ends *ends, double kg_s, double *level_m,
                                 jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
