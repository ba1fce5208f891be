/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: residuals PROFILE
 * Prints what the library fits to a dozen readings: the logarithms of the coefficients, their covariance row by row,
 * and chi-squared. Then, for each line of four such logarithms, the residuals of readings and prior, written down anew.
 */
#include <jetwright/jetwright.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define POINTS 12
#define COEFFICIENTS 4
#define UNCERTAINTY 0.01

/* Clear of the stop of the slide, where lambda has a cliff. The engine runs by so much leaner than its profile has it.
 */
static const struct {
	double rpm, throttle, leaner;
} table[POINTS] = {
    {1700, 0, 1.05},    {1900, 0, 1.06},    {2500, 0.04, 1.05}, {3000, 0.08, 1.03},
    {3800, 0.25, 1.02}, {4400, 0.35, 1.03}, {5000, 0.45, 1.02}, {5500, 0.5, 1.035},
    {5200, 0.9, 1.04},  {5700, 0.75, 1.03}, {4500, 1, 1.025},   {5000, 1, 1.04},
};

static double phi_at(const jw_setup *setup, const jw_air *air, int i)
{
	const jw_point point = {table[i].rpm / 60, table[i].throttle, 0};
	jw_mixture m;
	return jw_mixture_at(setup, air, &point, &m, NULL) < 0 ? NAN : m.phi;
}

static double *coefficient(jw_coefficients *c, int i)
{
	double *const members[COEFFICIENTS] = {&c->air, &c->main, &c->needle, &c->pilot};
	return members[i];
}

static int print_fit(const jw_setup *setup, const jw_air *air)
{
	jw_reading readings[POINTS] = {0};
	jw_fit fit;
	for (int i = 0; i < POINTS; i++) {
		readings[i].air = *air;
		readings[i].point = (jw_point){table[i].rpm / 60, table[i].throttle, 0};
		readings[i].value = table[i].leaner / phi_at(setup, air, i);
		readings[i].uncertainty = UNCERTAINTY;
	}
	if (jw_fit_readings(setup, readings, POINTS, &fit, NULL, NULL) < 0)
		return 0;
	for (int u = 0; u < COEFFICIENTS; u++)
		printf("%.17g ", log(jw_unknown_value(&fit.setup, (jw_unknown)u)));
	for (int u = 0; u < COEFFICIENTS; u++)
		for (int v = 0; v < COEFFICIENTS; v++)
			printf("%.17g ", fit.covariance[u][v]);
	printf("%.17g\n", fit.chi_squared);
	return 1;
}

static int print_residuals(const jw_setup *prior, const jw_air *air, const double x[COEFFICIENTS])
{
	jw_setup setup = *prior;
	for (int u = 0; u < COEFFICIENTS; u++)
		*coefficient(&setup.coefficient, u) = exp(x[u]);
	for (int i = 0; i < POINTS; i++) {
		double lambda = table[i].leaner / phi_at(prior, air, i);
		printf("%.17g ", (phi_at(&setup, air, i) - 1 / lambda) * lambda * lambda / UNCERTAINTY);
	}
	jw_coefficients spread = prior->uncertainty, centre = prior->coefficient;
	for (int u = 0; u < COEFFICIENTS; u++)
		printf("%.17g%c", (x[u] - log(*coefficient(&centre, u))) / *coefficient(&spread, u),
		       u == COEFFICIENTS - 1 ? '\n' : ' ');
	return fflush(stdout) == 0;
}

int main(int argc, char **argv)
{
	jw_faults faults;
	jw_profile *profile = NULL;
	double x[COEFFICIENTS];
	if (argc != 2 || jw_profile_load(argv[1], NULL, &profile, &faults) < 0)
		return 1;
	const jw_setup *setup = jw_profile_setup(profile);
	const jw_air *air = &jw_profile_baseline(profile)->air;
	int fine = print_fit(setup, air) && fflush(stdout) == 0;
	while (fine && scanf("%lf %lf %lf %lf", &x[0], &x[1], &x[2], &x[3]) == COEFFICIENTS)
		fine = print_residuals(setup, air, x);
	jw_profile_free(profile);
	return !fine;
}
