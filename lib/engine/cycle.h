/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The breathing engine over the crank angle: chambers of gas (the inlet's volume, crankcases, cylinders) joined by
 * gates (valves and ports, each with the column of gas before it). Knows of the carburetor only what flows into the
 * inlet. */
#ifndef JW_ENGINE_CYCLE_H
#define JW_ENGINE_CYCLE_H

#include "flow/column.h"

#include <jetwright/engine.h>

#define JW_BREATHING_CYLINDERS 12
#define JW_CHAMBERS (1 + 2 * JW_BREATHING_CYLINDERS)
#define JW_GATES (3 * JW_BREATHING_CYLINDERS)
/* Pressure, mass and burnt mass of each chamber, flow of each gate, the sums. */
#define JW_BREATHER_UNKNOWNS (3 * JW_CHAMBERS + JW_GATES + JW_SUMS)

typedef enum jw_window_kind { JW_INLET, JW_TRANSFER, JW_EXHAUST, JW_WINDOWS } jw_window_kind;

/* Sums over the cycle, kept as unknowns so that they are as exact as the rest. */
typedef enum jw_sum {
	JW_SUM_IN,     /* into the inlet, kg */
	JW_SUM_OUT,    /* out of the exhaust, kg */
	JW_SUM_ENERGY, /* enthalpy in, heat, less enthalpy out and work, J */
	JW_SUMS
} jw_sum;

/* From one chamber to the next; the exhaust is number JW_OUTSIDE. */
#define JW_OUTSIDE (-1)
typedef struct jw_gate {
	jw_window_kind kind;
	int cylinder, from, to;
	double inertance, heating_k;
} jw_gate;

typedef struct jw_breather {
	const jw_engine *engine;
	jw_breathing breathing;
	double gas_constant_j_kg_k;
	jw_column_end exhaust;
	double turning_rad_s, cycle_rad, relaxation_s;
	/* The cycle falls into as many alike parts as there are cylinders: after one each is where the next one was. */
	double part_rad, part_s;
	double start_rad[JW_WINDOWS], open_rad[JW_WINDOWS]; /* where each window opens, for how long */
	double edge[JW_WINDOWS];                            /* way of the piston to a port's edge, over the stroke */
	double swept_m3, clearance_m3, crankcase_m3;        /* of one cylinder; crankcase: least */
	jw_gate gate[JW_GATES];
	int chambers, gates, cylinders;
	int own; /* chambers of each cylinder, itself the last of them */
} jw_breather;

/* What happens at a crank angle at which the integration has to stop. */
typedef enum jw_stop_kind { JW_STOP_OPENS, JW_STOP_CLOSES, JW_STOP_FIRES } jw_stop_kind;

typedef struct jw_stop {
	double time_s;
	jw_stop_kind kind;
	int index; /* gate or cylinder */
} jw_stop;

jw_breather jw_breather_of(const jw_engine *engine, double speed_rev_s, double ambient_pa, double gas_constant_j_kg_k,
                           double relaxation_rad);

static inline int jw_breather_unknowns(const jw_breather *b)
{
	return 3 * b->chambers + b->gates + JW_SUMS;
}

/* Place of a gate's flow, and of a sum, among the unknowns. */
static inline int jw_gate_place(const jw_breather *b, int gate)
{
	return 3 * b->chambers + gate;
}

static inline int jw_sum_place(const jw_breather *b, jw_sum sum)
{
	return 3 * b->chambers + b->gates + (int)sum;
}

static inline int jw_cylinder_chamber(const jw_breather *b, int cylinder)
{
	return b->own * (cylinder + 1);
}

/* A first state, at rest. */
void jw_breather_start(const jw_breather *b, double inlet_pa, double inlet_k, double *y);

/* Errors that are as nothing, one an unknown, for a share of the whole. */
void jw_breather_scales(const jw_breather *b, double inlet_k, double *scale);

/* Pressure and R T in the inlet. */
jw_column_end jw_breather_inlet(const jw_breather *b, const double *y);

/* Rates of change while so much flows into the inlet (below 0: out of it, as warm as it is there). */
void jw_breather_rates(const jw_breather *b, double time_s, const double *y, double inflow_kg_s, double inflow_rt_j_kg,
                       double *rate);

/* Stops of the first part of the cycle in their order of time. \return their number */
#define JW_BREATHER_STOPS (2 * JW_GATES + JW_BREATHING_CYLINDERS)
int jw_breather_stops(const jw_breather *b, jw_stop *stop);

/* At the end of a part: each cylinder and all that is its own becomes the one before it, so that the next part begins
 * as this one did. */
void jw_breather_turn(const jw_breather *b, double *y);

/* Shuts a gate for good, or fires a cylinder. \return heat set free, J */
double jw_breather_stop(const jw_breather *b, const jw_stop *stop, double *y);

/* Volume of a chamber at a time, m3. */
double jw_chamber_volume(const jw_breather *b, int chamber, double time_s);

/* Open area (Cd A) of a gate at a time, m2. */
double jw_gate_area(const jw_breather *b, int gate, double time_s);

#endif
