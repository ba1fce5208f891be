/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of rejet share. */
#ifndef CLI_REJET_H
#define CLI_REJET_H

#include "page.h"
#include "show.h"

typedef struct rejet_words {
	char text[128];
} rejet_words;

/* Places to visit, and what to fit at each. */
typedef struct rejet_journey {
	char name[JW_REJET_PLACES][64];
	jw_air air[JW_REJET_PLACES];
	int count;
	jw_rejet_visits plan;
} rejet_journey;

/* The question as options put it, and the answer. */
typedef struct rejet_asked {
	const jw_profile *profile;
	jw_profile *other; /* whose carburetor is fitted; NULL */
	const char *fuel;  /* the new one; NULL */
	jw_air was;        /* in which the engine ran right */
	jw_jet_set jets;   /* at hand, where `jets_word` is not NULL */
	const char *jets_word;
	jw_readings *readings; /* NULL: none */
	int grooves_stated;
	jw_rejet_change change[JW_REJET_KIND_COUNT];
	jw_rejet_request request;
	jw_rejet_answer answer;
	jw_status status;             /* what is warned of, and at which ranges */
	jw_status at[JW_RANGE_COUNT]; /* before, after, with what is to be fitted, anywhere in a plan */
	const jw_rejet_plan *plan;    /* of --plan for a road, or NULL */
	double low_m, high_m;         /* between which it serves */
	const rejet_journey *journey; /* of --plan for places, or NULL */
	cli_page *page;               /* that the text goes to */
} rejet_asked;

extern const cli_option rejet_options[], rejet_brass_options[];

/* Fills change and request; an exit code. What is kept is the caller's to free. */
int rejet_read(const cli_arguments *arguments, rejet_asked *asked);
/* As library_error, with the option that led to it where it is one of a quantity. */
int rejet_refused(const cli_arguments *arguments, const rejet_asked *asked, jw_status status, const jw_error *error);

/* The value that a change replaces, SI; NAN where it is no number. */
double rejet_value_before(const rejet_asked *asked, jw_rejet_kind kind);
/* "airbox" */
extern const char *const rejet_vent_words[JW_VENT_COUNT];
/* "bore", and "bore 57.4 to 61 mm" */
const char *rejet_kind_word(jw_rejet_kind kind);
rejet_words rejet_change_words(const rejet_asked *asked, const jw_rejet_change *change);

/* What is exchanged or moved, from full throttle down, since each circuit still feeds the ranges above its own. */
enum { REJET_PARTS = 4 };
extern const jw_part rejet_order[REJET_PARTS];

/* "Bore" */
rejet_words rejet_capital(const char *word);
/* "main jet" */
const char *rejet_part_word(jw_part part);
/* Those at hand, by a ::jw_rejet_piece's place; NULL of what is no jet. */
const jw_jet *rejet_jets_of(const rejet_asked *asked, jw_part part, int *count);
/* "1.15 mm", "2 1/4 turns", "groove 3" */
rejet_words rejet_value_words(const rejet_asked *asked, jw_part part, double value);
/* "130 (1.30 mm)": as it is marked where it comes from the set. */
rejet_words rejet_place_words(const rejet_asked *asked, jw_part part, double value, int place);

/* A season's air; 0 where the word is none. */
int rejet_season(const char *word, double *temperature_k, double *humidity);

/* Reads --plan and answers it: a road, or a list of places. */
int rejet_plan(const cli_arguments *arguments, rejet_asked *asked);
int rejet_places(const cli_arguments *arguments, rejet_asked *asked);

/* ---- sets of jets, for a road or for places ---- */

/* The rest of a row: of a set its parts, those sought; of where it serves how far lambda is off its target. */
void rejet_part_headings(cli_table *table, const int *sought);
void rejet_part_cells(const rejet_asked *asked, cli_table *table, const int *sought, const double *value,
                      const int *place);
void rejet_ratio_cells(cli_table *table, const double *ratio);
/* All of the row above such. */
void rejet_ratio_headings(cli_table *table);
void rejet_json_parts(cli_json *json, const int *sought, const double *value);
void rejet_json_too_lean(cli_json *json, double lnphi, double main_wanted_m);
/* Within what a plan keeps every range. */
void rejet_say_band(const rejet_asked *asked);
/* ln(phi) at full throttle: no gauge tells less. */
#define REJET_LACKS 1e-3
/* That nothing at hand is rich enough at full throttle somewhere, and what would be. */
void rejet_say_too_lean(const rejet_asked *asked, const char *where, double lnphi, double main_wanted_m);

/* "full throttle", or "three quarters throttle": where lean is dangerous. */
const char *rejet_wide_open(int range);
/* That a lambda is wanted from which heat destroys engines. */
void rejet_say_targets(const rejet_asked *asked);
/* Whether the choice is leaner than that at a range with a probability of JW_REJET_DANGER or more; where it is no
 * leaner than the engine ran, by the doubt of the changes alone. */
int rejet_may_be_dangerous(const rejet_asked *asked, jw_range range);
/* Whether a part is tried only once a main jet is there that is large enough: until then its range is left lean, and
 * tells nothing. */
int rejet_waits(const jw_rejet_choice *choice, jw_part part);

/* Takes the warnings of what was answered, of all that were met on the way only those of a fit. */
void rejet_note_warnings(rejet_asked *asked, jw_status solved);
/* Tells them on stderr; the exit code. */
int rejet_answered(const cli_arguments *arguments, const rejet_asked *asked);

/* Writes the files of --html and --svg; an exit code. */
int rejet_files(const cli_arguments *arguments, const rejet_asked *asked);

void rejet_text(const rejet_asked *asked);
void rejet_json(const rejet_asked *asked);

/* ---- the parts of the text ---- */

/* The engine, and what changed. */
void rejet_print_question(const rejet_asked *asked);
/* What it comes to, in a sentence. */
void rejet_print_finding(const rejet_asked *asked);
/* Whether it may run lean enough to destroy it. */
void rejet_print_danger(const rejet_asked *asked);
/* Whether a floating slide leaves its upper stop at full throttle, or comes up to it. */
void rejet_print_slide(const rejet_asked *asked);
/* What the model warns of, where and with what advice; of an answer or a plan. */
void rejet_print_warnings(const rejet_asked *asked);
/* That a reading stands apart; nothing where none does. */
void rejet_say_disagreement(const rejet_asked *asked);
/* Which change does how much, and why. */
void rejet_print_shares(const rejet_asked *asked);
void rejet_print_why(const rejet_asked *asked);
/* What readings brought; nothing without. */
void rejet_print_readings(const rejet_asked *asked);
/* What to fit, and in which order to try; nothing where all stays. */
void rejet_print_fit(const rejet_asked *asked);
void rejet_print_order(const rejet_asked *asked);

/* Of --plan: the road, and the sets for it. */
void rejet_print_road(const rejet_asked *asked);
void rejet_print_sets(const rejet_asked *asked);
void rejet_print_bands(const rejet_asked *asked);

/* The same of places. */
void rejet_print_places(const rejet_asked *asked);
void rejet_print_visits(const rejet_asked *asked);
void rejet_print_visit_bands(const rejet_asked *asked);

#endif
