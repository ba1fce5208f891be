/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file rejet.h
 * Rejetting after a change: what a change does to the mixture of every range, which of several changes does how much,
 * and what to fit out of the jets at hand.
 */
#ifndef JETWRIGHT_REJET_H
#define JETWRIGHT_REJET_H

#include <jetwright/diagnose.h>
#include <jetwright/jet.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Changes that one question may hold: their shares take 2^changes solutions of every range. */
#define JW_REJET_CHANGES 10

/** What can be changed on an engine, or around it, with the range of its value. Several are made in the order of this
 * list. */
typedef enum jw_rejet_kind {
	JW_REJET_CARBURETOR, /**< that of another set-up, on this intake; its idle stop set as below */
	JW_REJET_THROAT,    /**< bore of the throat, 5e-3..80e-3 m; plate, choke, and the slide's full lift and base go with
	                       it, jets and nozzle stay, the idle stop is set so that as much stays free as before */
	JW_REJET_BORE,      /**< of the cylinders, 20e-3..150e-3 m; compression as stated */
	JW_REJET_STROKE,    /**< 20e-3..200e-3 m */
	JW_REJET_CYLINDERS, /**< on this carburetor, 1..12, whole */
	JW_REJET_COMPRESSION, /**< ratio, 4..18 */
	JW_REJET_FILLING, /**< volumetric efficiency times a factor, 0.3..3, at the speed of each range: camshaft, exhaust,
	                     ports */
	JW_REJET_FILTER,  /**< loss of filter and airbox, 0..20e3 Pa at the flow that the set-up states; 0 removed */
	JW_REJET_VENT,    /**< of the bowl, a ::jw_vent */
	JW_REJET_REFERENCE, /**< of the floating slide's upper side, a ::jw_vent */
	JW_REJET_BRASS,     /**< jets, needle and screw that are in it now, where they are others than when it ran right */
	JW_REJET_FUEL,
	JW_REJET_PREMIX,      /**< oil in the fuel, by volume of the mix, 0..0.2 */
	JW_REJET_PRESSURE,    /**< of the air, 20e3..120e3 Pa: altitude, or a barometer */
	JW_REJET_TEMPERATURE, /**< of the air, 213.15..353.15 K; relative humidity stays */
	JW_REJET_HUMIDITY,    /**< relative, 0..1 */
	JW_REJET_KIND_COUNT
} jw_rejet_kind;

/** The word of a kind ("throat"), or NULL. */
JW_API const char *jw_rejet_kind_name(jw_rejet_kind kind);

/** One change. Only the member that its kind needs is read. */
typedef struct jw_rejet_change {
	jw_rejet_kind kind;
	double value;                  /**< as it is afterwards, SI, in the range of its kind */
	double factor[JW_RANGE_COUNT]; /**< filling; straight between the speeds of the ranges, held beyond */
	jw_fuel fuel;                  /**< fuel: of 1..::JW_FUEL_PARTS parts */
	const jw_setup *other;         /**< carburetor; its coefficients come with it */
	double part[JW_PART_COUNT];    /**< brass: each part as ::jw_part_value has it, in the range of ::jw_part_set */
} jw_rejet_change;

/** Makes changes to a set-up and the air around it, in the order of ::jw_rejet_kind. A table of pulses in the set-up belongs
 * to what it was made for: where it has one, and carburetor, throat, bore, stroke, cylinders, compression, filter or vent of
 * the bowl change, it gets a new one by ::jw_pulses_tabulate, in the air before and with these changes alone, which takes
 * some seconds and allocates.
 * \param count 0..::JW_REJET_CHANGES, each kind once
 * \param[in,out] setup changed in place; untouched after an error
 * \param[in,out] air likewise
 * \return JW_OK, warnings of the air, JW_E_ARGUMENT (a kind twice, unknown, without its set-up, of a fraction where it
 * is whole, or that this engine has no place for: the error's field is its word), JW_E_RANGE,
 * JW_E_NOT_FINITE, what ::jw_setup_check says of the outcome, or as ::jw_pulses_tabulate */
JW_API jw_status jw_rejet_apply(const jw_rejet_change *changes, int count, jw_setup *setup, jw_air *air,
                                jw_error *error);

/** Grooves of a needle, at most. */
#define JW_REJET_GROOVES 12

/** Grooves of the needle. A clip one groove further down, counted from the top, holds the needle a pitch higher:
 * richer. */
typedef struct jw_grooves {
	int count;      /**< 0..::JW_REJET_GROOVES; 0: the needle is taken as it hangs */
	int now;        /**< 1..count from the top; not read where there are none */
	double pitch_m; /**< 0.1e-3..3e-3; not read of fewer than two */
} jw_grooves;

/** What is asked. `setup` and `air` may not be NULL, nor an array whose count is above 0. */
typedef struct jw_rejet_request {
	const jw_setup *setup; /**< as it ran right, with the brass that it had */
	const jw_air *air;     /**< in which it did, 20e3..120e3 Pa, 213.15..353.15 K */
	const jw_rejet_change *change;
	int changes; /**< 0..::JW_REJET_CHANGES, each kind once */
	/** Numbers that nobody measured, and whether lambda at idle, half and full is known all the same: see
	 * ::jw_mixture_contributions. */
	const jw_unmeasured *unmeasured;
	int unmeasureds;                      /**< 0..::JW_UNMEASURED */
	int anchored;                         /**< 0 or 1 */
	double target_lambda[JW_RANGE_COUNT]; /**< 0.5..1.5; 0: as it was before */
	/** At hand, beside those fitted; NULL: any bore. 0..::JW_JETS_MOST of each kind, bores 0.02e-3..20e-3 m, each wider
	 * than the one before. */
	const jw_jet_set *jets;
	jw_grooves grooves;
	const jw_reading *reading; /**< taken with all changes made; see ::jw_fit_readings */
	int readings;              /**< 0 or more; 0: none */
} jw_rejet_request;

/** What a mixture means for the engine; from bad to worse on either side. */
typedef enum jw_rejet_verdict {
	JW_REJET_RUNS,
	JW_REJET_RICH_ROUGH, /**< runs rough, loses power */
	JW_REJET_RICH_MISFIRES,
	JW_REJET_LEAN_ROUGH, /**< hunts, stumbles, loses power */
	JW_REJET_LEAN_MISFIRES,
	JW_REJET_DANGEROUS, /**< three quarters or full throttle so lean that the engine may be destroyed by heat */
	JW_REJET_VERDICT_COUNT
} jw_rejet_verdict;

/** The word of a verdict ("lean_rough"), or NULL. */
JW_API const char *jw_rejet_verdict_name(jw_rejet_verdict verdict);

/** Lambda above which an engine is in danger at full throttle, 1.00, and at three quarters, 1.05; 0 in the other ranges.
 * Burnt gas is hottest a little richer than the chemically right mixture, exhaust at it (Heywood 1988, ch. 4 and 9, from
 * memory), and such engines are cooled by the richer one of best power, lambda 0.86..0.90; at three quarters there is less
 * heat: judgement. */
JW_API double jw_rejet_danger_lambda(jw_range range);
/** From this probability of being leaner on, the verdict is JW_REJET_DANGEROUS; where lambda is no higher than it was when the
 * engine ran right, by more than ::JW_REJET_LEANER, by the uncertainty of the change alone. */
#define JW_REJET_DANGER 0.05

/** One range at its usual point, nothing but the changes made: the brass as it is. */
typedef struct jw_rejet_range {
	jw_mixture before, after;
	double relative_before, relative_after; /**< standard uncertainty of each phi */
	/** Standard uncertainty of phi after over phi before: what both share drops out, and each change adds how far such
	 * predictions go astray. With readings it is that of phi after. */
	double relative_change;
	double relative_foretold; /**< relative_after as it would be without readings */
	double by_readings;       /**< what they add to ln(phi after); 0 without */
	jw_rejet_verdict was, becomes;
	/** Probability that lambda afterwards is above ::jw_rejet_danger_lambda, by its uncertainty, relative_after; 0 in the
	 * ranges that it does not concern. */
	double danger;
	jw_status warned_before, warned_after; /**< warnings of ::jw_mixture_at */
} jw_rejet_range;

/** What the changes are shared out of. */
typedef enum jw_rejet_quantity {
	JW_REJET_LNPHI, /**< ln phi; 1/1000 stands for no fuel */
	JW_REJET_LNAIR, /**< ln of the dry air drawn */
	JW_REJET_LNFUEL,
	JW_REJET_PULL, /**< on the main circuit, bowl to nozzle, Pa */
	JW_REJET_QUANTITY_COUNT
} jw_rejet_quantity;

/** Which change does how much in a range: Shapley's value (in: Contributions to the Theory of Games II, 1953), the mean over
 * every order in which the changes could be made. They add up to what all changes do together. Where these lead to a new
 * table of pulses, an engine with some of the changes that alter it has one between the tables before and after: at each
 * node by their share, in the logarithms and roots in which a table is interpolated (one made for each would take
 * minutes). */
typedef struct jw_rejet_share {
	double of[JW_REJET_QUANTITY_COUNT][JW_REJET_CHANGES]; /**< in the unit of the quantity */
} jw_rejet_share;

/** Why the first-order rule does not serve; the rule: fuel keeps up with air where the main jet's area goes with
 * dry share of the air * sqrt(air density / fuel density) / stoichiometric AFR (Heywood 1988, 7.2; lambda counts dry air). */
typedef enum jw_rejet_rule_reason {
	JW_RULE_APPLIES,
	JW_RULE_NOTHING,      /**< neither air nor fuel changes: it has nothing to say */
	JW_RULE_OTHER_CHANGE, /**< more than air and fuel changes */
	JW_RULE_SLIDE_FLOATS, /**< at full throttle, the slide below its stop: the throat is no fixed one */
	JW_RULE_WEAK_PULL,    /**< at full throttle, on the main jet less than twice the height that it must lift fuel */
	JW_RULE_REASON_COUNT
} jw_rejet_rule_reason;

/** Whether the first-order rule serves, and what it says. */
typedef struct jw_rejet_rule {
	jw_rejet_rule_reason reason;
	double area_factor; /**< of the main jet, whatever the reason; with the jet as it is, of lambda at full throttle */
	int stop_before, stop_after; /**< 1: a floating slide, which stands at its upper stop at full throttle */
} jw_rejet_rule;

/** At full throttle a choice may be leaner than its target by this part of it, which no gauge tells. */
#define JW_REJET_LEANER 0.005
/** A jet stays where the bore of a better one, or of one at hand, differs by less than this part: it is the same jet, as
 * near as jets are made. */
#define JW_REJET_SAME_BORE 0.003
/** A choice that moves one part more must be better by this: half a tolerance in one range. */
#define JW_REJET_STAY 0.25
/** Steps in which the mixture screw is set, turns, from where it stands. */
#define JW_REJET_SCREW_STEP 0.125
/** Trials begin this many standard uncertainties to the rich side: nineteen in twenty are not leaner than their target then. */
#define JW_REJET_MARGIN 1.645

/** How far ln(phi) may miss its target before it counts as one: 0.02 at full throttle to 0.05 at a quarter, by what engines
 * forgive; judgement. 0 outside the list. */
JW_API double jw_rejet_tolerance(jw_range range);

/** The range in which a part is confirmed: full for the main jet, half for the needle, off idle for the pilot jet, idle for the
 * screw. */
JW_API jw_range jw_rejet_tells(jw_part part);

/** One part that a person exchanges or moves. Values are as ::jw_part_value has them. */
typedef struct jw_rejet_piece {
	int sought;  /**< 0: this carburetor has none, or nobody changes it to rejet (air jets); the rest is as it stands */
	double was, ideal; /**< fitted now, and best if any could be had */
	double chosen; /**< of those at hand */
	double start;  /**< of those at hand, where trials begin: the least rich with ::JW_REJET_MARGIN at the range that tells,
	                    or the richest there is; never leaner than chosen. Below full throttle just the chosen one where it
	                    is leaner there than its tolerance, or all are leaner than what is wanted. Of any bore the chosen
	                    pilot jet, lean off idle harms nothing, and the main jet with just that margin, or the largest of
	                    which a usual step does at full throttle a quarter of what the fuel of a jet by itself does:
	                    beyond, the needle jet meters */
	int start_covers; /**< 1: it has that margin */
	int at_hand; /**< how many there are to choose from, 1: only the one that is fitted, or any bore */
	int place;   /**< of the chosen: index in the set of jets, groove from the top; -1: none of these, or the fitted one */
	int start_place;
	int beyond;  /**< the ideal lies more than half a usual step above (1) or below (-1) all that is at hand */
	double effect[JW_RANGE_COUNT]; /**< change of ln(phi) by a usual step, 2.5 % of a bore, 0.5 mm of needle or an eighth of a turn,
	                                    about the choice */
	int torn;    /**< 1: of the ranges that feel this part most one stays lean and one rich even were all parts ideal */
	jw_range lean, rich; /**< those */
} jw_rejet_piece;

/** What to fit. */
typedef struct jw_rejet_choice {
	jw_rejet_piece piece[JW_PART_COUNT];
	double target[JW_RANGE_COUNT];   /**< phi */
	double ideal[JW_RANGE_COUNT];    /**< phi with every part at its ideal value */
	double phi[JW_RANGE_COUNT];      /**< with the parts chosen */
	double start[JW_RANGE_COUNT];    /**< with the parts that trials begin with */
	double relative_change[JW_RANGE_COUNT]; /**< standard uncertainty of phi over its target: of what the changes do, and of
	                                             what the exchange of parts does; with a target lambda, as the next */
	double relative_after[JW_RANGE_COUNT]; /**< of phi itself: of what it was besides */
	/** Sum over the ranges of the loss of (ln phi - ln target)/tolerance: its square, beyond 2 four times its size less 4; three
	 * quarters and full throttle with all but the main jet ideal, so that no other part is judged by them. And
	 * ::JW_REJET_STAY for each part moved, and squares of how far pilot jet and screw are more than a usual step from their
	 * ideal, in 7.5 % of the present bore and half turns. */
	double cost;
	jw_status warned[JW_RANGE_COUNT]; /**< warnings of ::jw_mixture_at with the parts chosen */
	int safe; /**< 1: full throttle is no leaner than its target by more than ::JW_REJET_LEANER */
} jw_rejet_choice;

/** The answer. */
typedef struct jw_rejet_answer {
	jw_setup setup; /**< changed, with the brass that is in it; with readings, fitted to them */
	jw_air air;     /**< changed */
	jw_rejet_range range[JW_RANGE_COUNT];
	jw_rejet_share share[JW_RANGE_COUNT];
	jw_rejet_rule rule;
	jw_rejet_choice choice;
	int worst_reading;  /**< as jw_fit::worst; -1: none was taken */
	double worst_apart; /**< as jw_fit::worst_apart */
} jw_rejet_answer;

/** What changes do to an engine that ran right, and what to fit then. The ideal has the main jet that brings full throttle on
 * its target, and over needle, pilot jet and screw within their reach (bores 0.2 to 5 times the present) the least loss of all
 * ranges with a weak pull to the present ones; found on ever finer grids. The choice is the best that steps from the parts nearest
 * to the ideal find among those at hand, its main jet one that is safe at full throttle, or the largest: a tuner sets
 * pilot jet and screw by idle and off idle, the needle by quarter and half, the main jet by three quarters and full, and bends
 * no other for a main jet that there is none of, but to keep full throttle safe. With any bore the pilot jet is the one
 * that is fitted or the ideal one, whichever is better, and the main jet is made to fit the others. Allocates nothing but
 * for readings and a new table of pulses.
 * \return JW_OK, warnings of ::jw_mixture_at, JW_E_ARGUMENT, JW_E_RANGE and JW_E_NOT_FINITE (a member of the request that is
 * missing, beside its range or no number, before anything is computed: the error's field is its name), or as
 * ::jw_rejet_apply, ::jw_mixture_contributions and ::jw_fit_readings */
JW_API jw_status jw_rejet(const jw_rejet_request *request, jw_rejet_answer *answer, jw_error *error);

/** Whether the changes of a question need a new table of pulses, as ::jw_rejet_apply has it: 1: ::jw_rejet and the plans make
 * one first, which takes some seconds; 0: they answer at once, or as fast as plans do.
 * \param request its set-up, change and changes are read */
JW_API int jw_rejet_retabulates(const jw_rejet_request *request);

/** Sets of jets in a plan, at most. */
#define JW_REJET_SETS 24

/** One set of jets, and the altitudes that it serves. */
typedef struct jw_rejet_stretch {
	double value[JW_PART_COUNT]; /**< as ::jw_part_value has them; of parts that are not sought as they stand */
	int place[JW_PART_COUNT];    /**< as in ::jw_rejet_piece */
	double low_m, high_m;        /**< between these every range stays inside its band */
	double from_m, to_m;         /**< where it is the one to fit: stretches join, each change half way through what two sets share,
	                                  or between where one ends to serve and the next begins, found over 61 altitudes */
	double ratio_from[JW_RANGE_COUNT], ratio_to[JW_RANGE_COUNT]; /**< phi over its target at either end */
	jw_status warned_from[JW_RANGE_COUNT], warned_to[JW_RANGE_COUNT]; /**< warnings of ::jw_mixture_at there */
} jw_rejet_stretch;

/** The fewest sets that serve all altitudes of a road. Where it lacks something at full throttle, that is as lean there as
 * even the richest choice, nowhere leaner for the sake of fewer sets. */
typedef struct jw_rejet_plan {
	int sets;
	jw_rejet_stretch set[JW_REJET_SETS];
	int sought[JW_PART_COUNT];
	/** ln(phi) by which a range's band was let out where even the best choice at hand lies outside it somewhere: by how much, and
	 * its tolerance more; 0: it was not. At full throttle on the rich side alone. */
	double let_out[JW_RANGE_COUNT];
	double too_lean; /**< ln(phi) that even the richest choice at hand lacks at full throttle somewhere; 0: nothing */
	double main_wanted_m; /**< there: the ideal main jet; 0: it does not lack anything */
} jw_rejet_plan;

/** ln(phi) that a range may be off its target in a plan, leaner below 0 and richer above: twice ::jw_rejet_tolerance either
 * way; at full throttle no leaner than ::JW_REJET_LEANER. */
JW_API double jw_rejet_band(jw_range range, int richer);

/** Altitudes from low to high in the standard atmosphere (ISO 2533; its temperature unless that is among the changes), all other
 * changes made: sets of parts chosen as
 * by ::jw_rejet at 21 altitudes, each followed over 61; one for just there where none of these serves; of all these the
 * fewest that cover the road, each as far as it serves, and of as few those whose main jet grows least often on the way
 * up. Limits within a metre. One new table of pulses, where one is needed, serves the whole road. Allocates.
 * \param request its changes without JW_REJET_PRESSURE
 * \param low_m -1000..5000 geopotential
 * \param high_m above it, at most 5000
 * \return as ::jw_rejet, JW_E_RANGE ("altitude"), JW_E_ARGUMENT (pressure among the changes), JW_E_MEMORY */
JW_API jw_status jw_rejet_plan_over(const jw_rejet_request *request, double low_m, double high_m, jw_rejet_plan *plan,
                                    jw_error *error);

/** Places in a list, at most. */
#define JW_REJET_PLACES 10

/** One set of jets. */
typedef struct jw_rejet_set {
	double value[JW_PART_COUNT]; /**< as ::jw_part_value has them; of parts that are not sought as they stand */
	int place[JW_PART_COUNT];    /**< as in ::jw_rejet_piece */
} jw_rejet_set;

/** The fewest sets that serve a list of places. */
typedef struct jw_rejet_visits {
	int sets;
	jw_rejet_set set[JW_REJET_PLACES];
	int sought[JW_PART_COUNT];
	int fit[JW_REJET_PLACES];                        /**< which set at each place */
	double ratio[JW_REJET_PLACES][JW_RANGE_COUNT];   /**< phi over its target there */
	double let_out[JW_REJET_PLACES][JW_RANGE_COUNT]; /**< as in ::jw_rejet_plan, there */
	double too_lean[JW_REJET_PLACES];                /**< as in ::jw_rejet_plan, there */
	double main_wanted_m[JW_REJET_PLACES];           /**< as in ::jw_rejet_plan, there */
	jw_status warned[JW_REJET_PLACES][JW_RANGE_COUNT]; /**< warnings of ::jw_mixture_at there, with the set that fits */
} jw_rejet_visits;

/** Places, each with its air in its season, all other changes made: of all sets at hand (with any bore those that
 * ::jw_rejet has best at some place) the fewest that keep every range inside ::jw_rejet_band at every place, that band
 * let out as ::jw_rejet_plan has it where the best choice for that place lies outside. No fewer do where larger jets, a
 * higher needle and a screw further out (one of air: further in) make no range leaner. Of those that serve the same
 * places the one that costs least as a choice does but for how many parts it moves, all of them together, found by steps. One new
 * table of pulses, where one is needed, serves all places. Allocates.
 * \param request its changes of air give way to that of the places
 * \param place their air, in the ranges of ::jw_rejet_request
 * \param places 1..::JW_REJET_PLACES
 * \return as ::jw_rejet, JW_E_RANGE ("places"), JW_E_ARGUMENT ("changes": more than ::JW_REJET_CHANGES less 3 beside the
 * air), JW_E_MEMORY */
JW_API jw_status jw_rejet_plan_for(const jw_rejet_request *request, const jw_air *place, int places,
                                   jw_rejet_visits *plan, jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
