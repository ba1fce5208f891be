/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The two halves of the cycle-resolved point: gas, then fuel between the pressures that the gas leaves. */
#ifndef JW_POINT_CYCLE_H
#define JW_POINT_CYCLE_H

#include "carburetor/near.h"
#include "circuit/near.h"
#include "engine/cycle.h"
#include "solve/ode.h"

#include <jetwright/cycle.h>

/* Beside those of the engine: flow past the plate, and sums over the cycle. */
typedef enum jw_air_unknown {
	JW_AIR_FLOW,       /* kg/s */
	JW_AIR_LEAK,       /* kg */
	JW_AIR_DEPRESSION, /* of the nozzle below the box, Pa s */
	JW_AIR_UNKNOWNS
} jw_air_unknown;

/* Pressures along the carburetor at one moment. */
typedef struct jw_air_moment {
	double nozzle_pa, plate_pa, manifold_pa, flow_kg_s, rate_kg_s2, leak_kg_s;
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
	double box_pa, lift_m; /* held over a cycle, as the exhaust's pressure is */
	double full_kg_s;
	double throat_choked_kg_s, choke_choked_kg_s;
	int first; /* of the unknowns here */
	int unknowns;
	double y[JW_ODE_UNKNOWNS], scale[JW_ODE_UNKNOWNS];
	jw_stop stop[JW_BREATHER_STOPS];
	double stop_s[JW_BREATHER_STOPS];
	/* of the last part */
	double closing_pa, residual, mean_kg_s, leak_kg_s, heat_j, mass_error, energy_error;
	int cycles;
	jw_air_moment node[JW_CYCLE_NODES + 1];
	double cylinder_pa[JW_CYCLE_NODES + 1], crankcase_pa[JW_CYCLE_NODES + 1];
} jw_cycle_air;

/* The fuel of one circuit between its feed (the bowl) and its well. */
typedef struct jw_fuel_column {
	jw_branch at;
	double inertance;  /* length over area, 1/m */
	double root;       /* of the drop at its jet, where the next search begins */
	jw_well_near well; /* the same */
	double asked;      /* of the jet, while the drop is sought, kg/s */
	int flows;
} jw_fuel_column;

/* How fast its flow changes, kg/s2; flow >= 0. */
double jw_fuel_column_rate(jw_fuel_column *column, double feed_pa, double well_pa, double kg_s);

/* Runs the gas until it repeats itself. */
jw_status jw_cycle_gas(jw_cycle_air *a, const jw_setup *setup, const jw_air *air, const jw_point *point,
                       const jw_cycle_options *options, jw_error *error);

/* Runs the fuel columns between the pressures noted until they repeat themselves; fills means, traces and main_gain. */
jw_status jw_cycle_columns(const jw_cycle_air *a, const jw_carburetor *calibrated, const jw_liquid_flow *fuel,
                           jw_cycle *cycle, jw_error *error);

#endif
