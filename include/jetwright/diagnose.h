/* SPDX-License-Identifier: GPL-3.0-or-later */
/** \file diagnose.h
 * Causes, evidence and what follows: which passage, jet or leak explains what the engine does.
 */
#ifndef JETWRIGHT_DIAGNOSE_H
#define JETWRIGHT_DIAGNOSE_H

#include <jetwright/tune.h>
#include <jetwright/units.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Pieces of evidence in a case, at most. */
#define JW_EVIDENCE_MAX 96
/** Causes in the table, at most. */
#define JW_CAUSES_MOST 64

/** One kind of evidence: a row of the vocabulary. */
typedef struct jw_evidence_kind {
	const char *id;   /**< "hunts" */
	const char *text; /**< a sentence for people */
	int takes_range;  /**< 1: said of a range of the throttle; 0: the range is fixed */
	jw_range range;   /**< the range where none is said */
	int takes_value;  /**< 1: a reading (lambda, a bore, a pressure) with value and uncertainty */
} jw_evidence_kind;

/** What may be stated of a reading. */
typedef struct jw_evidence_unit {
	jw_dimension dimension;
	const char *unit; /**< in which people state it; "" for a number */
	double si;        /**< that unit in SI */
	double low, high; /**< SI */
} jw_evidence_unit;

/** How many kinds of evidence the vocabulary has. */
JW_API int jw_evidence_kind_count(void);
/** A row of the vocabulary, 0..jw_evidence_kind_count() - 1; NULL outside. */
JW_API const jw_evidence_kind *jw_evidence_kind_at(int kind);
/** Of a kind that takes a value; else NULL. */
JW_API const jw_evidence_unit *jw_evidence_unit_of(int kind);
/** Row of an id, or -1. */
JW_API int jw_evidence_kind_find(const char *id);

/** Whether a thing was seen. */
typedef enum jw_answer {
	JW_YES,
	JW_NO,      /**< looked for and not seen */
	JW_UNKNOWN, /**< not looked for: says nothing */
	JW_ANSWER_COUNT
} jw_answer;

/** The word of an answer ("yes"), or NULL. */
JW_API const char *jw_answer_name(jw_answer answer);

/** One thing seen, tried or measured. */
typedef struct jw_evidence {
	int kind; /**< row of the vocabulary */
	jw_range range;
	double value;       /**< readings only: SI, within the limits of its kind */
	double uncertainty; /**< readings only: standard, of the value, SI, 0..the kind's greatest value; 0 takes the usual
	                       one of its kind, and none is finer than a hundredth of that */
	jw_answer answer;   /**< readings are JW_YES or JW_UNKNOWN */
} jw_evidence;

/** Parts that are jets, from the first of ::jw_part on. */
#define JW_JETS (JW_PART_PILOT_AIR_JET + 1)

/** What is known of the time before the complaint. */
typedef struct jw_history {
	double months_standing;            /**< negative: unknown */
	int changed[JW_CHANGE_KIND_COUNT]; /**< 1: this was changed just before the complaint */
	double fitted_m[JW_JETS];          /**< by ::jw_part: bore of a jet that was fitted just before; 0: none was */
	jw_air ran_in;                     /**< air in which it ran right; a density of 0: that of the case. Less than 6 %
	                                        of density is weather, in which an engine runs as well */
	int mended[JW_CAUSES_MOST]; /**< how often the remedy of this cause was done and the complaint stayed, 0..96 */
	int flat;                   /**< 1: leave history out, all causes equally likely beforehand */
} jw_history;

/** What a test may take beside hand tools. */
typedef enum jw_tool {
	JW_TOOL_NONE,
	JW_TOOL_SPARK_TESTER,
	JW_TOOL_COMPRESSION_GAUGE,
	JW_TOOL_FEELER_GAUGE,
	JW_TOOL_SPRAY, /**< carburetor cleaner in a can */
	JW_TOOL_NEW_PLUG,
	JW_TOOL_LEVEL_TUBE, /**< clear hose on the bowl drain */
	JW_TOOL_FLOW_BENCH, /**< burette or pin gauges: how much a jet that was taken out passes */
	JW_TOOL_MULTIMETER,
	JW_TOOL_TIMING_LIGHT,
	JW_TOOL_COUNT
} jw_tool;

/** The word of a tool ("spark_tester"), or NULL. */
JW_API const char *jw_tool_name(jw_tool tool);

/** Evidence about one engine. */
typedef struct jw_case {
	jw_air air;
	jw_history history;
	int tools[JW_TOOL_COUNT]; /**< 1: at hand; where none is named, JW_TOOL_NONE included, all are */
	jw_evidence evidence[JW_EVIDENCE_MAX];
	int evidences;
} jw_case;

/** What came of the remedies of a visit when the engine was tried again. */
typedef enum jw_result {
	JW_RESULT_UNKNOWN, /**< not tried, or not noted */
	JW_RESULT_GONE,    /**< nothing of the complaint is left */
	JW_RESULT_PART,    /**< a part of it stays, or it is another now */
	JW_RESULT_SAME,    /**< it stays as it was, so what was seen still holds */
	JW_RESULT_COUNT
} jw_result;

/** The word of a result ("gone"), or NULL. */
JW_API const char *jw_result_name(jw_result result);

/** Visits in a log, at most. */
#define JW_VISITS_MOST 24
/** Stands for the day of a visit that has none. */
#define JW_DAY_UNKNOWN (-1000000)

/** One visit to the engine: what was seen, then what was done, then what came of it. */
typedef struct jw_visit {
	int day; /**< days since 1970-01-01, or JW_DAY_UNKNOWN */
	jw_evidence evidence[JW_EVIDENCE_MAX];
	int evidences;
	int done[JW_CAUSES_MOST]; /**< 1: the remedy of this cause was done */
	jw_result result;         /**< of all of them */
} jw_visit;

/** Visits to one engine, the first first. */
typedef struct jw_log {
	jw_visit visit[JW_VISITS_MOST];
	int visits;
} jw_log;

/** A cause as people and programs name it. */
typedef struct jw_cause_info {
	const char *id;            /**< "pilot_jet_restricted" */
	const char *text;          /**< "pilot jet partly blocked" */
	const char *part;          /**< "pilot jet" */
	const char *action;        /**< a verb: "clean", "fit", "set" */
	const char *remedy;        /**< a sentence: what to do */
	const char *caution;       /**< that belongs to the step */
	const char *severity_text; /**< what severity 0..1 stands for */
} jw_cause_info;

/** How people and programs are told what a cause does to its part: "The pilot jet", before, "54 %", after. */
typedef struct jw_effect_words {
	const char *quantity;       /**< "flow_share", "bore", "level_low", ... */
	const char *unit;           /**< "1", "mm", ... */
	double si;                  /**< that unit in SI */
	const char *before, *after; /**< "passes", "of its clean flow" */
	int own_subject;            /**< 1: `before` has a subject of its own and follows no part */
} jw_effect_words;

/** What an engine needs to run. */
typedef enum jw_need { JW_NEED_MIXTURE, JW_NEED_CRANKING, JW_NEED_SPARK, JW_NEED_COMPRESSION, JW_NEED_COUNT } jw_need;

/** The word of a need ("mixture"), or NULL. */
JW_API const char *jw_need_name(jw_need need);

/** How many causes there are. */
JW_API int jw_cause_count(void);
/** A cause, 0..jw_cause_count() - 1; NULL outside. */
JW_API const jw_cause_info *jw_cause_at(int cause);
/** Row of an id, or -1. */
JW_API int jw_cause_find(const char *id);
/** NULL outside, and of a cause without a severity (::jw_cause_meters). */
JW_API const jw_effect_words *jw_cause_effect_words(int cause);
/** What fails; JW_NEED_MIXTURE outside. */
JW_API jw_need jw_cause_need(int cause);
/** Minutes that its remedy takes, retest included; 0 outside. */
JW_API double jw_cause_minutes(int cause);
/** Whether the remedy of a cause mends another too: taking the carburetor apart cleans every passage. */
JW_API int jw_remedy_mends(int remedy, int cause);
/** How often the remedy of a cause mends what it is meant to, 0..1; 0 outside. Trade practice, no source. */
JW_API double jw_remedy_holds(int remedy);
/** Whether the cause changes the set-up, so that the engine model foretells it; the others are known by evidence alone:
 * they have no severity and no effect. */
JW_API int jw_cause_meters(int cause);
/** Whether the cause lies in a part that can be exchanged or turned, and which; else `part` is left alone. */
JW_API int jw_cause_part(int cause, jw_part *part);

/** A set-up with a cause applied at a severity 0..1.
 * \return JW_OK, JW_E_ARGUMENT (no such cause, one known by evidence alone, or the engine
 * has no such part), JW_E_RANGE */
JW_API jw_status jw_cause_apply(const jw_setup *healthy, int cause, double severity, jw_setup *faulty, jw_error *error);

/** What a severity means on this engine; a flow share at the drop across the jet in the range where the cause tells
 * most.
 * \param severity 0..1
 * \param[out] value in the unit of ::jw_cause_effect_words
 * \return as ::jw_cause_apply, or a status of the point solver */
JW_API jw_status jw_cause_effect(const jw_setup *healthy, const jw_air *air, int cause, double severity, double *value,
                                 jw_error *error);

/** A value with its 90 % interval. */
typedef struct jw_interval {
	double value, low_90, high_90; /**< in the unit of what it is said of */
} jw_interval;

/** What a finding says of one piece of evidence. */
typedef struct jw_explained {
	int evidence;      /**< index in the case; what is unknown has likelihoods of 1 */
	double likelihood; /**< probability of this evidence if the finding holds and all other evidence is as it is */
	double before;     /**< probability of it on the engine as it ran right */
	int explains;      /**< 1: at least 1.5 times as likely as on that engine; -1: at most 1/1.5 times; else 0: the
	                        finding makes no difference, so evidence of trouble stays unexplained */
} jw_explained;

/** A cause with its posterior. */
typedef struct jw_finding {
	int cause;
	double probability; /**< alone or beside another, 0..1 */
	jw_interval severity;                   /**< 0..1; 0 where the cause has none (::jw_cause_meters) */
	jw_interval effect;                     /**< in the unit of ::jw_cause_effect_words; 0 where there is none */
	jw_interval bore;                       /**< m: the bore that a restricted passage acts like; 0 where none */
	jw_interval lambda_now[JW_RANGE_COUNT]; /**< all errors included; 0 where no fuel flows; high_90 0: it may stop */
	double lambda_after[JW_RANGE_COUNT];    /**< once remedied, what was changed still in place */
	jw_explained explained[JW_EVIDENCE_MAX];
	int has_mask; /**< changing a part would hide it: */
	jw_part mask_part;
	int mask_fouled;          /**< 1: only if that part, which is the faulty one, were as faulty in its new size */
	double mask_value;        /**< of that part, SI */
	jw_range mask_range;      /**< where it would bring the mixture back */
	double mask_lambda_after; /**< lambda there once the cause is remedied and the change left in */
	double fit_value;         /**< wrong brass: the bore that belongs there, m; else 0 */
} jw_finding;

/** What a hypothesis supposes. */
typedef enum jw_hypothesis_kind {
	JW_HYPOTHESIS_CAUSES, /**< one cause, or two at once */
	JW_HYPOTHESIS_SOUND,  /**< nothing is wrong */
	JW_HYPOTHESIS_OTHER   /**< something that is no cause of the list */
} jw_hypothesis_kind;

/** What may be so; probabilities of all hypotheses sum to 1. */
typedef struct jw_hypothesis {
	jw_hypothesis_kind kind;
	int cause[2]; /**< -1: none */
	double probability; /**< 0..1 */
} jw_hypothesis;

/** The answer to a case; owned by the caller, see jw_report_free. */
typedef struct jw_report jw_report;

/** Posterior over causes and severities given a case. Allocates; thread-safe.
 *
 * The engine: what history.changed and history.fitted_m name is applied first; then one cause at a time. Wrong brass is
 * told beside the brass that makes up for the change. Causes of parts that the engine does not have are not listed.
 * Where a coefficient is known worse than its having run right tells (an uncertainty above 8 %, as where a class states
 * most of it), the coefficients of fuel are first fitted to the mixtures that such an engine runs best on, to 11 %
 * each, by ::jw_fit_readings; where no fit is found they stand as stated. A severity that cannot be solved is left out.
 *
 * The likelihood: readings of one range count as one, and so does a symptom told twice. Per fact it is (1 - e) model +
 * e/K; the product over all facts is taken inside the sum over severity (24 cells) and over what they share: errors of
 * the coefficients of air, main and pilot fuel, the model's own error in each range (6 %) and in what a fault does (a
 * fifth of it), and the tolerance of this engine for lean and rich mixtures (quasi-random, 128 draws; the model's error
 * in closed form where a reading tells it). Causes that the model does not foretell are known by tables of how often
 * each thing is seen with them; those between tank and bowl it foretells where the set-up describes its supply. `other`
 * stands for all that is no cause of the list. Where an engine runs badly in some range, a severity too slight to be
 * felt in any counts a tenth, unless the cause is known to bring such a complaint in another way: what is not felt is
 * not brought in.
 *
 * Two at once are weighed for the leading causes and for those that explain what these leave, where each explains a
 * fact or moves the mixture where there are facts: changes of ln(phi) added first, then the leading pairs solved
 * together. A finding's probability counts its pairs; its severity and what it explains are those of the cause alone.
 *
 * \param healthy the engine as it ran right, before what history.changed names
 * \param known 1..JW_EVIDENCE_MAX pieces of evidence, unknown ones included, of valid kind and range; a kind that
 * takes no range ignores the one given
 * \return JW_OK, warnings of the sound engine's points, JW_E_ARGUMENT (no evidence, unknown kind or range), JW_E_RANGE,
 * JW_E_NOT_FINITE, JW_E_MEMORY or an error of the point solver */
JW_API jw_status jw_explain(const jw_setup *healthy, const jw_case *known, jw_report **report, jw_error *error);
/** Frees a report; NULL is allowed. */
JW_API void jw_report_free(jw_report *report);
/** How many findings a report has. */
JW_API int jw_report_findings(const jw_report *report);
/** A finding, sorted by probability, the greatest first, from 0; NULL outside. Lives as long as the report. */
JW_API const jw_finding *jw_report_finding(const jw_report *report, int index);
/** How many hypotheses a report has. */
JW_API int jw_report_hypotheses(const jw_report *report);
/** A hypothesis, sorted by probability, the greatest first, from 0; NULL outside. Lives as long as the report. */
JW_API const jw_hypothesis *jw_report_hypothesis(const jw_report *report, int index);

/** What led at one place of a log. */
typedef struct jw_belief {
	int visit;
	int done;               /**< 0: once its evidence was weighed; 1: after its remedies */
	jw_hypothesis_kind led; /**< JW_HYPOTHESIS_CAUSES: a cause, which stands alone or beside another */
	int cause;              /**< that led; -1: none did */
	double probability;     /**< of what led */
} jw_belief;

/** How belief moved over a log. */
typedef struct jw_course {
	jw_case present; /**< what speaks of the engine as it is now, see ::jw_log_present */
	int first;       /**< visit with which its evidence begins; the number of visits where there is none */
	jw_belief belief[2 * JW_VISITS_MOST];
	int beliefs;
} jw_course;

/** The case as it stands after all visits: the evidence since the last remedy after which the complaint was gone or
 * another, and what was done since in vain. \param known air, history and tools
 * \return JW_OK, JW_E_ARGUMENT, JW_E_RANGE (days that fall, or more evidence than a case holds) */
JW_API jw_status jw_log_present(const jw_case *known, const jw_log *log, jw_case *present, jw_error *error);

/** ::jw_explain over several visits. Evidence from before a repair speaks of the engine before it. A repair removes
 * what it is meant to mend with the probability ::jw_remedy_holds, may leave a carburetor put together wrongly (3 %),
 * and its result tells how it went; a sound engine may fail anew until the next visit. What is believed then takes the
 * place of history: exact sums over which of one or two faults was removed when. After a result of ::JW_RESULT_SAME
 * what was seen still holds, and the remedy counts as done in vain. Severities are judged anew after each repair.
 * \param known air, history and tools; its own evidence and what was mended are left aside, the log tells them \param log 1..JW_VISITS_MOST visits, with
 * evidence in the first, days not falling \param[out] course may be NULL \return as ::jw_explain; a report on an engine
 * of which nothing was seen since a repair tells what is believed of it */
JW_API jw_status jw_explain_log(const jw_setup *healthy, const jw_case *known, const jw_log *log, jw_report **report,
                                jw_course *course, jw_error *error);

/** Lambda above which a warm engine misfires in a range: 1.2..1.35 (Heywood 1988, ch. 9, from memory; which range how
 * much: trade practice, no source); 0 outside the list. */
JW_API double jw_lean_limit(jw_range range);

/** Probability that a need fails by a cause of the list; of two faults at once both needs fail, or one need once. */
JW_API double jw_report_need(const jw_report *report, jw_need need);

/** Two pieces of evidence that cannot both be so. */
typedef struct jw_conflict {
	int evidence[2]; /**< indices in the case */
} jw_conflict;

/** How many pairs of evidence that cannot both be so a report has. */
JW_API int jw_report_conflicts(const jw_report *report);
/** Such a pair, from 0; NULL outside. Lives as long as the report. */
JW_API const jw_conflict *jw_report_conflict(const jw_report *report, int index);

/** Results of a test, at most. */
#define JW_OUTCOMES_MOST 4

/** A test that answers one kind of evidence: how to do it, and safely. */
typedef struct jw_test_info {
	const char *evidence; /**< "spark_strong": seen or not */
	const char *text;     /**< what to do */
	const char *caution;
	double minutes; /**< that it takes */
	jw_tool tool;
	const char *instead[JW_OUTCOMES_MOST - 2]; /**< what else may be seen, "spark_weak", "spark_none"; or NULL */
} jw_test_info;

/** The test that answers a kind of evidence, or NULL. */
JW_API const jw_test_info *jw_test_of(int evidence_kind);

/** A cause whose probability a result changes; -1: none changes by a hundredth. */
typedef struct jw_shift {
	int cause;
	double before, after; /**< probability, 0..1 */
} jw_shift;

/** What one result of a test would mean. */
typedef struct jw_outcome {
	int evidence; /**< the kind seen */
	jw_answer answer;
	int side;                /**< a reading: -1 clearly less than it should be, 1 more; 0 as it should, and of words */
	double probability;      /**< of this result */
	double expected_minutes; /**< to a verified repair from there */
	int leads;               /**< the cause that is likeliest then; -1: something unnamed, or nothing wrong */
	double probability_then; /**< of that cause */
	int remedy;              /**< the cause whose remedy is worth most a minute then; -1: a search, or nothing */
	jw_shift rises, falls;   /**< that changes most */
} jw_outcome;

/** A step that can be done next. */
typedef struct jw_action {
	int cause;               /**< repair: the remedy of this cause; -1: a test */
	int evidence;            /**< test: the kind of evidence that it answers; -1: a repair */
	jw_range range;          /**< test: where it is done, where its evidence takes a range */
	double minutes;          /**< that it takes */
	double expected_minutes; /**< to a verified repair, of two faults the first, if it is done next, by one step of
	                            foresight: then remedies in the order of minutes over what each may still mend */
	double yes;              /**< test: probability that it is seen; a reading: that it stands out to either side */
	int if_yes, if_no;       /**< test: the cause that leads after the likeliest result of that kind; -1: none */
	double information_bit;  /**< test: by how much it is expected to lower the entropy over remedies */
	double mends;            /**< repair: probability that it mends a fault that is there */
	int outcomes;            /**< test: possible results, those of less than 1 % left out; yes first */
	jw_outcome outcome[JW_OUTCOMES_MOST];
} jw_action;

/** How many steps a report proposes. */
JW_API int jw_report_actions(const jw_report *report);
/** A step, from 0: by expected minutes, the fewest first, without tests that take a tool that is not at hand, that need
 * an engine that runs where it does not start, or a part that it does not have; NULL outside. Lives as long as the
 * report. */
JW_API const jw_action *jw_report_action(const jw_report *report, int index);

/** Expected cost, minutes, of trying repairs one by one, the least cost over probability first, each only if none
 * before was right: the least that any order has (Kalagnanam and Henrion, A comparison of decision analysis and expert
 * rules for sequential diagnosis, UAI 1988).
 * \param probability, minutes of n repairs, 0 or above
 * \param n 0..66 single faults that exclude each other; 0 outside */
JW_API double jw_expected_minutes(const double *probability, const double *minutes, int n);

/** The same as ::jw_expected_minutes, minutes, in the order given.
 * \param probability, minutes of n repairs, 0 or above */
JW_API double jw_minutes_in_order(const double *probability, const double *minutes, int n);

/** Entropy of a distribution, bit (Shannon, Bell Syst. Tech. J. 27 (1948) 379).
 * \param p n probabilities that sum to 1 */
JW_API double jw_entropy(const double *p, int n);

/** Posterior by Bayes' rule: prior times likelihood, normalised.
 * \param prior, likelihood of n hypotheses, 0 or above
 * \param[out] posterior n probabilities, which sum to 1
 * \return JW_OK or JW_E_RANGE (one below 0 or not finite, or all products 0) */
JW_API jw_status jw_posterior(const double *prior, const double *likelihood, int n, double *posterior, jw_error *error);

/** Expected entropy reduction of a test, bit (Shannon, Bell Syst. Tech. J. 27 (1948) 379).
 * \param prior n probabilities that sum to 1
 * \param outcome n rows of m probabilities P(outcome | hypothesis), each row's sum 1 */
JW_API double jw_expected_information(const double *prior, const double *outcome, int n, int m);

#ifdef __cplusplus
}
#endif
#endif
