/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The fuel columns of all circuits together: stepped through one cycle (fuel_step.c), sought until a cycle repeats
 * itself (fuel_settle.c), set up and told (cycle_fuel.c). */
#ifndef JW_POINT_FUEL_COLUMNS_H
#define JW_POINT_FUEL_COLUMNS_H

#include "point/cycle.h"

typedef enum jw_column_name { JW_MAIN, JW_PILOT, JW_POWER, JW_ENRICHENER, JW_COLUMNS } jw_column_name;

/* Flow of each column, then what moves in the well of each. */
#define JW_COLUMN_UNKNOWNS (JW_COLUMNS + JW_COLUMNS * JW_WELL_UNKNOWNS)
#define JW_WELL(column) (JW_COLUMNS + (column)*JW_WELL_UNKNOWNS)

typedef enum jw_outlet_place { JW_AT_NOZZLE, JW_AT_POWER, JW_AT_PORTS, JW_AT_MANIFOLD } jw_outlet_place;

/* A circuit: how the carburetor lays it out, where its outlets open in that order, and where its flows stand. */
typedef struct jw_column_row {
	jw_branch (*branch)(const jw_carburetor *carburetor, const jw_fuel_ends *ends);
	jw_outlet_place outlet[JW_PILOT_OUTLETS];
	size_t steady, mean, trace; /* in jw_carburetor_flow, jw_cycle, jw_cycle_trace; 0: not traced */
} jw_column_row;

extern const jw_column_row jw_column_rows[JW_COLUMNS];

/* The fuel of one circuit between its feed (the bowl) and its well. */
typedef struct jw_fuel_column {
	jw_branch branch;
	double inertance;  /* length over area, 1/m */
	double root;       /* of the drop at its jet, where the next search begins */
	jw_well_near well; /* the same */
	double asked;      /* of the jet, while the drop is sought, kg/s */
	int flows;
	int followed; /* through the cycle under way; else its flow stands */
	int bled;     /* its well is followed too */
	jw_bled_well bled_well;
} jw_fuel_column;

/* How fast its flow changes, kg/s2; flow >= 0. */
jw_status jw_fuel_column_rate(jw_fuel_column *column, double feed_pa, double well_pa, double kg_s, double *rate);

typedef struct jw_columns {
	const jw_cycle_air *air;
	const jw_carburetor *carburetor;
	jw_fuel_column of[JW_COLUMNS];
	double node_s;                             /* from one node to the next */
	double power_share;                        /* of the nozzle's pull, that the power jet feels */
	double mean[JW_COLUMNS], left[JW_COLUMNS]; /* through jet and outlets over the last cycle, kg/s */
	double bleeds[JW_COLUMNS];                 /* that came with it, kg/s */
	jw_status status;                          /* of the cycle under way */
} jw_columns;

/* Whether the pilot draws from the well of a column. */
static inline int jw_is_drawn_from(const jw_columns *all, int column)
{
	return column == JW_MAIN && all->carburetor->pilot_from_main_well;
}

/* Steps span so many nodes, or take so long, the shorter of both; each is taken in so many parts. */
typedef struct jw_fuel_steps {
	int nodes;
	double longest_s;
	int parts;
} jw_fuel_steps;

/* Steps the flows and wells of the columns that are followed through one cycle; means, what has left and bleeds are
 * those of that cycle. */
void jw_columns_cycle(jw_columns *all, const jw_fuel_steps *steps, double *y, jw_cycle_trace *trace);

/* What is traced of the columns that are followed, at a share of the way from one set of flows to the next. */
void jw_columns_note(const jw_columns *all, jw_cycle_trace *trace, int node, const double *from, const double *to,
                     double share);

/* Lets the outlets of a column open where the gas stands. */
void jw_column_outlets(jw_columns *all, int column, const jw_air_moment *moment);

/* Out of the bowl over the last cycle, kg/s. */
double jw_columns_draw(const jw_columns *all);

/* Runs cycles until all columns repeat theirs; y is where they begin, and end. */
jw_status jw_columns_settle(jw_columns *all, jw_cycle_trace *trace, double *y, jw_error *error);

#endif
