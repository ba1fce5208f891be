/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file carburetor.h
 * Geometry of a float-bowl carburetor with its intake: throat, slide, throttle plate, needle, screw, ports and bowl.
 */
#ifndef JETWRIGHT_CARBURETOR_H
#define JETWRIGHT_CARBURETOR_H

#include <jetwright/circuit.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Transfer ports, at most. */
#define JW_PORTS 4

/** Kinds of carburetor; the words are those of the YAML files. */
typedef enum jw_carburetor_kind {
	JW_CONSTANT_DEPRESSION, /**< slide floated by the depression, throttle plate behind it */
	JW_PISTON_SLIDE,        /**< slide lifted by the throttle: its front edge makes the throat, its rear edge throttles */
	JW_FIXED_VENTURI,       /**< fixed throat and nozzle, throttle plate behind */
	JW_CARBURETOR_KIND_COUNT
} jw_carburetor_kind;

/** Where the air above the fuel in the bowl comes from. */
typedef enum jw_vent { JW_VENT_ATMOSPHERE, JW_VENT_AIRBOX, JW_VENT_COUNT } jw_vent;

/** Filter and airbox ahead of the carburetor: a loss that grows with the square of the flow. */
typedef struct jw_intake {
	double loss_pa;      /**< at loss_flow; 0 = none */
	double loss_flow_kg_s;
} jw_intake;

/** Throat under the slide, and what recovers behind it. */
typedef struct jw_throat {
	double bore_m;
	double coefficient;       /**< discharge coefficient of the air passage */
	double recovery;          /**< share of the throat depression regained before the plate, 0..0.95 */
} jw_throat;

/** A slide, floated by the depression under it or lifted by the throttle. */
typedef struct jw_slide {
	double diaphragm_m;         /**< effective diameter of the diaphragm or piston */
	double mass_kg;
	double spring_closed_n;     /**< spring force at zero lift */
	double spring_rate_n_m;
	double base_area_m2;        /**< air passage left at zero lift */
	double fall_s;              /**< time in which it falls shut from full lift, which tells what damps it; 0: not stated, and
	                                 it stands still over a cycle (cycle.h) */
	double stuck_lift_m;        /**< a slide that does not move stays here; negative: free */
	jw_vent reference;          /**< what the upper side of the diaphragm is vented to */
	double cutaway_m;           /**< piston slide: front edge above the rear edge */
	double idle_lift_m;         /**< piston slide: lift of the rear edge at throttle 0 */
	double full_lift_m;         /**< piston slide: lift at throttle 1 */
} jw_slide;

/** Throttle plate. Angles from the plane across the bore. */
typedef struct jw_plate {
	double bore_m, shaft_m;
	double closed_rad;    /**< angle at which the plate touches the bore */
	double idle_rad;      /**< angle at the idle stop: throttle 0; throttle 1 is 90 degrees */
	double coefficient; /**< discharge coefficient past it */
} jw_plate;

/** Choke plate ahead of the throat, worked by the enrichener's control: 0 open .. 1 shut. */
typedef struct jw_choke {
	double bore_m;      /**< 0 = none fitted */
	double shaft_m;
	double closed_rad;
	double coefficient; /**< discharge coefficient past it */
	double relief_m2;   /**< holes and gaps that stay open when shut */
} jw_choke;

/** Rod in the main jet that the throttle draws out. */
typedef struct jw_rod {
	double lean_m;        /**< diameter in the jet below the opening; 0 = no rod */
	double rich_m;        /**< diameter above it */
	double from_throttle; /**< opening at which the thin part comes in */
} jw_rod;

/** Needle in its jet. A fixed nozzle is a needle jet without a needle (straight_m and tip_m 0). */
typedef struct jw_needle {
	double jet_m;          /**< bore of the needle jet */
	double straight_m;     /**< diameter of the straight part */
	double straight_length_m; /**< lift at which the taper enters the needle jet */
	double taper_rad;      /**< included angle of the taper */
	double tip_m;          /**< smallest diameter, at the end of the taper */
	double raised_m;       /**< how far the needle sits above its stock position (clip or shim) */
	double coefficient;    /**< discharge coefficient of the annulus; times the needle calibration */
} jw_needle;

/** A transfer port, by its distance upstream of the closed plate's edge. Under a piston slide, where the distance is not
 * read, it sees the nozzle's pressure at any lift: both lie in the gap under the slide. */
typedef struct jw_port {
	double diameter_m;
	double position_m;
} jw_port;

/** What a mixture screw meters. */
typedef enum jw_screw_kind {
	JW_FUEL_SCREW, /**< emulsion, on the engine side: out is richer */
	JW_AIR_SCREW,  /**< pilot air, on the intake side: out is leaner */
	JW_SCREW_KIND_COUNT
} jw_screw_kind;

/** Mixture screw, pilot outlet and what is left open of outlet and ports. */
typedef struct jw_screw {
	jw_screw_kind kind;
	double turns;       /**< out from lightly seated */
	double pitch_m;     /**< of the thread */
	double hole_m;      /**< pilot outlet; a fuel screw's cone closes it */
	double air_seat_m;  /**< air screw: bore of the seat that its cone closes, in series with the pilot air jet */
	double cone_rad;    /**< included angle */
	double coefficient; /**< discharge coefficient of outlet and ports */
	double open_area;   /**< share of the outlet area that is free, 1 = clean */
	double ports_open_area; /**< the same for the transfer ports */
} jw_screw;

/** Accelerator pump: opening the throttle loads a spring, which presses fuel out of a nozzle into the throat. */
typedef struct jw_pump {
	double shot_m3;           /**< of the whole travel; 0 = none fitted */
	double plunger_m;         /**< diameter of plunger, or effective one of the diaphragm */
	double spring_n;          /**< force that presses the shot out */
	jw_orifice nozzle;
	double from_throttle;     /**< opening at which the linkage begins to move the pump */
	double to_throttle;       /**< opening at which it has moved it all the way */
} jw_pump;

/** What shuts the enrichener or choke plate as the engine warms: a heated wax pellet or bimetal. */
typedef struct jw_timer {
	double constant_s;        /**< time constant of its warming; 0 = none fitted, worked by hand */
	double heating_k;         /**< how far above the air it warms in the end */
	double open_k;            /**< its temperature up to which the enrichener is full on */
	double shut_k;            /**< its temperature from which it is shut */
} jw_timer;

/** The float bowl. */
typedef struct jw_bowl {
	jw_vent vent;
	double level_error_m; /**< actual level above the set one (negative: low) */
} jw_bowl;

/** A carburetor with its intake. */
typedef struct jw_carburetor {
	jw_carburetor_kind kind;
	jw_intake intake;
	jw_throat throat;
	jw_slide slide;
	jw_plate plate;
	jw_circuit main;
	jw_needle needle;
	double main_column_m, main_column_bore_m; /**< length and bore of the fuel column from bowl to nozzle */
	jw_circuit pilot;
	jw_screw screw;
	jw_port port[JW_PORTS];
	int ports;
	int pilot_from_main_well; /**< 1: the pilot jet is fed from the main well, 0: from the bowl */
	jw_choke choke;
	jw_rod rod;
	jw_circuit power;         /**< power jet: bowl to an outlet high in the bore, which feels the nozzle's pull; ahead of a
	                               piston slide times the square of how far that opens the bore, effective area of the
	                               throat over the bore's (continuity, Bernoulli; Heywood 1988, 7.2) */
	double power_outlet_m;    /**< bore of that outlet; 0 = none fitted */
	jw_circuit enrichener;
	double enrichener_outlet_m; /**< bore of its outlet behind the plate; 0 = none fitted */
	jw_timer timer;             /**< of the enrichener or choke plate */
	jw_pump pump;
	jw_bowl bowl;
} jw_carburetor;

/** Free area past a throttle plate with a shaft (Heywood 1988, 7.6), m2.
 * \param angle_rad closed_rad..pi/2, clamped */
JW_API double jw_plate_area(const jw_plate *plate, double angle_rad);

/** Angle of the plate at a throttle opening, rad: by definition of the opening.
 * \param throttle share of the travel from idle stop to wide open, 0..1, clamped */
JW_API double jw_plate_angle(const jw_plate *plate, double throttle);

/** Free area under a slide at a lift, m2: a segment of the bore plus the base area, by geometry.
 * \param lift_m 0 up to the bore, clamped */
JW_API double jw_slide_area(const jw_throat *throat, const jw_slide *slide, double lift_m);

/** Throat depression that just floats the slide at a lift, Pa: weight and spring over the diaphragm (equilibrium, by
 * definition).
 * \param lift_m any; not checked */
JW_API double jw_slide_depression(const jw_slide *slide, double lift_m);

/** 1 where the slide moves within a cycle (cycle.h): it floats, is not stuck, and its fall is stated; 0 where it stands, or
 * there is none. */
JW_API int jw_slide_moves(const jw_carburetor *carburetor);

/** Lift of a floating slide at an air flow, m: where ::jw_slide_depression is that of the flow by ::jw_gas_mass_flow
 * (Heywood 1988, app. C). Rises with the flow, up to the bore; a stuck slide stays where it is.
 * \param reference_pa on the upper side of the diaphragm, above 0 as the pressure upstream is; not checked
 * \param kg_s 0 or above
 * \param depression_gain cycle-mean depression over the depression at mean flow (1 for steady flow), above 0
 * \return JW_OK, JW_E_NOT_FINITE, JW_E_NO_CONVERGENCE */
JW_API jw_status jw_slide_lift(const jw_throat *throat, const jw_slide *slide, const jw_gas *air, double upstream_pa,
                               double reference_pa, double kg_s, double depression_gain, double *lift_m, jw_error *error);

/** Free area between needle and needle jet at a slide lift, m2: the ring, by geometry.
 * \param lift_m any; below the taper the straight part counts */
JW_API double jw_needle_area(const jw_needle *needle, double lift_m);

/** Free area of the pilot outlet at the screw's setting, m2, restriction included: a frustum, at most the hole, by
 * geometry. */
JW_API double jw_screw_area(const jw_screw *screw);

/** Free area that an air screw's cone leaves of its seat, m2: a frustum, at most the seat, by geometry. */
JW_API double jw_air_screw_area(const jw_screw *screw);

/** Free area past the choke plate, m2: ::jw_plate_area and the relief, at most the bore (Heywood 1988, 7.6).
 * \param shut 0 open .. 1 shut, clamped */
JW_API double jw_choke_area(const jw_choke *choke, double shut);

/** The main jet with the rod that is in it at a throttle opening: same area, same length, by geometry.
 * \param throttle 0..1 */
JW_API jw_orifice jw_rod_jet(const jw_orifice *jet, const jw_rod *rod, double throttle);

/** Share of its travel that a pump has made at a throttle opening, 0..1: by definition of its linkage.
 * \param throttle 0 idle stop .. 1 wide open */
JW_API double jw_pump_travel(const jw_pump *pump, double throttle);

/** What the pump's spring lays on the fuel, Pa: force over area, by definition; 0 without a pump. */
JW_API double jw_pump_pressure(const jw_pump *pump);

/** Fuel that the pump's spring presses through its nozzle while there is any left of the shot, kg/s, by
 * ::jw_liquid_mass_flow (Heywood 1988, 7.2). The depression at the nozzle and the fall of the spring's force over its
 * stroke are left out. */
JW_API double jw_pump_flow(const jw_pump *pump, const jw_liquid_flow *fuel);

/** How far a timer holds the enrichener or choke plate open some time after a cold start, 0..1; 0 without a timer. The
 * pellet starts as warm as the air and warms by first order (an estimate of its own, no source); the opening falls in
 * step between its two temperatures.
 * \param running_s since the start, >= 0 */
JW_API double jw_enrichener_opening(const jw_timer *timer, double running_s, double ambient_k);

/** Share of a transfer port on the engine side of the plate's edge, 0..1: by geometry.
 * \param angle_rad of the plate, closed_rad..pi/2 */
JW_API double jw_port_exposure(const jw_plate *plate, const jw_port *port, double angle_rad);

/** The air side at a flow, from mouth to plate. */
typedef struct jw_air_path {
	double box_pa;        /**< behind the filter, at the mouth */
	double mouth_pa;      /**< behind the choke plate */
	double throat_pa;     /**< cycle-mean pressure at the nozzle */
	double throat_steady_pa; /**< the same for steady flow of the same mean */
	double plate_pa;      /**< ahead of the plate */
	double lift_m;
	double throat_area_m2;
} jw_air_path;

/** What a person sets on a carburetor. */
typedef struct jw_controls {
	double throttle;   /**< 0 idle stop .. 1 wide open */
	double enrichener; /**< enrichener or choke plate: 0 off .. 1 on */
} jw_controls;

/** Pressures from mouth to plate at an air flow: the filter's loss, then ::jw_gas_downstream_pressure of choke plate
 * and throat (Heywood 1988, app. C), part of it regained.
 * \param controls 0..1 each
 * \param ambient_pa above 0; not checked
 * \param kg_s 0 or above
 * \param depression_gain see ::jw_slide_lift
 * \return JW_OK, JW_W_CHOKED (the flow is at or above the least choked capacity on the way), or as ::jw_slide_lift */
JW_API jw_status jw_carburetor_air(const jw_carburetor *carburetor, const jw_controls *controls, const jw_gas *air,
                                   double ambient_pa, double kg_s, double depression_gain, jw_air_path *path,
                                   jw_error *error);

/** Largest air flow that filter, choke plate and throat pass, kg/s: that which chokes, less 2 % (Heywood 1988, app. C).
 * \param ambient_pa above 0; not checked */
JW_API double jw_carburetor_capacity(const jw_carburetor *carburetor, const jw_controls *controls, const jw_gas *air,
                                     double ambient_pa);

/** A throat depression that is typical of this carburetor at a full flow of air: for time constants, not for metering,
 * Pa (judgement).
 * \param ambient_pa above 0; not checked
 * \param kg_s 0 or above */
JW_API double jw_carburetor_reference(const jw_carburetor *carburetor, const jw_gas *air, double ambient_pa,
                                      double kg_s);

/** Effective area of the throttling edge or plate (Cd A) at a throttle opening, m2 (Heywood 1988, 7.6).
 * \param throttle 0 idle stop .. 1 wide open, clamped */
JW_API double jw_carburetor_plate(const jw_carburetor *carburetor, double throttle);

/** The fuel side. */
typedef struct jw_carburetor_flow {
	jw_circuit_flow main, pilot, power, enrichener;
	double bowl_pa;
	double depression_pa; /**< that draws on the main circuit, bowl to nozzle */
} jw_carburetor_flow;

/** What the fuel circuits see: pressures, and how far each follows the pulses. */
typedef struct jw_fuel_ends {
	jw_air_path path;
	double ambient_pa, manifold_pa;
	jw_controls controls;
	double main_gain;     /**< nozzle depression felt by the main circuit over the steady one */
	jw_liquid_flow fuel;
	jw_gas air;
	double pilot_pull_pa; /**< by how much the pulse pulls more at the pilot's outlets than these pressures tell */
} jw_fuel_ends;

/** Solves main, pilot, power and enrichener circuits, each by ::jw_circuit_solve; a circuit that the carburetor has not
 * passes none.
 * \param ends pressures above 0 as ::jw_carburetor_air tells them
 * \return as ::jw_circuit_solve */
JW_API jw_status jw_carburetor_fuel(const jw_carburetor *carburetor, const jw_fuel_ends *ends, jw_carburetor_flow *flow,
                                    jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
