/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file point.h
 * Where the engine's demand meets the carburetor's supply: the mixture at an operating point.
 */
#ifndef JETWRIGHT_POINT_H
#define JETWRIGHT_POINT_H

#include <jetwright/air.h>
#include <jetwright/carburetor.h>
#include <jetwright/engine.h>
#include <jetwright/fuel.h>
#include <jetwright/supply.h>
#include <jetwright/uncertainty.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Ranges of the throttle; the words are those of YAML and output. */
typedef enum jw_range {
	JW_IDLE,
	JW_OFF_IDLE,
	JW_QUARTER,
	JW_HALF,
	JW_THREE_QUARTER,
	JW_FULL,
	JW_RANGE_COUNT
} jw_range;

/** The word of a range ("off_idle"), or NULL. */
JW_API const char *jw_range_name(jw_range range);

/** One operating point. */
typedef struct jw_point {
	double speed_rev_s;
	double throttle;   /**< 0 idle stop .. 1 wide open */
	double enrichener; /**< 0 shut .. 1 open */
} jw_point;

/** Factors that make the model agree with one engine; 1 where nothing is known. */
typedef struct jw_coefficients {
	double air;    /**< on the engine's demand */
	double main;   /**< on the main jet */
	double needle; /**< on the needle annulus */
	double pilot;  /**< on the pilot jet */
} jw_coefficients;

/** Fuel film on the inlet's walls: the share of the entering fuel that lands there, and how long it stays (Aquino, SAE
 * 810494). Typical share 0.1..0.5, time 0.1..2 s, the greater ones cold (from memory). */
typedef struct jw_film {
	double cold_share, cold_s; /**< wall at ::JW_FILM_COLD_K or below */
	double warm_share, warm_s; /**< wall at ::JW_FILM_WARM_K or above */
	double uncertainty;        /**< relative standard uncertainty of shares, and of times */
} jw_film;

/** Wall temperature up to which jw_film.cold_share holds, K. */
#define JW_FILM_COLD_K 273.15
/** Wall temperature from which jw_film.warm_share holds, K. */
#define JW_FILM_WARM_K 363.15

/** One engine with its carburetor, fuel and coefficients: a plain value; copy it and change it. */
typedef struct jw_setup {
	jw_engine engine;
	jw_carburetor carburetor;
	jw_fuel fuel;
	jw_coefficients coefficient;
	jw_coefficients uncertainty;  /**< relative standard uncertainty of each coefficient */
	double leak_m;                /**< diameter of an air leak behind the plate, Cd 0.6; 0 = tight */
	double bowl_heating_k;        /**< fuel in the bowl above ambient */
	jw_film film;
	jw_pulse_table pulses;        /**< from the cycle-resolved form, by ::jw_pulses_tabulate; without nodes: formulas */
	jw_point range[JW_RANGE_COUNT]; /**< the usual point of each range */
	jw_supply supply;             /**< from the tank to the bowl; ::jw_mixture_at takes the bowl as full */
} jw_setup;

/** What the solver returns at a point. */
typedef struct jw_mixture {
	double phi;    /**< 1/lambda; 0 without fuel, as which less than 1e-25 kg/s counts, or where the engine draws no air at all (JW_W_NO_DEMAND) */
	double afr;    /**< kg dry air per kg fuel; 0 where phi is */
	double air_kg_s;     /**< moist, all paths */
	double dry_air_kg_s;
	double fuel_kg_s;
	double plate_kg_s, leak_kg_s;     /**< air past plate, and leak */
	double manifold_pa;
	double demand_kg_s;  /**< drawn past plate and leak at that pressure */
	jw_pulse pulse;
	double main_gain; /**< depression felt by the main circuit over the steady one */
	jw_air_path path;
	jw_carburetor_flow flow;
} jw_mixture;

/** Solves one point. Unknown is the manifold pressure, bracketed between the pressure at which the engine draws no more
 * than the leak and ambient; then each circuit. Allocates nothing; any number of threads at once. Bleed air and fuel
 * vapour are counted in air and lambda but not fed back into the filling. The bleed's share is 3 to 11 % at the idle
 * of the bundled engines and below 1 % from half throttle up: where the plate chokes, as at most idles, the manifold
 * pressure is too low by it and air and lambda are right; elsewhere the air is too much by less than it.
 * \param setup as accepted by ::jw_setup_check
 * \param point of a speed of 1..500 rev/s, throttle and enrichener 0..1
 * \return JW_OK, warnings (JW_W_NO_FUEL, JW_W_CHOKED, JW_W_CLOSED, JW_W_BOILING, ...), JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_mixture_at(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_mixture *mixture,
                               jw_error *error);

/** The same as ::jw_mixture_at, every search begun at the answer of a neighbour (a point, air or set-up that differs
 * little): in less than half the time. phi agrees with that of ::jw_mixture_at within 2e-8 of it whatever the neighbour, as
 * long as the engine draws a tenth of what it could: the air is balanced to 1e-10 of that. 1e-5 of phi, or of 1
 * below it, is the rounding of pressures where a circuit has hardly started, 1e-4 where that decides whether it starts
 * (1e-3 with a pilot fed from the main well).
 * \param neighbour NULL: none
 * \return as ::jw_mixture_at */
JW_API jw_status jw_mixture_near(const jw_setup *setup, const jw_air *air, const jw_point *point,
                                 const jw_mixture *neighbour, jw_mixture *mixture, jw_error *error);

/** A map: as many mixtures as points, each as by ::jw_mixture_near. A search begins where the two answers before it point to, or
 * at the last: let neighbours follow one another, best in even steps.
 * \param[out] statuses one a point; NULL: not wanted
 * \return the warnings of all points together. A point out of range is an error before any is solved; where one has no answer
 * the outputs from it on are untouched */
JW_API jw_status jw_mixture_map(const jw_setup *setup, const jw_air *air, const jw_point *points, size_t count,
                                jw_mixture *mixtures, jw_status *statuses, jw_error *error);

/** What the fuel supply makes of a point that is held. */
typedef struct jw_supplied {
	double needed_kg_s;  /**< fuel drawn from a full bowl */
	double could_kg_s;   /**< most that the supply passes for long, the float needle wide open */
	double level_m;      /**< where the fuel settles, against the set level */
	double tank_pa;      /**< on the fuel in the tank by then */
	double spilled_kg_s; /**< runs over */
	jw_mixture mixture;  /**< at that level; as it sinks past the main jet the jets fall dry together */
} jw_supplied;

/** The steady state of bowl and tank at a point that is held. The tank's own level is taken as constant.
 * \param setup with a supply that is described (bowl_area_m2 above 0)
 * \return JW_OK, warnings as ::jw_mixture_at, JW_W_SHORT_SUPPLY, JW_W_STARVED, JW_W_OVERFLOW, or as ::jw_mixture_at */
JW_API jw_status jw_mixture_supplied(const jw_setup *setup, const jw_air *air, const jw_point *point,
                                     jw_supplied *supplied, jw_error *error);

/** How long a full bowl and a tank at ambient pressure last at a point. */
typedef struct jw_lasting {
	int lean;       /**< 1: the mixture went lean; 0: not in the time asked for, or never */
	double seconds; /**< until then, or the time asked for */
	double level_m; /**< in the bowl by then, against the set level; settled where it never leans */
	double tank_pa;
	double phi; /**< by then */
} jw_lasting;

/** Follows bowl and tank from full until the mixture is as lean as asked. Memory is allocated by the GNU Scientific Library,
 * whose error handler decides what happens when there is none.
 * \param lambda 0.5..10 that ends it, \param longest_s 1e-3..1e5
 * \return as ::jw_mixture_supplied, JW_E_NO_CONVERGENCE, JW_E_MEMORY */
JW_API jw_status jw_supply_lasts(const jw_setup *setup, const jw_air *air, const jw_point *point, double lambda,
                                 double longest_s, jw_lasting *lasting, jw_error *error);

/** Relative change of phi per relative change of each coefficient, by central differences of 1 %.
 * \param[out] dlnphi 0 where no fuel flows
 * \return as ::jw_mixture_at */
JW_API jw_status jw_mixture_sensitivity(const jw_setup *setup, const jw_air *air, const jw_point *point,
                                        jw_coefficients *dlnphi, jw_error *error);

/** Relative standard uncertainty of phi from those of the coefficients (JCGM 100, first order): as
 * ::jw_mixture_contributions where every dimension is known. The enrichener errs as the pilot does, the power jet as
 * the main.
 * \param[out] relative share of phi, 0 or above
 * \return as ::jw_mixture_at */
JW_API jw_status jw_mixture_uncertainty(const jw_setup *setup, const jw_air *air, const jw_point *point,
                                        double *relative, jw_error *error);

/** Dimensions that one set-up may leave open, at most. */
#define JW_UNMEASURED 96

/** A number of a set-up that nobody measured, or several that share one error (the filling at every speed). */
typedef struct jw_unmeasured {
	const char *key; /**< what a profile calls it; lives as long as the program */
	size_t offset;   /**< of the double in ::jw_setup */
	size_t stride;   /**< from one to the next */
	int count;       /**< how many share the error, 1 or more, all of them in ::jw_setup */
	double relative, absolute; /**< standard uncertainty: relative times the value, plus absolute in SI; finite */
} jw_unmeasured;

/** The same set-up with each unmeasured number off by some of its standard uncertainties.
 * \param[in,out] setup changed in place
 * \param unmeasured what of it lies outside of ::jw_setup is left alone
 * \param deviations how many, of either sign; any, and nothing is checked */
JW_API void jw_setup_shift(jw_setup *setup, const jw_unmeasured *unmeasured, double deviations);

/** What each unmeasured number, and all of them with the coefficients, do to ln(phi): first order (JCGM 100), each moved by
 * one standard uncertainty either way. Where a side is impossible (a needle thicker than its jet) or has no solution,
 * the change of a smaller step is drawn out, or that of a step to the other side.
 * \param count of unmeasured numbers, 0..JW_UNMEASURED
 * \param anchor air in which lambda at idle, half and full is known (a baseline, or readings): what a number changes
 * there the coefficients take back, and only the rest counts. NULL: nothing is known
 * \param[out] contribution `count` values, signed, per standard uncertainty; may be NULL
 * \param[out] relative standard uncertainty of phi
 * \return JW_OK, warnings, JW_E_ARGUMENT (`unmeasured` missing), JW_E_RANGE and JW_E_NOT_FINITE (a member of it:
 * "unmeasured.offset", "unmeasured.count"), or as ::jw_mixture_at */
JW_API jw_status jw_mixture_contributions(const jw_setup *setup, const jw_air *air, const jw_point *point,
                                          const jw_unmeasured *unmeasured, int count, const jw_air *anchor,
                                          double *contribution, double *relative, jw_error *error);

/** Whether every member is finite, in its range, which `ranges.dox` beside this header lists (in the reference:
 * \ref ranges), and consistent with the others (needle inside its jet, and so on).
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE; the error names the member and its range */
JW_API jw_status jw_setup_check(const jw_setup *setup, jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
