/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: jetwright_calls_for ENGINE...
 * Which changes of an engine call for another main jet, by the cycle-resolved form at full throttle: lambda before and
 * after, and the main jet that brings it back. What else stays, the carburetor above all. As JSON. */
#include "engine.h"
#include "point/cycle.h"
#include <jetwright/jetwright.h>
#include <math.h>
#include <stdio.h>

static const double degree = 3.14159265358979 / 180;

static void bore(jw_setup *s)
{
	s->engine.bore_m *= 1.06;
}

/* The same middle, twenty degrees more at the seat. */
static void cam(jw_setup *s)
{
	jw_breathing *b = &s->engine.breathing;
	b->inlet.opens_rad -= 10 * degree;
	b->inlet.closes_rad += 10 * degree;
	b->cam_points = 0;
	s->engine.intake_duration_rad += 20 * degree;
}

static void runner(jw_setup *s)
{
	s->engine.breathing.runner_m += 0.15;
}

static void ahead(jw_setup *s)
{
	double *column = &s->engine.breathing.ahead_m;
	*column = (*column > 0.0 ? *column : JW_USUAL_AHEAD * s->carburetor.throat.bore_m) + 0.025;
}

/* Another like it, half a cycle behind, on the same carburetor. */
static void second(jw_setup *s)
{
	s->engine.cylinders *= 2;
}

/* Two of half the size. */
static void halves(jw_setup *s)
{
	const double share = sqrt(0.5);
	s->engine.cylinders *= 2;
	s->engine.bore_m *= share;
	s->engine.breathing.inlet.size_m *= share;
	s->engine.breathing.exhaust.size_m *= share;
	s->engine.breathing.inlet.lift_m *= share;
	s->engine.breathing.exhaust.lift_m *= share;
	s->engine.breathing.runner_bore_m *= share;
}

static const struct change {
	const char *name;
	void (*make)(jw_setup *s);
} changes[] = {
    {"bore 6 % wider", bore},
    {"inlet cam 20 degrees longer", cam},
    {"inlet behind the carburetor 150 mm longer", runner},
    {"inlet ahead of the nozzle 25 mm longer", ahead},
    {"a second cylinder on the carburetor", second},
    {"two cylinders of half the size", halves},
};

static double lnphi(const jw_setup *s, const jw_air *air, double *filling)
{
	static jw_cycle cycle;
	if (jw_cycle_at(s, air, &s->range[JW_FULL], NULL, &cycle, NULL) < 0)
		return NAN;
	*filling = cycle.volumetric_efficiency;
	return log(cycle.phi);
}

/* Main jet at which ln(phi) is as before, by secants in ln(area). */
static double jet_for(const jw_setup *changed, const jw_air *air, double wanted)
{
	jw_setup s = *changed;
	double filling, x = 0, slope = 0.7, before = NAN, off = NAN;
	for (int n = 0; n < 8; n++) {
		s.carburetor.main.fuel_jet.diameter_m = changed->carburetor.main.fuel_jet.diameter_m * exp(0.5 * x);
		const double now = lnphi(&s, air, &filling) - wanted;
		if (n > 0 && fabs(now - off) > 1e-6)
			slope = fmax((now - off) / (x - before), 0.2);
		before = x;
		off = now;
		if (!(fabs(now) > 2e-3))
			break;
		x -= now / slope;
	}
	return fabs(off) <= 2e-3 ? exp(0.5 * before) : NAN;
}

static void print(double x)
{
	if (isfinite(x))
		printf("%.3f", x);
	else
		printf("null");
}

static int tell(const char *name, const char *separator)
{
	jw_setup sound;
	jw_air air;
	if (!engine_load(name, &sound, &air))
		return 1;
	sound.engine.breathing = jw_breathing_usual(&sound.engine);
	double filling = 0;
	const double before = lnphi(&sound, &air, &filling);
	printf("%s\n {\"engine\": \"%s\", \"ahead_mm\": %.0f, \"lambda\": ", separator, name,
	       1e3 * sound.engine.breathing.ahead_m);
	print(exp(-before));
	printf(", \"filling\": %.3f, \"changes\": [", filling);
	for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
		jw_setup s = sound;
		changes[i].make(&s);
		const double after = lnphi(&s, &air, &filling);
		printf("%s\n  {\"change\": \"%s\", \"lambda_ratio\": ", i ? "," : "", changes[i].name);
		print(exp(before - after));
		printf(", \"filling\": %.3f, \"main_jet_ratio\": ", filling);
		print(jet_for(&s, &air, before));
		printf("}");
	}
	printf("]}");
	return 0;
}

int main(int argc, char **argv)
{
	int failed = argc < 2;
	printf("[");
	for (int i = 1; i < argc && !failed; i++)
		failed = tell(argv[i], i > 1 ? "," : "");
	printf("]\n");
	return failed;
}
