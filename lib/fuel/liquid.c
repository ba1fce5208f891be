/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuel/liquid.h"

#define BTU_LB 2326.0 /* J/kg */

/* DIPPR 101, dynamic: ln mu = c0 + c1/T + c2 ln T + c3 T^c4. */
static double dippr101(const double *c, double t, double density)
{
	return c[0] + c[1] / t + c[2] * log(t) + c[3] * pow(t, c[4]) - log(density);
}

/* ln nu linear in 1/T through (T, nu) = (c0, c1) and (c2, c3). */
static double two_points(const double *c, double t, double density)
{
	(void)density;
	double share = (1.0 / t - 1.0 / c[0]) / (1.0 / c[2] - 1.0 / c[0]);
	return log(c[1]) + share * log(c[3] / c[1]);
}

/* ASTM D341: ln ln(nu + 0.7 mm2/s) linear in ln T, through two points as above. */
static double walther(const double *c, double t, double density)
{
	(void)density;
	double w0 = log(log(c[1] * 1e6 + 0.7)), w1 = log(log(c[3] * 1e6 + 0.7));
	double share = log(t / c[0]) / log(c[2] / c[0]);
	return log((exp(exp(w0 + share * (w1 - w0))) - 0.7) * 1e-6);
}

/* Heating values: petrol, ethanol, methanol and MTBE from the US DOE AFDC table of fuel properties, the others from
 * Heywood, Internal Combustion Engine Fundamentals, 1988, appendix D. Densities of pure liquids: DIPPR 105,
 * viscosities: DIPPR 101, both Perry's Chemical Engineers' Handbook, 8th ed., tables 2-32 and 2-313; viscosity of
 * petrol and MTBE from the AFDC table (20 C, -20 C). Premix oil: our own default for a mineral two-stroke oil, thinned
 * to pour; no standard fixes it. */
static const jw_liquid_data liquids[JW_LIQUID_COUNT] = {
    [JW_PETROL] = {"petrol", 1, 1.87, 0, 18676 * BTU_LB, .density_15c_low = 653, .density_15c = 745,
                   .density_15c_high = 787, .viscosity = two_points, .viscosity_c = {293.15, 0.55e-6, 253.15, 0.90e-6}},
    [JW_ETHANOL] = {"ethanol", 2, 6, 1, 11585 * BTU_LB, .molar_mass = 46.06844,
                    .dippr105 = {1.6288, 0.27469, 514.0, 0.23178}, .viscosity = dippr101,
                    .viscosity_c = {7.875, 781.98, -3.0418}},
    [JW_METHANOL] = {"methanol", 1, 4, 1, 8637 * BTU_LB, .molar_mass = 32.04186,
                     .dippr105 = {2.3267, 0.27073, 512.5, 0.24713}, .viscosity = dippr101,
                     .viscosity_c = {-25.317, 1789.2, 2.069}},
    [JW_ISOOCTANE] = {"isooctane", 8, 18, 0, 44.3e6, .molar_mass = 114.22852,
                      .dippr105 = {0.59059, 0.27424, 543.8, 0.2847}, .viscosity = dippr101,
                      .viscosity_c = {-12.928, 1137.5, 0.25725, -3.6929e-28, 10.0}},
    [JW_N_HEPTANE] = {"n_heptane", 7, 16, 0, 44.6e6, .molar_mass = 100.20194,
                      .dippr105 = {0.61259, 0.26211, 540.2, 0.28141}, .viscosity = dippr101,
                      .viscosity_c = {-9.4622, 877.07, -0.23445, 1.4022e22, -10.0}},
    [JW_TOLUENE] = {"toluene", 7, 8, 0, 40.6e6, .molar_mass = 92.13842, .dippr105 = {0.8792, 0.27136, 591.75, 0.29241},
                    .viscosity = dippr101, .viscosity_c = {-226.08, 6805.7, 37.542, -0.060853, 1.0}},
    [JW_MTBE] = {"mtbe", 5, 12, 1, 15091 * BTU_LB, .molar_mass = 88.1482, .dippr105 = {0.82157, 0.27032, 497.1, 0.2829},
                 .viscosity = two_points, .viscosity_c = {293.15, 0.47e-6, 253.15, 0.77e-6}},
    [JW_PREMIX_OIL] = {"premix_oil", 1, 1.9, 0, 42.5e6, .density_15c_low = 780, .density_15c = 870,
                       .density_15c_high = 950, .viscosity = walther, .viscosity_c = {313.15, 55e-6, 373.15, 8e-6}},
};

const jw_liquid_data *jw_liquid_row(jw_liquid liquid)
{
	return liquid >= 0 && liquid < JW_LIQUID_COUNT ? &liquids[liquid] : NULL;
}

const char *jw_liquid_name(jw_liquid liquid)
{
	const jw_liquid_data *row = jw_liquid_row(liquid);
	return row ? row->name : NULL;
}

/* Groups of API MPMS 11.1-2004 by density at 60 F: alpha60 = (k0/rho + k1)/rho + k2 per degree F.
 * Petrol, transition, jet fuel, fuel oil; premix oil is read as the last (its own group differs by 10 % of alpha). */
static const struct petroleum_group {
	double density_below, k0, k1, k2;
} groups[] = {
    {770.3520, 192.4571, 0.2438, 0.0},
    {787.5195, 1489.0670, 0.0, -0.00186840},
    {838.3127, 330.3010, 0.0, 0.0},
    {HUGE_VAL, 103.8720, 0.2701, 0.0},
};

/* Twice the distance, in F, between 60 F on IPTS-68 (on which the constants rest) and 60 F on ITS-90. */
#define SHIFT_60F 0.01374979547

/* Expansion at 60 F, per degree F, from a density at 60 F: the density is first moved to the IPTS-68 base. */
static double petroleum_alpha(double rho60)
{
	const struct petroleum_group *g = groups;
	while (rho60 >= g->density_below)
		g++;
	double a = 0.5 * SHIFT_60F * ((g->k0 / rho60 + g->k1) / rho60 + g->k2);
	double b = (2.0 * g->k0 + g->k1 * rho60) / (g->k0 + (g->k1 + g->k2 * rho60) * rho60);
	double rho = rho60 * (1.0 + expm1(a * (1.0 + 0.8 * a)) / (1.0 + a * (1.0 + 1.6 * a) * b));
	return (g->k0 / rho + g->k1) / rho + g->k2;
}

/* Degrees F above the base on IPTS-68. */
static double petroleum_rise(double temperature_k)
{
	static const double shift[] = {-0.148759, -0.267408, 1.080760, 1.269056, -4.089591, -1.871251, 7.438081, -3.536296};
	double t90 = temperature_k - JW_ICE_POINT_K, scaled = t90 / 630.0, difference = 0.0;
	for (int i = (int)(sizeof shift / sizeof *shift) - 1; i >= 0; i--)
		difference = (difference + shift[i]) * scaled;
	return 1.8 * (t90 - difference) + 32.0 - 60.0068749;
}

static double petroleum_factor(double rho60, double rise)
{
	double alpha = petroleum_alpha(rho60);
	return exp(-alpha * rise * (1.0 + 0.8 * alpha * (rise + SHIFT_60F)));
}

/* From the density at 15 C: 15 C is 59 F, so each sweep for that at 60 F gains three digits (two in the
 * transition group, where alpha falls fast with density). */
static double petroleum_density(double rho15, double temperature_k)
{
	double rise15 = petroleum_rise(JW_DENSITY_BASE_K), rho60 = rho15;
	for (int sweep = 0; sweep < 3; sweep++)
		rho60 = rho15 / petroleum_factor(rho60, rise15);
	return rho60 * petroleum_factor(rho60, petroleum_rise(temperature_k));
}

jw_status jw_petroleum_volume_factor(double density_60f_kg_m3, double temperature_k, double *factor, jw_error *error)
{
	jw_status status = jw_check_range("density_60f_kg_m3", density_60f_kg_m3, 610.6, 1163.5, error);
	if (status == JW_OK)
		status = jw_check_range("temperature_k", temperature_k, 223.15, 423.15, error);
	if (status == JW_OK)
		*factor = petroleum_factor(density_60f_kg_m3, petroleum_rise(temperature_k));
	return status;
}

/* DIPPR 105. */
static double pure_density(const jw_liquid_data *row, double temperature_k)
{
	const double *c = row->dippr105;
	return row->molar_mass * c[0] / pow(c[1], 1.0 + pow(1.0 - temperature_k / c[2], c[3]));
}

double jw_liquid_density(const jw_liquid_data *row, double density_15c_kg_m3, double temperature_k)
{
	return row->molar_mass > 0.0 ? pure_density(row, temperature_k)
	                             : petroleum_density(density_15c_kg_m3, temperature_k);
}
