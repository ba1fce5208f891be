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

/** What can be changed on an engine, or around it. Several are made in the order of this list. */
typedef enum jw_rejet_kind {
	JW_REJET_CARBURETOR, /**< that of another set-up, on this intake; its idle stop set as below */
	JW_REJET_THROAT,     /**< bore of the throat; plate, choke, and the slide's full lift and base go with it, jets and
	                          nozzle stay, the idle stop is set so that as much stays free as before */
	JW_REJET_BORE,       /**< of the cylinders; compression as stated */
	JW_REJET_STROKE,
	JW_REJET_CYLINDERS, /**< on this carburetor */
	JW_REJET_COMPRESSION,
	JW_REJET_FILLING, /**< volumetric efficiency times a factor at the speed of each range: camshaft, exhaust, ports */
	JW_REJET_FILTER,  /**< loss of filter and airbox, Pa at the flow that the set-up states; 0 removed */
	JW_REJET_VENT,    /**< of the bowl, a ::jw_vent */
	JW_REJET_REFERENCE, /**< of the floating slide's upper side, a ::jw_vent */
	JW_REJET_FUEL,
	JW_REJET_PREMIX,      /**< oil in the fuel, by volume of the mix */
	JW_REJET_PRESSURE,    /**< of the air: altitude, or a barometer */
	JW_REJET_TEMPERATURE, /**< of the air; relative humidity stays */
	JW_REJET_HUMIDITY,    /**< relative, 0..1 */
	JW_REJET_KIND_COUNT
} jw_rejet_kind;

/** The word of a kind ("throat"), or NULL. */
JW_API const char *jw_rejet_kind_name(jw_rejet_kind kind);

/** One change. Only the member that its kind needs is read. */
typedef struct jw_rejet_change {
	jw_rejet_kind kind;
	double value;                  /**< as it is afterwards, SI */
	double factor[JW_RANGE_COUNT]; /**< filling; straight between the speeds of the ranges, held beyond */
	jw_fuel fuel;
	const jw_setup *other; /**< carburetor; its coefficients come with it */
} jw_rejet_change;

/** Makes changes to a set-up and the air around it, in the order of ::jw_rejet_kind.
 * \param count 0..::JW_REJET_CHANGES, each kind once
 * \return JW_OK, warnings of the air, JW_E_ARGUMENT (a kind twice, unknown, without its set-up, or that this engine has
 * no place for: the error's field is its word), JW_E_RANGE or what ::jw_setup_check says of the outcome */
JW_API jw_status jw_rejet_apply(const jw_rejet_change *changes, int count, jw_setup *setup, jw_air *air,
                                jw_error *error);

/** What is asked. */
typedef struct jw_rejet_request {
	const jw_setup *setup; /**< as it ran right, with the brass that is fitted */
	const jw_air *air;     /**< in which it did */
	const jw_rejet_change *change;
	int changes; /**< 0..::JW_REJET_CHANGES, each kind once */
	/** Numbers that nobody measured, and whether lambda at idle, half and full is known all the same: see
	 * ::jw_mixture_contributions. */
	const jw_unmeasured *unmeasured;
	int unmeasureds, anchored;
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

/** Lambda above which an engine is in danger at full throttle, 1.00, and at three quarters, 1.05; 0 in the other
 * ranges. Burnt gas is hottest a little richer than the chemically right mixture, exhaust at it (Heywood 1988, ch. 4
 * and 9, from memory), and such engines are cooled by the richer one of best power, lambda 0.86..0.90; at three
 * quarters there is less heat: judgement. */
JW_API double jw_rejet_danger_lambda(jw_range range);
/** From this probability of being leaner on, the verdict is JW_REJET_DANGEROUS. */
#define JW_REJET_DANGER 0.05

/** One range at its usual point, nothing but the changes made: the brass as it is. */
typedef struct jw_rejet_range {
	jw_mixture before, after;
	double relative_before, relative_after; /**< standard uncertainty of each phi */
	double relative_change; /**< standard uncertainty of phi after over phi before: what both share drops out, and each
	                             change adds how far such predictions go astray */
	jw_rejet_verdict was, becomes;
	double danger; /**< probability that lambda afterwards is above ::jw_rejet_danger_lambda, by the uncertainty
	                    of the change; 0 in the ranges that it does not concern */
} jw_rejet_range;

/** What the changes are shared out of. */
typedef enum jw_rejet_quantity {
	JW_REJET_LNPHI, /**< ln phi; 1/1000 stands for no fuel */
	JW_REJET_LNAIR, /**< ln of the dry air drawn */
	JW_REJET_LNFUEL,
	JW_REJET_PULL, /**< on the main circuit, bowl to nozzle, Pa */
	JW_REJET_QUANTITY_COUNT
} jw_rejet_quantity;

/** Which change does how much in a range: Shapley's value (in: Contributions to the Theory of Games II, 1953), the mean
 * over every order in which the changes could be made. They add up to what all changes do together. */
typedef struct jw_rejet_share {
	double of[JW_REJET_QUANTITY_COUNT][JW_REJET_CHANGES];
} jw_rejet_share;

/** Why the first-order rule does not serve; the rule: fuel keeps up with air where the main jet's area goes with
 * sqrt(air density / fuel density) / stoichiometric AFR (Heywood 1988, 7.2). */
typedef enum jw_rejet_rule_reason {
	JW_RULE_APPLIES,
	JW_RULE_NOTHING,      /**< neither air nor fuel changes */
	JW_RULE_OTHER_CHANGE, /**< more than air and fuel changes */
	JW_RULE_SLIDE_FLOATS, /**< at full throttle, the slide below its stop: the throat is no fixed one */
	JW_RULE_WEAK_PULL,    /**< at full throttle, on the main jet less than twice the height that it must lift fuel */
	JW_RULE_REASON_COUNT
} jw_rejet_rule_reason;

typedef struct jw_rejet_rule {
	jw_rejet_rule_reason reason;
	double area_factor; /**< of the main jet, whatever the reason; with the jet as it is, of lambda at full throttle */
} jw_rejet_rule;

/** The answer. */
typedef struct jw_rejet_answer {
	jw_setup setup; /**< changed, with the brass as it was */
	jw_air air;     /**< changed */
	jw_rejet_range range[JW_RANGE_COUNT];
	jw_rejet_share share[JW_RANGE_COUNT];
	jw_rejet_rule rule;
} jw_rejet_answer;

/** What changes do to an engine that ran right.
 * \return JW_OK, warnings of ::jw_mixture_at, or as ::jw_rejet_apply and ::jw_mixture_contributions */
JW_API jw_status jw_rejet(const jw_rejet_request *request, jw_rejet_answer *answer, jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
