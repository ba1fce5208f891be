/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file tune.h
 * Making a set-up agree with an engine that runs right, and the brass that restores a mixture.
 */
#ifndef JETWRIGHT_TUNE_H
#define JETWRIGHT_TUNE_H

#include <jetwright/cycle.h>

#ifdef __cplusplus
extern "C" {
#endif

/** "With this brass, in this air, lambda is right at idle, half and full." */
typedef struct jw_baseline {
	jw_air air;
	double lambda_idle, lambda_half, lambda_full; /**< 0.5..1.5 */
} jw_baseline;

/** What a calibration found. */
typedef struct jw_calibration {
	jw_coefficients coefficient;     /**< pilot from idle, needle from half, main from full; air kept */
	double lambda_uncalibrated[JW_RANGE_COUNT]; /**< with the coefficients at 1; 0 where no fuel flows */
} jw_calibration;

/** Solves one coefficient per circuit so that lambda is right at idle, half and full; changes nothing in the set-up. Where
 * several sets of coefficients do, as where needle and main jet share the fuel at half and full, it is the one nearest to 1
 * (least sum of squared logarithms) of those reached by Newton from nine starts 0.7..1.42 about 1.
 * \return JW_OK, JW_W_COEFFICIENT (a coefficient outside 0.8..1.25: check the dimensions), JW_E_BASELINE (not to be met
 * within 0.2..5; the error names the range) */
JW_API jw_status jw_calibrate(const jw_setup *setup, const jw_baseline *baseline, jw_calibration *result, jw_error *error);

/** Elements of a set-up that a person can exchange or turn. */
typedef enum jw_part {
	JW_PART_MAIN_JET,
	JW_PART_PILOT_JET,
	JW_PART_MAIN_AIR_JET,
	JW_PART_PILOT_AIR_JET,
	JW_PART_MIXTURE_SCREW,
	JW_PART_NEEDLE_POSITION,
	JW_PART_COUNT
} jw_part;

/** The word of a part ("main_jet"), or NULL. */
JW_API const char *jw_part_name(jw_part part);

/** Its dimension in a set-up, SI (bores and heights in m, screw in turns). */
JW_API double jw_part_value(const jw_setup *setup, jw_part part);

/** Changes a part of a set-up.
 * \param[in,out] setup changed in place; untouched after an error
 * \param value SI, as ::jw_part_value has it; bores 0 (air jets) or 0.1 mm up, and so on: the error tells the range
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE, JW_E_ARGUMENT (unknown part) */
JW_API jw_status jw_part_set(jw_setup *setup, jw_part part, double value, jw_error *error);

/** The value of one part that gives a wanted phi at a point, everything else unchanged.
 * \param phi 1/lambda, 0.01..10
 * \param[out] value SI, as ::jw_part_value has it
 * \return JW_OK, JW_E_NO_ROOT (out of reach within the part's sensible range; of a main jet no narrower than its rod),
 * JW_E_ARGUMENT (unknown part), or as ::jw_mixture_at */
JW_API jw_status jw_part_for_phi(const jw_setup *setup, const jw_air *air, const jw_point *point, jw_part part,
                                 double phi, double *value, jw_error *error);

/** Changes that owners make and then ask about; the words are those of the YAML files. */
typedef enum jw_change_kind {
	JW_CHANGE_FILTER_OPEN,     /**< filter or airbox removed, or an open filter fitted */
	JW_CHANGE_EXHAUST_FREER,   /**< exhaust with less back pressure */
	JW_CHANGE_KIND_COUNT
} jw_change_kind;

/** The word of a change ("filter_open"), or NULL. */
JW_API const char *jw_change_name(jw_change_kind kind);
/** The plain description of a change, or NULL. */
JW_API const char *jw_change_text(jw_change_kind kind);

/** Applies a change to a set-up.
 * \param[in,out] setup changed in place; untouched after an error
 * \return JW_OK, JW_E_ARGUMENT (unknown change) */
JW_API jw_status jw_change_apply(jw_setup *setup, jw_change_kind kind, jw_error *error);

/** What may clog. */
typedef enum jw_passage {
	JW_PASSAGE_PILOT_JET,
	JW_PASSAGE_MAIN_JET,
	JW_PASSAGE_POWER_JET,
	JW_PASSAGE_ENRICHENER_JET,
	JW_PASSAGE_PILOT_AIR_JET,
	JW_PASSAGE_MAIN_AIR_JET,
	JW_PASSAGE_PILOT_OUTLET,
	JW_PASSAGE_TRANSFER_PORTS,
	JW_PASSAGE_PUMP_NOZZLE,
	JW_PASSAGE_COUNT
} jw_passage;

/** What flows through a passage. */
typedef enum jw_carries { JW_CARRIES_FUEL, JW_CARRIES_AIR, JW_CARRIES_EMULSION, JW_CARRIES_SHOT } jw_carries;

/** A passage as people and programs name it. */
typedef struct jw_passage_info {
	const char *id;   /**< "pilot_jet" */
	const char *text; /**< "pilot jet" */
	jw_carries carries; /**< JW_CARRIES_SHOT: fuel, but only while the throttle opens; no steady point feels it */
	jw_range tells;   /**< where it weighs most */
} jw_passage_info;

/** A passage's words, or NULL outside the list. */
JW_API const jw_passage_info *jw_passage_at(jw_passage passage);
/** The passage of an id, or -1. */
JW_API int jw_passage_find(const char *id);

/** Its bore, m; of outlets the bore of a round hole with their area (of ports: the mean area). 0 where the engine has none. */
JW_API double jw_passage_bore(const jw_setup *setup, jw_passage passage);

/** What flows through it at a solved point, kg/s: fuel, or air through an air jet; of outlets the fuel of the circuit; 0 for
 * a pump's nozzle. */
JW_API double jw_passage_flow(const jw_mixture *mixture, jw_passage passage);

/** A set-up with a share of a passage's area shut. \param share 0..1
 * \return JW_OK, JW_E_ARGUMENT, JW_E_NOT_FOUND (the engine has none), JW_E_RANGE */
JW_API jw_status jw_passage_shut(const jw_setup *clean, jw_passage passage, double share, jw_setup *restricted,
                                 jw_error *error);

/** What is left of a restricted passage. */
typedef struct jw_passage_left {
	double clean_m;      /**< bore as by ::jw_passage_bore */
	double drop_pa;      /**< that drives the clean jet at the point; 0 of outlets, whose flow goes with their area */
	jw_restriction left; /**< in all its ways, at that drop, flow past a rod where one stands in the jet at the point: in the
	                          running engine the drop rises and more is left */
	jw_setup setup;      /**< with the passage restricted */
} jw_passage_left;

/** Restricts a passage and says by how much in every way.
 * \param amount of the kind: film up to half the bore, m; blocked share or flow share 0..1
 * \return JW_OK, warnings of the point, JW_E_ARGUMENT (unknown passage or kind), JW_E_NOT_FOUND (the engine has no such
 * passage), JW_E_NO_FLOW (nothing flows through a jet at the point, so the ways cannot be compared), JW_E_RANGE and
 * JW_E_NOT_FINITE (of an outlet "amount", else as ::jw_restrict), or as ::jw_mixture_at */
JW_API jw_status jw_passage_restrict(const jw_setup *clean, const jw_air *air, jw_passage passage, const jw_point *point,
                                     jw_restriction_kind kind, double amount, jw_passage_left *left, jw_error *error);

/** A five-gas analysis of dry exhaust; volume fractions. */
typedef struct jw_gas_analysis {
	double co, co2, o2; /**< 0..0.25 */
	double hc; /**< as hexane (n = 6), as analysers show it */
	double no; /**< 0 where not measured */
} jw_gas_analysis;

/** Lambda from an exhaust analysis by the carbon and oxygen balance of Brettschneider (1979), water-gas constant 3.5.
 * \param gas co, co2, o2 0..0.25, hc 0..0.1, no 0..0.02; co2 + co at least 0.01
 * \param hydrogen_per_carbon, oxygen_per_carbon of the fuel by atoms (0..4, 0..1): see ::jw_fuel_atoms
 * Leaves out: air that leaks into the sample (5 % of it raise lambda by about 5 %), hydrocarbons that an infrared cell
 * does not see (about half of petrol's).
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_lambda_from_gas(const jw_gas_analysis *gas, double hydrogen_per_carbon, double oxygen_per_carbon,
                                    double *lambda, jw_error *error);

/** Lambda of a rich mixture from the CO in its dry exhaust alone: the same balance as ::jw_lambda_from_gas, no oxygen
 * and no hydrocarbon left, which a misfire or air in the sample would add.
 * \param co volume fraction, 0.005..0.2: below, CO says only that the mixture is not rich
 * \param hydrogen_per_carbon, oxygen_per_carbon of the fuel by atoms (0..4, 0..1): see ::jw_fuel_atoms
 * \param[out] lambda below 1
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE, JW_E_NO_ROOT */
JW_API jw_status jw_lambda_from_co(double co, double hydrogen_per_carbon, double oxygen_per_carbon, double *lambda,
                                   jw_error *error);

/** Hydrogen and oxygen per carbon of a fuel, from its stoichiometry and its share of oxygen by mass.
 * \param fuel of an oxygen_mass_fraction 0..0.6 and a stoichiometric_afr 1..20
 * \param[out] hydrogen_per_carbon, oxygen_per_carbon by atoms
 * \return JW_OK, JW_E_RANGE, JW_E_NOT_FINITE */
JW_API jw_status jw_fuel_atoms(const jw_fuel_state *fuel, double *hydrogen_per_carbon, double *oxygen_per_carbon,
                               jw_error *error);

/** What was read on the engine or on its carburetor. */
typedef enum jw_reading_kind {
	JW_READING_LAMBDA,
	JW_READING_AFR,
	JW_READING_GAS,
	JW_READING_JET_FLOW,   /**< fuel that a jet passes on the bench */
	JW_READING_LEVEL,      /**< fuel in the bowl above where the profile has it */
	JW_READING_LIFT,       /**< of the slide */
	JW_READING_DEPRESSION, /**< of the throat at the nozzle, below ambient, cycle mean */
	JW_READING_KIND_COUNT
} jw_reading_kind;

/** The word of a kind ("slide_lift"), or NULL. */
JW_API const char *jw_reading_name(jw_reading_kind kind);

/** One reading. */
typedef struct jw_reading {
	jw_reading_kind kind;
	jw_air air;
	jw_point point;      /**< unused by jet flow and level */
	double value;        /**< lambda, AFR, m3/s, m or Pa; unused by gas */
	double uncertainty;  /**< standard, in the unit of the value; of gas: that of lambda */
	double stoichiometric_afr; /**< AFR: where the gauge's scale has lambda 1, 1..20; 0 = that of the set-up's fuel */
	jw_gas_analysis gas;
	jw_part jet;         /**< jet flow: main_jet or pilot_jet, fed with the set-up's fuel at the air's temperature */
	double head_m;       /**< jet flow: height of the fuel's surface above the jet */
	int line;            /**< where it stands in its file; 0 = nowhere */
} jw_reading;

/** What a fit may change. A coefficient with uncertainty 0 is kept; a jet or the level moves only where it was read. */
typedef enum jw_unknown {
	JW_UNKNOWN_AIR,
	JW_UNKNOWN_MAIN,
	JW_UNKNOWN_NEEDLE,
	JW_UNKNOWN_PILOT,
	JW_UNKNOWN_MAIN_JET,
	JW_UNKNOWN_PILOT_JET,
	JW_UNKNOWN_LEVEL,
	JW_UNKNOWN_COUNT
} jw_unknown;

/** The word of an unknown ("needle", "main_jet", "level"), or NULL. */
JW_API const char *jw_unknown_name(jw_unknown unknown);

/** Its value in a set-up: a coefficient, a bore in m, the level error in m. */
JW_API double jw_unknown_value(const jw_setup *setup, jw_unknown unknown);

/** What a fit found. */
typedef struct jw_fit {
	jw_setup setup;                 /**< fitted; the uncertainties of the coefficients are those after the fit */
	int free[JW_UNKNOWN_COUNT];     /**< 1: was fitted; 0: kept, or held at the end of its range, where readings pulled it */
	double covariance[JW_UNKNOWN_COUNT][JW_UNKNOWN_COUNT]; /**< of ln(coefficient), ln(bore), and level in m */
	double chi_squared;             /**< of readings and prior at the answer; expected: the number of readings less that
	                                     of fitted jets and level */
	int worst;                      /**< index of the reading that stands farthest from the others */
	double worst_apart;             /**< how far, as ::jw_fit_reading::apart, without its sign */
} jw_fit;

/** A reading beside the model. lambda 0: no fuel flows. */
typedef struct jw_fit_reading {
	double read;             /**< lambda for gas */
	double before, after;    /**< what the set-up gives before and after the fit, in the same unit */
	double residual;         /**< (after - read)/uncertainty; taken in 1/lambda for lambda, AFR and gas */
	double apart;            /**< the same against what the other readings and the prior say, in standard uncertainties
	                              of that difference: residual/sqrt(1 - leverage); 0 where nothing else speaks */
} jw_fit_reading;

/** A coefficient below this is JW_W_COEFFICIENT. */
#define JW_COEFFICIENT_LEAST 0.8
/** Or one above this. */
#define JW_COEFFICIENT_MOST 1.25

/** Beyond this many standard uncertainties a reading disagrees with the others. */
#define JW_READING_DISAGREES 3.0

/** Fits a set-up to readings by weighted least squares. The set-up's own coefficients are readings too, with its
 * uncertainties: what no reading speaks of stays put. Covariance and leverage are first-order (JCGM 100): where lambda has a
 * cliff, as beside the stop of a slide, they say too little. Memory is allocated by the GNU Scientific Library, whose error
 * handler decides what happens when there is none.
 * \param reading at least one, values and uncertainties positive but for the level's value
 * \param[out] each of the readings beside the model, as many as there are readings; may be NULL
 * \return JW_OK, JW_W_DISAGREE (a reading stands more than ::JW_READING_DISAGREES apart), JW_W_COEFFICIENT, warnings of
 * ::jw_mixture_at, JW_E_ARGUMENT (the lift of a slide that is none), JW_E_RANGE, JW_E_NOT_FINITE, JW_E_NO_CONVERGENCE,
 * JW_E_MEMORY. An error about reading number i has the
 * field "reading" and the value i; one about an unknown that stays open beyond all numbers its name. */
JW_API jw_status jw_fit_readings(const jw_setup *setup, const jw_reading *reading, int readings, jw_fit *fit,
                                 jw_fit_reading *each, jw_error *error);

/** A table of the pulse's factors for a set-up, from the cycle-resolved form (cycle.h): twelve speeds, evenly spaced by
 * their ratio from the lowest of its usual points to a tenth above the highest, by thirteen openings. With it the mean-value
 * model draws the cycle's air and the fuel of each circuit at the nodes, and follows them in between; how closely stands in
 * tests/bench/README.md. What the main circuit feels is told as a pull and not as a share of the throat's pulse
 * (::jw_cycle::fuel_response), which nothing fixes where there is hardly a pulse.
 * Takes a few seconds. The table belongs to the geometry of engine, inlet and carburetor that it was made for, which
 * includes filter and vent of the bowl; brass, fuel and air may change a little. Rejetting makes it anew (rejet.h).
 * \param setup as accepted by ::jw_setup_check; its own table and coefficient.air count for nothing
 * \param[out] table to be put into ::jw_setup::pulses
 * \param[out] bridged nodes whose cycle did not settle, and which took their factors from the openings beside them; NULL: not
 * wanted
 * \return JW_OK or as ::jw_cycle_at, JW_E_NO_CONVERGENCE where at one speed less than half of the cycles settle */
JW_API jw_status jw_pulses_tabulate(const jw_setup *setup, const jw_air *air, jw_pulse_table *table, int *bridged,
                                    jw_error *error);

#ifdef __cplusplus
}
#endif
#endif
