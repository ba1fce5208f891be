/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One liquid of a blend: its row of data, its density and viscosity at a temperature. No range checks here. */
#ifndef JW_FUEL_LIQUID_H
#define JW_FUEL_LIQUID_H

#include "base/base.h"
#include <jetwright/fuel.h>

#define JW_DENSITY_BASE_K 288.15 /* volume fractions and petrol densities are stated at 15 C */

/* ln of kinematic viscosity (m2/s) from four or five coefficients. */
typedef double (*jw_viscosity_law)(const double *c, double temperature_k, double density_kg_m3);

typedef struct jw_liquid_data {
	const char *name;
	double carbon, hydrogen, oxygen; /* atoms; a petroleum liquid is counted per carbon, its hydrogen the default */
	double heating_value_j_kg;
	double density_15c_low, density_15c, density_15c_high; /* petroleum: range and default; 0 for a pure liquid */
	double molar_mass, dippr105[4];                        /* pure liquid: kg/kmol, and kmol/m3 from the equation */
	jw_viscosity_law viscosity;
	double viscosity_c[5];
} jw_liquid_data;

/* NULL outside the list. */
const jw_liquid_data *jw_liquid_row(jw_liquid liquid);

/* \param density_15c_kg_m3 of a petroleum liquid; ignored for a pure one */
double jw_liquid_density(const jw_liquid_data *row, double density_15c_kg_m3, double temperature_k);

#endif
