/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A column of gas whose flow is an unknown of its own, and the opening at its end: no square root of a vanishing
 * difference, which would make explicit integration creep. */
#ifndef JW_FLOW_COLUMN_H
#define JW_FLOW_COLUMN_H

#include "base/base.h"

/* Of air, q = (p/p0)^(2/7): flow^2 ~ 7 q^5 (1 - q), greatest at q = 5/6, where its root is this. */
#define JW_CHOKED_Q (5.0 / 6.0)
#define JW_CHOKED_FLOW 0.6847314563772705
/* Keeps the relaxation smooth where both pressures are alike, Pa. */
#define JW_COLUMN_SMOOTH_PA 100.0
/* An opening that passes nothing that counts. */
#define JW_COLUMN_LEAST_M2 1e-12

/* Pressure ahead of an effective area that passes a flow (>= 0) into a pressure behind it: the isentropic nozzle of
 * jw_gas_mass_flow solved for it. R T of the gas ahead. */
static inline double jw_pressure_ahead(double area_m2, double rt_j_kg, double behind_pa, double kg_s)
{
	double driven = kg_s * sqrt(rt_j_kg) / area_m2;
	double x = jw_square(driven / behind_pa) / 7.0; /* (1 - q)/q^2 */
	double q = 2.0 / (1.0 + sqrt(1.0 + 4.0 * x));
	if (q < JW_CHOKED_Q)
		return driven / JW_CHOKED_FLOW;
	return behind_pa / (q * q * q * sqrt(q));
}

/* Pressure and R T at an end of a column. */
typedef struct jw_column_end {
	double pa, rt_j_kg;
} jw_column_end;

/* How fast the flow of a column changes, kg/s2. One too short for its opening would answer within a microsecond: its
 * inertance (length over area, 1/m) is raised so that it takes about relaxation_s. */
static inline double jw_column_rate(double inertance, double area_m2, jw_column_end from, jw_column_end to, double kg_s,
                                    double relaxation_s)
{
	double area = fmax(area_m2, JW_COLUMN_LEAST_M2);
	int ahead = kg_s >= 0.0;
	double upstream = ahead ? from.pa : to.pa, downstream = ahead ? to.pa : from.pa;
	double drop = jw_pressure_ahead(area, ahead ? from.rt_j_kg : to.rt_j_kg, downstream, fabs(kg_s)) - downstream;
	double driving = upstream - downstream;
	double scale = sqrt(driving * driving + drop * drop + jw_square(JW_COLUMN_SMOOTH_PA));
	double stiffness2 = 0.5 * scale * (from.rt_j_kg + to.rt_j_kg) / ((from.pa + to.pa) * area * area);
	double rate = (driving - drop) / sqrt(jw_square(inertance) + jw_square(relaxation_s) * stiffness2);
	return ahead ? rate : -rate;
}

#endif
