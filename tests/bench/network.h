/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every orifice of the scooter's network evaluated once at a solved point: what the solution of a point is compared
 * with. */
#ifndef NETWORK_H
#define NETWORK_H

#include <jetwright/jetwright.h>

/* A solved point with all that its orifices see. */
typedef struct network {
	const jw_setup *setup;
	jw_air air;
	jw_gas gas;
	jw_liquid_flow fuel;
	jw_point point;
	jw_mixture answer;
	jw_carburetor held; /* its coefficients applied, the slide held at its lift: nothing is left to search */
	double main_head_pa, pilot_head_pa; /* from bleed to outlet */
} network;

/* What each orifice passes. */
typedef struct network_flow {
	double demand_kg_s, leak_kg_s, plate_kg_s;
	jw_air_path path;
	jw_circuit_flow main, pilot; /* well and quality are those of the answer */
} network_flow;

/* Solves the point. 0 where it fails, or where the orifices do not pass what the answer says. */
int network_prepare(const jw_setup *setup, const jw_air *air, const jw_point *point, network *n);

/* One evaluation of demand, leak, filter, throat and plate, and of each jet, air jet and outlet of main and pilot. */
void network_evaluate(const network *n, network_flow *flow);

#endif
