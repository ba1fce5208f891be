/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the text and the JSON of explain are made of. */
#ifndef CLI_EXPLAIN_H
#define CLI_EXPLAIN_H

#include "page.h"
#include "show.h"

/* A worked case. */
typedef struct answer {
	const jw_case *known; /* of the engine as it is now */
	const jw_log *log;
	const jw_course *course;
	const jw_profile *profile;
	const jw_setup *healthy;
	const jw_report *report;
	const char *about, *class; /* the class that stands for the engine, or NULL */
	jw_status status;
	cli_page *page; /* that the text goes to */
} answer;

/* The class that says most of the engine: one that stands in for it, or one that an uncalibrated profile leaves the
 * rest to; NULL: the engine is known by itself. */
const char *class_behind(const answer *a);

void explain_text(const answer *a);
void explain_json(const answer *a);
/* A page for the workbench, and its picture alone; an exit code. */
int explain_sheet(const cli_command *command, const char *path, const answer *a);
int explain_draw(const cli_command *command, const char *path, const answer *a);

/* Whether anything was repaired on a visit. */
int done_any(const jw_visit *visit);

/* ::jw_explain_log, and on a terminal a word of it where it lasts. */
jw_status weigh_log(const jw_setup *healthy, const jw_case *known, const jw_log *log, jw_report **report,
                    jw_course *course, jw_error *error);

/* Whether there is more than one look at the engine to tell of; the table; and the same as JSON. */
int tells_course(const answer *a);
void print_course(const answer *a);
void json_course(cli_json *json, const answer *a);

/* ---- what it comes to ---- */

/* How evidence stands to one or two faults. */
typedef enum bearing { EXPLAINS, FITS, OPEN, AGAINST, UNSAID, BEARINGS } bearing;

/* "explains" */
const char *bearing_name(bearing which);

/* What leads: one fault, two at once, or none of the list. */
typedef struct conclusion {
	const jw_hypothesis *hypothesis;  /* the likeliest that holds the first fault */
	const jw_finding *first, *second; /* to be mended in this order; NULL: none */
	double probability;               /* of the first, alone or beside another; of the hypothesis where none */
	int weak;                         /* nothing is taken apart for it */
} conclusion;

conclusion conclude(const answer *a);

/* Whether nothing seems wrong, by no weak lead. */
int seems_sound(const conclusion *c);

/* What must not wait until the cause is found, each once. \return how many */
enum { DANGERS_MOST = 4 };
int dangers_of(const answer *a, const conclusion *c, const char **caution);

/* Of one piece of evidence to a fault by itself, and to the faults of a conclusion together. */
bearing bearing_of(const answer *a, const jw_finding *finding, int evidence);
bearing bearing_of_all(const answer *a, const conclusion *c, int evidence);

/* Whether a hypothesis is the conclusion, or the same with a further fault beside it. */
int says_the_same(const jw_hypothesis *hypothesis, const conclusion *c);

/* The range, of those that the case speaks of, where mending moves lambda most; -1 where it moves none. */
int moved_range(const answer *a, const jw_finding *finding);

/* Whether a test is worth its minutes or decides something. \param repair the best, or NULL \param saves minutes */
int test_pays(const conclusion *c, const jw_action *test, const jw_action *repair, double *saves);

/* The best step, where it is a test that is worth its minutes or decides something; else NULL. \param saves minutes */
const jw_action *first_test(const answer *a, const conclusion *c, double *saves);

/* ---- the parts of the text ---- */

/* The engine and its history; what cannot both be so. */
void print_engine(const answer *a);
void print_conflicts(const answer *a);
/* What leads, what speaks for it and what against. */
void print_findings(const answer *a, const conclusion *c);
/* What else it could be. */
void print_around(const answer *a, const conclusion *c);
/* Lambda with the fault and without, and the change that would hide it. */
void print_mixtures(const answer *a, const conclusion *c);
/* Whether lambda is told: of one fault that the mixture follows from. */
int tells_lambda(const conclusion *c);

/* ---- what it is called ---- */

/* How a part's dimension is written. */
typedef struct part_words {
	const char *name, *unit, *format; /* the last of value and present value */
	double si;
} part_words;

const part_words *part_words_of(jw_part part);

/* The text leaves out hypotheses below this; JSON has them all. */
#define LEAST_SHOWN 0.02

typedef struct sentence {
	char text[320];
} sentence;

/* Words of the library as they are said of this engine: of a choke plate where it has one in place of an enrichener. */
sentence said_of(const answer *a, const char *text);
/* What to do and see; where it holds a wide throttle, how. */
sentence test_text(const answer *a, const jw_action *action);
sentence capital(sentence said);
/* "off idle: stumbles when the throttle is opened into this range" */
sentence evidence_text(const answer *a, int evidence);
/* What a hypothesis is called in a list. */
sentence hypothesis_text(const answer *a, const jw_hypothesis *hypothesis);
/* Size of a part as it is in the engine: what was fitted just before, else what the profile has. */
double part_in_engine(const answer *a, jw_part part);

sentence cause_text(const answer *a, int cause);

/* "likely" */
const char *sure_word(double probability);

/* ---- what to do ---- */

/* The test, the repair and what comes after it. */
void print_steps(const answer *a, const conclusion *c);

#endif
