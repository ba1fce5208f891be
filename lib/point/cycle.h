/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The two halves of the cycle-resolved point: gas, then fuel between the pressures that the gas leaves. */
#ifndef JW_POINT_CYCLE_H
#define JW_POINT_CYCLE_H

#include "carburetor/near.h"
#include "carburetor/slide.h"
#include "circuit/near.h"
#include "engine/cycle.h"
#include "solve/ode.h"

#include <jetwright/cycle.h>

/* Column ahead of the nozzle where none is stated, in bores of the throat: half the carburetor and its open end. */
#define JW_USUAL_AHEAD 1.5

/* Beside those of the engine: flow past the plate, the slide, and sums over the cycle. */
typedef enum jw_air_unknown {
	JW_AIR_FLOW,       /* kg/s */
	JW_AIR_LIFT,       /* of the slide, m */
	JW_AIR_RISE,       /* its speed, m/s */
	JW_AIR_LEAK,       /* kg */
	JW_AIR_DEPRESSION, /* of the nozzle below the box, Pa s */
	JW_AIR_UNKNOWNS
} jw_air_unknown;

/* Pressures along the carburetor at one moment; the mouth is that of the throat, behind choke plate and column. */
typedef struct jw_air_moment {
	double mouth_pa, nozzle_pa, plate_pa, manifold_pa, flow_kg_s, rate_kg_s2, leak_kg_s, lift_m;
} jw_air_moment;

typedef struct jw_cycle_air {
	const jw_setup *setup;
	const jw_air *air;
	jw_controls controls;
	jw_cycle_options options;
	jw_gas gas;
	jw_breather breather;
	double period_s;
	double ahead, behind; /* inertance on either side of the nozzle, 1/m */
	double plate_m2, leak_m2, choke_m2, throat_m2, filter_pa;
	double box_pa; /* held over a cycle, as the exhaust's pressure is */
	int moves;     /* the slide; else it stands still over a cycle */
	jw_slide_motion slide;
	double full_kg_s;
	double throat_choked_kg_s, choke_choked_kg_s;
	int first; /* of the unknowns here */
	int unknowns;
	double y[JW_ODE_UNKNOWNS], scale[JW_ODE_UNKNOWNS];
	jw_stop stop[JW_BREATHER_STOPS];
	double stop_s[JW_BREATHER_STOPS];
	/* of the last part */
	double lift_m; /* mean; throat_m2 is there */
	double closing_pa, residual, mean_kg_s, leak_kg_s, heat_j, mass_error, energy_error;
	int cycles;
	jw_air_moment node[JW_CYCLE_NODES + 1];
	double cylinder_pa[JW_CYCLE_NODES + 1], crankcase_pa[JW_CYCLE_NODES + 1];
} jw_cycle_air;

/* Runs one part of the cycle with steps of so small an error, after which each cylinder is where the next one was. */
jw_status jw_air_part(jw_cycle_air *a, double relative, jw_error *error);

/* What the upper side of a floating slide's diaphragm is vented to, Pa. */
double jw_air_reference(const jw_cycle_air *a);

/* Pressures of box and exhaust for the air that the last part drew. */
void jw_air_fill_box(jw_cycle_air *a);
/* Areas and choked flows where plate and slide stand. */
void jw_air_set_throat(jw_cycle_air *a);

/* Runs part after part until the last led to itself. */
jw_status jw_air_settle(jw_cycle_air *a, jw_error *error);

/* The well of one bled outlet over time: what flows out of it, as a column with inertia, and what fuel it holds.
 * Pressure follows at once from what the air jet has to bring. Why it is there: were the way from bleed to outlet
 * without inertia and its content made anew at every moment, each return of the pulse would blow air through the outlet
 * into the well and out of the air jet, and a strongly bled circuit would lose its whole depression; a few millimetres
 * of emulsion in a needle jet stop that. */
typedef enum jw_well_unknown {
	JW_WELL_OUT,    /* kg/s; below 0: air comes in */
	JW_WELL_LIQUID, /* kg; more than fits stands in the air's passage, below 0 the level is below the bleed */
	JW_WELL_UNKNOWNS
} jw_well_unknown;

typedef struct jw_bled_well {
	double volume_m3, bore_m2;
	double inertance;   /* from bleed to outlet, 1/m */
	double root, slope; /* of the drop at the air jet, where the next search begins */
} jw_bled_well;

/* Lengths times a factor. */
jw_bled_well jw_bled_well_of(const jw_circuit *circuit, const jw_circuit_ends *ends, double column_bore_m,
                             double factor);

/* Fuel that it holds where it gives a quality, and while nothing flows, kg: nothing where the bleed lies above the
 * level. */
double jw_bled_well_holds(const jw_bled_well *well, const jw_circuit_ends *ends, double quality);
double jw_bled_well_at_rest(const jw_bled_well *well, const jw_circuit *circuit, const jw_circuit_ends *ends);

/* Steps the flow out of it backwards (with what drives it and what it loses at the step's end) while so much fuel comes
 * and its fuel stands; a step of 0 leaves the flow.
 * \param[out] fills_kg_s how fast its fuel grows
 * \return JW_OK, JW_W_CHOKED, JW_W_EXTRAPOLATED, or why no pressure was found */
jw_status jw_bled_well_step(jw_bled_well *well, const jw_circuit *circuit, const jw_circuit_ends *ends,
                            double fuel_kg_s, double step_s, double *y, double *well_pa, double *fills_kg_s);

/* Runs the gas until it repeats itself. */
jw_status jw_cycle_gas(jw_cycle_air *a, const jw_setup *setup, const jw_air *air, const jw_point *point,
                       const jw_cycle_options *options, jw_error *error);

/* Runs the fuel columns between the pressures noted until they repeat themselves; fills means, traces and main_gain,
 * and adds the air that comes with the fuel. */
jw_status jw_cycle_columns(const jw_cycle_air *a, const jw_carburetor *calibrated, const jw_liquid_flow *fuel,
                           jw_cycle *cycle, jw_error *error);

#endif
