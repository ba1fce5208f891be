/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Readings made from a set-up that is known give that set-up back. */
#include "bundled.h"
#include "draw.h"
#include <jetwright/jetwright.h>
#include <string.h>

#define RANGES JW_RANGE_COUNT
#define READINGS 16

/* Ridden gently: its slide stays clear of its stop, where lambda falls by 8 % within 3 % of air. There a fit is no
 * longer the first-order affair that covariance and leverage speak of. */
static jw_setup gentle_scooter(void)
{
	jw_setup setup = scooter();
	setup.range[JW_THREE_QUARTER].speed_rev_s = 5700 / 60.0;
	setup.range[JW_FULL].speed_rev_s = 5200 / 60.0;
	return setup;
}

static jw_mixture mixture_at(const jw_setup *setup, const jw_reading *r)
{
	jw_mixture m = {0};
	cr_assert(jw_mixture_at(setup, &r->air, &r->point, &m, NULL) >= 0);
	return m;
}

/* What a faultless instrument reads on an engine. */
static jw_reading read_on(const jw_setup *engine, jw_reading_kind kind, jw_range range, double uncertainty)
{
	jw_reading r = {
	    .kind = kind, .air = mild_air(), .point = engine->range[range], .uncertainty = uncertainty, .line = 7};
	jw_mixture m = mixture_at(engine, &r);
	jw_fuel_state fuel;
	cr_assert(jw_fuel_at(&engine->fuel, r.air.temperature_k, &fuel, NULL) >= 0);
	switch (kind) {
	case JW_READING_AFR:
		r.stoichiometric_afr = 14.7;
		r.value = 14.7 / m.phi;
		break;
	case JW_READING_LIFT:
		r.value = m.path.lift_m;
		break;
	case JW_READING_DEPRESSION:
		r.value = r.air.pressure_pa - m.path.throat_pa;
		break;
	case JW_READING_LEVEL:
		r.value = engine->carburetor.bowl.level_error_m;
		break;
	case JW_READING_JET_FLOW: {
		double kg_s = 0;
		r.jet = JW_PART_MAIN_JET;
		r.head_m = 0.5;
		const jw_liquid_flow liquid = {fuel.density_kg_m3, fuel.viscosity_m2_s};
		jw_liquid_mass_flow(&engine->carburetor.main.fuel_jet, &liquid, 0.5 * JW_GRAVITY * fuel.density_kg_m3, &kg_s);
		r.value = kg_s / fuel.density_kg_m3;
		break;
	}
	default:
		r.value = 1 / m.phi;
	}
	return r;
}

static int lambda_everywhere(const jw_setup *engine, double uncertainty, jw_reading *readings)
{
	for (int range = 0; range < RANGES; range++)
		readings[range] = read_on(engine, JW_READING_LAMBDA, (jw_range)range, uncertainty);
	return RANGES;
}

static jw_status fit(const jw_setup *setup, const jw_reading *readings, int count, jw_fit *found, jw_fit_reading *each)
{
	jw_error error = {0};
	jw_status status = jw_fit_readings(setup, readings, count, found, each, &error);
	cr_assert(status >= 0, "%s: %s %g", jw_status_name(status), error.field ? error.field : "", error.value);
	return status;
}

static double deviation(const jw_fit *found, jw_unknown u)
{
	return sqrt(found->covariance[u][u]);
}

static jw_setup detuned(jw_setup setup)
{
	setup.coefficient.air *= 1.04;
	setup.coefficient.main *= 0.93;
	setup.coefficient.needle *= 1.02;
	setup.coefficient.pilot *= 0.91;
	return setup;
}

/* Sharp readings and a wide prior: the coefficients come back, and so does the mixture. */
Test(fit, exact_readings_give_the_coefficients_back)
{
	const jw_setup start = scooter(), engine = detuned(start);
	jw_setup vague = start;
	jw_reading readings[READINGS];
	jw_fit_reading each[READINGS];
	jw_fit found;
	vague.uncertainty = (jw_coefficients){0.2, 0.2, 0.2, 0.2};
	int count = lambda_everywhere(&engine, 1e-5, readings);
	readings[count++] = read_on(&engine, JW_READING_LIFT, JW_HALF, 1e-7);
	readings[count++] = read_on(&engine, JW_READING_DEPRESSION, JW_QUARTER, 0.1);
	readings[count++] = read_on(&engine, JW_READING_AFR, JW_QUARTER, 1e-4);
	fit(&vague, readings, count, &found, each);
	for (int u = JW_UNKNOWN_AIR; u <= JW_UNKNOWN_PILOT; u++) {
		cr_expect(found.free[u]);
		JW_NEAR_REL(jw_unknown_value(&found.setup, u), jw_unknown_value(&engine, u), 1e-4);
	}
	for (int i = 0; i < count; i++) {
		JW_NEAR_REL(each[i].read, readings[i].value, 1e-15);
		JW_NEAR_ABS(each[i].residual, 0, 0.05);
		cr_expect(fabs(each[i].before / each[i].read - 1) > 1e-3, "reading %d was wrong before", i);
	}
	cr_expect_lt(found.chi_squared, 1, "%g", found.chi_squared);
}

/* Jets far too large with so little behind them: a coefficient may be as small as 0.1. */
Test(fit, small_coefficients_are_found)
{
	jw_setup engine = bundled("pump-200");
	jw_reading readings[READINGS];
	jw_fit_reading each[READINGS];
	jw_fit found;
	engine.coefficient.main *= 0.15;
	engine.coefficient.pilot *= 0.15;
	engine.carburetor.main.fuel_jet.diameter_m /= sqrt(0.15);
	engine.carburetor.pilot.fuel_jet.diameter_m /= sqrt(0.15);
	jw_setup start = engine;
	start.coefficient.main *= 2;
	start.coefficient.pilot *= 2;
	start.uncertainty = (jw_coefficients){.main = 1, .pilot = 1};
	fit(&start, readings, lambda_everywhere(&engine, 1e-4, readings), &found, each);
	JW_NEAR_REL(found.setup.coefficient.main, engine.coefficient.main, 1e-3);
	JW_NEAR_REL(found.setup.coefficient.pilot, engine.coefficient.pilot, 1e-3);
}

/* Every kind of carburetor: sharp readings everywhere bring lambda everywhere back. */
Test(fit, every_kind_of_carburetor_is_met)
{
	const char *const names[] = {"moped-50", "trail-250", "pump-200", "estate-1100"};
	for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
		const jw_setup start = bundled(names[i]), engine = detuned(start);
		jw_reading readings[READINGS];
		jw_fit_reading each[READINGS];
		jw_fit found;
		int count = lambda_everywhere(&engine, 2e-4, readings);
		fit(&start, readings, count, &found, each);
		for (int k = 0; k < count; k++)
			cr_expect(fabs(each[k].after / each[k].read - 1) < 2e-3, "%s, %s: %g, read %g", names[i],
			          jw_range_name((jw_range)k), each[k].after, each[k].read);
	}
}

/* Noise of the stated size: errors over stated uncertainties scatter as a unit normal does, and so does chi-squared.
 * The true coefficients scatter about the prior too, as its uncertainty says. */
Test(fit, answers_scatter_as_their_covariance_says)
{
	enum { TRIALS = 60 };
	const jw_setup start = gentle_scooter();
	draw d = {2024};
	double squares = 0, chi = 0;
	int beyond_two = 0;
	for (int trial = 0; trial < TRIALS; trial++) {
		jw_setup engine = start;
		jw_reading readings[READINGS];
		jw_fit found;
		double *const c[] = {&engine.coefficient.air, &engine.coefficient.main, &engine.coefficient.needle,
		                     &engine.coefficient.pilot};
		for (size_t i = 0; i < 4; i++)
			*c[i] *= exp(0.05 * draw_normal(&d));
		int count = lambda_everywhere(&engine, 0.01, readings);
		readings[count++] = read_on(&engine, JW_READING_LIFT, JW_HALF, 0.2e-3);
		readings[count++] = read_on(&engine, JW_READING_DEPRESSION, JW_QUARTER, 50);
		for (int i = 0; i < count; i++)
			readings[i].value += readings[i].uncertainty * draw_normal(&d);
		fit(&start, readings, count, &found, NULL);
		chi += found.chi_squared / count;
		for (int u = JW_UNKNOWN_AIR; u <= JW_UNKNOWN_PILOT; u++) {
			double off = log(jw_unknown_value(&found.setup, u) / jw_unknown_value(&engine, u)) / deviation(&found, u);
			squares += off * off;
			beyond_two += fabs(off) > 2;
		}
	}
	/* Mean of 240 squares: 1, standard deviation sqrt(2/240) = 0.09; share beyond two: 4.6 %, 11 of 240, deviation 3.2.
	 */
	printf("mean square of errors over uncertainties %.3f, beyond two %d of %d, chi-squared per reading %.3f\n",
	       squares / (4 * TRIALS), beyond_two, 4 * TRIALS, chi / TRIALS);
	JW_NEAR_ABS(squares / (4 * TRIALS), 1, 0.3);
	JW_NEAR_ABS(beyond_two, 11, 10);
	JW_NEAR_ABS(chi / TRIALS, 1, 0.3);
}

/* Half of chi-squared as anybody would write it, at any coefficients. */
static double half_chi_squared(const jw_setup *prior, const jw_reading *readings, int count, const double *ln)
{
	jw_setup s = *prior;
	double sum = 0;
	double *const c[] = {&s.coefficient.air, &s.coefficient.main, &s.coefficient.needle, &s.coefficient.pilot};
	const double spread[] = {s.uncertainty.air, s.uncertainty.main, s.uncertainty.needle, s.uncertainty.pilot};
	for (size_t i = 0; i < 4; i++) {
		double off = (ln[i] - log(*c[i])) / spread[i];
		*c[i] = exp(ln[i]);
		sum += 0.5 * off * off;
	}
	for (int i = 0; i < count; i++) {
		double wanted = 1 / readings[i].value, spread_phi = readings[i].uncertainty * wanted * wanted;
		double off = (mixture_at(&s, &readings[i]).phi - wanted) / spread_phi;
		sum += 0.5 * off * off;
	}
	return sum;
}

/* Wild readings: the search ran out of steps in the first two, and stopped on a crease of the third, 5.7 above its end.
 * Whatever lies around the answer, looked at at random, is no lower. */
Test(fit, wild_readings_settle_where_nothing_around_is_lower)
{
	static const struct {
		const char *engine;
		double lambda[RANGES]; /* 0: not read */
	} rows[] = {
	    {"../classes/single-250", {0.733296, 1.26146, 1.0309, 1.14171, 0.850338, 0.829012}},
	    {"kart-125", {0, 0, 0, 1.29568, 0, 0}},
	    {"courier-150", {0.895713, 0.967279, 0.766323, 0, 0.889993, 1.26592}},
	};
	static const double reach[] = {0.002, 0.01, 0.05};
	draw d = {11};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const jw_setup start = bundled(rows[i].engine);
		jw_reading readings[RANGES];
		jw_fit found;
		int count = 0;
		for (int range = 0; range < RANGES; range++)
			if (rows[i].lambda[range] > 0)
				readings[count++] = (jw_reading){.kind = JW_READING_LAMBDA,
				                                 .value = rows[i].lambda[range],
				                                 .uncertainty = 0.02,
				                                 .air = mild_air(),
				                                 .point = start.range[range]};
		fit(&start, readings, count, &found, NULL);
		double at[4], near[4];
		for (int u = 0; u < 4; u++)
			at[u] = log(jw_unknown_value(&found.setup, (jw_unknown)u));
		const double half = half_chi_squared(&start, readings, count, at);
		JW_NEAR_REL(half, 0.5 * found.chi_squared, 1e-9);
		for (int k = 0; k < 600; k++) {
			for (int u = 0; u < 4; u++)
				near[u] = at[u] + reach[k % 3] * draw_normal(&d);
			cr_expect_gt(half_chi_squared(&start, readings, count, near), half - 2e-3, "%s: %g %g %g %g",
			             rows[i].engine, near[0], near[1], near[2], near[3]);
		}
	}
}

/* The covariance is the inverse of the Hessian, here by plain second differences; with readings that fit exactly the
 * Gauss-Newton Hessian is the whole of it. And the gradient there is nothing. */
Test(fit, covariance_is_the_inverse_of_the_hessian)
{
	const jw_setup start = gentle_scooter();
	jw_reading readings[READINGS];
	jw_fit found;
	const double h = 1e-3;
	int count = lambda_everywhere(&start, 0.01, readings);
	fit(&start, readings, count, &found, NULL);
	double at[4], hessian[4][4];
	for (int u = 0; u < 4; u++)
		at[u] = log(jw_unknown_value(&found.setup, (jw_unknown)u));
	for (int i = 0; i < 4; i++)
		for (int j = 0; j < 4; j++) {
			double sum = 0;
			for (int corner = 0; corner < 4; corner++) {
				double x[4], sign = corner == 0 || corner == 3 ? 1 : -1;
				memcpy(x, at, sizeof x);
				x[i] += corner & 1 ? h : -h;
				x[j] += corner & 2 ? h : -h;
				sum += sign * half_chi_squared(&start, readings, count, x);
			}
			hessian[i][j] = sum / (4 * h * h);
		}
	double worst = 0;
	for (int i = 0; i < 4; i++)
		for (int j = 0; j < 4; j++) {
			double product = 0;
			for (int k = 0; k < 4; k++)
				product += hessian[i][k] * found.covariance[k][j];
			worst = fmax(worst, fabs(product - (i == j)));
		}
	printf("Hessian times covariance differs from one by %.1e\n", worst);
	cr_expect_lt(worst, 5e-3, "%g", worst);
	for (int u = 0; u < 4; u++) {
		JW_NEAR_REL(*(&found.setup.uncertainty.air + u), deviation(&found, u), 1e-12);
		cr_expect_lt(deviation(&found, u), *(&start.uncertainty.air + u), "a reading teaches something of %d", u);
	}
}

Test(fit, what_no_reading_speaks_of_stays_put)
{
	const jw_setup start = scooter();
	jw_setup engine = start;
	jw_fit found;
	engine.coefficient.main *= 0.9;
	const jw_reading flow = read_on(&engine, JW_READING_JET_FLOW, JW_FULL, 1e-9);
	/* The bench speaks of the bore alone, and that flow was the profile's. */
	cr_expect_eq(fit(&start, &flow, 1, &found, NULL), JW_OK);
	for (int u = JW_UNKNOWN_AIR; u <= JW_UNKNOWN_PILOT; u++) {
		JW_NEAR_REL(jw_unknown_value(&found.setup, u), jw_unknown_value(&start, u), 1e-9);
		JW_NEAR_REL(deviation(&found, u), *(&start.uncertainty.air + u), 1e-6);
	}
	JW_NEAR_REL(jw_unknown_value(&found.setup, JW_UNKNOWN_MAIN_JET), start.carburetor.main.fuel_jet.diameter_m, 1e-7);
	cr_expect(!found.free[JW_UNKNOWN_PILOT_JET] && !found.free[JW_UNKNOWN_LEVEL] && found.free[JW_UNKNOWN_MAIN_JET]);
	/* This engine idles on the pilot jet alone. */
	engine.coefficient.pilot *= 0.9;
	const jw_reading idle = read_on(&engine, JW_READING_LAMBDA, JW_IDLE, 0.002);
	fit(&start, &idle, 1, &found, NULL);
	JW_NEAR_REL(found.setup.coefficient.air, start.coefficient.air, 1e-3);
	JW_NEAR_REL(found.setup.coefficient.main, start.coefficient.main, 1e-6);
	JW_NEAR_REL(found.setup.coefficient.needle, start.coefficient.needle, 1e-4);
	JW_NEAR_REL(found.setup.coefficient.pilot, engine.coefficient.pilot, 0.01);
}

/* Of uncertainty 0: known, and kept. */
Test(fit, a_known_coefficient_is_kept)
{
	jw_setup start = scooter();
	const jw_setup engine = detuned(start);
	jw_reading readings[READINGS];
	jw_fit found;
	start.uncertainty.air = 0;
	int count = lambda_everywhere(&engine, 0.01, readings);
	fit(&start, readings, count, &found, NULL);
	cr_expect_eq(found.setup.coefficient.air, start.coefficient.air);
	cr_expect(!found.free[JW_UNKNOWN_AIR] && found.covariance[JW_UNKNOWN_AIR][JW_UNKNOWN_AIR] == 0);
	start.uncertainty = (jw_coefficients){0};
	fit(&start, readings, count, &found, NULL);
	cr_expect(!memcmp(&found.setup.coefficient, &start.coefficient, sizeof start.coefficient), "nothing to fit");
}

/* The bench gives the bore, the level its own; lambda is then explained without bending a coefficient. */
Test(fit, bench_and_level_take_their_part)
{
	const jw_setup start = scooter();
	jw_setup engine = start;
	jw_reading readings[READINGS];
	jw_fit found;
	engine.carburetor.main.fuel_jet.diameter_m *= 0.96;
	engine.carburetor.bowl.level_error_m = -2.5e-3;
	int count = lambda_everywhere(&engine, 0.01, readings);
	readings[count] = read_on(&engine, JW_READING_JET_FLOW, JW_FULL, 0);
	readings[count].uncertainty = 0.01 * readings[count].value;
	count++;
	readings[count++] = read_on(&engine, JW_READING_LEVEL, JW_IDLE, 0.3e-3);
	fit(&start, readings, count, &found, NULL);
	JW_NEAR_REL(jw_unknown_value(&found.setup, JW_UNKNOWN_MAIN_JET), engine.carburetor.main.fuel_jet.diameter_m, 1e-4);
	JW_NEAR_ABS(jw_unknown_value(&found.setup, JW_UNKNOWN_LEVEL), -2.5e-3, 2e-5);
	JW_NEAR_REL(found.setup.coefficient.main, start.coefficient.main, 1e-3);
	/* 1 % of flow is about half of that in bore, and lambda cannot widen it. */
	cr_expect_lt(deviation(&found, JW_UNKNOWN_MAIN_JET), 0.0055);
	cr_expect_lt(deviation(&found, JW_UNKNOWN_LEVEL), 0.301e-3);
}

/* However far lambda pulls a level: what is fitted is a set-up that the check accepts. */
Test(fit, a_level_stays_within_its_range)
{
	const double sign[] = {-1, 1};
	for (int i = 0; i < 2; i++) {
		jw_setup start = scooter();
		start.uncertainty = (jw_coefficients){0};
		jw_setup engine = start;
		engine.carburetor.bowl.level_error_m = sign[i] * 30e-3;
		jw_reading readings[READINGS];
		jw_fit_reading each[READINGS];
		jw_fit found;
		int count = lambda_everywhere(&engine, 0.005, readings);
		readings[count] = read_on(&engine, JW_READING_LEVEL, JW_IDLE, 10e-3);
		readings[count++].value = sign[i] * 19e-3;
		fit(&start, readings, count, &found, each);
		JW_NEAR_REL(jw_unknown_value(&found.setup, JW_UNKNOWN_LEVEL), sign[i] * 20e-3, 1e-12);
		cr_expect(!found.free[JW_UNKNOWN_LEVEL] && found.covariance[JW_UNKNOWN_LEVEL][JW_UNKNOWN_LEVEL] == 0, "held");
		double squares = 0; /* of the readings alone, as no coefficient is free */
		for (int r = 0; r < count; r++)
			squares += each[r].residual * each[r].residual;
		JW_NEAR_REL(found.chi_squared, squares, 1e-12);
	}
}

/* Coefficients beside one that is held are as sure as if it had been known. */
Test(fit, a_level_that_is_held_leaves_the_rest_as_sure)
{
	jw_setup start = scooter(), engine = start;
	jw_reading readings[READINGS];
	jw_fit found, known;
	start.uncertainty = (jw_coefficients){0.1, 0.1, 0.1, 0.1};
	engine.carburetor.bowl.level_error_m = 30e-3;
	int count = lambda_everywhere(&engine, 0.005, readings);
	readings[count] = read_on(&engine, JW_READING_LEVEL, JW_IDLE, 10e-3);
	readings[count++].value = 19e-3;
	fit(&start, readings, count, &found, NULL);
	cr_expect(!found.free[JW_UNKNOWN_LEVEL]);
	start.carburetor.bowl.level_error_m = 20e-3;
	fit(&start, readings, count - 1, &known, NULL);
	for (int u = JW_UNKNOWN_AIR; u <= JW_UNKNOWN_PILOT; u++)
		JW_NEAR_REL(deviation(&found, u), deviation(&known, u), 1e-3);
}

Test(fit, a_wrong_reading_is_named)
{
	const jw_setup start = gentle_scooter(), engine = detuned(start);
	for (int wrong = 0; wrong < RANGES; wrong++) {
		jw_reading readings[READINGS];
		jw_fit_reading each[READINGS];
		jw_fit found;
		int count = 0;
		/* Each point twice, at two speeds, so that there is something to disagree with. */
		for (int range = 0; range < RANGES; range++)
			for (int again = 0; again < 2; again++) {
				jw_setup there = engine;
				there.range[range].speed_rev_s *= again ? 1.05 : 1;
				readings[count++] = read_on(&there, JW_READING_LAMBDA, (jw_range)range, 0.01);
			}
		cr_expect(!(fit(&start, readings, count, &found, each) & JW_W_DISAGREE));
		readings[2 * wrong].value += 0.08;
		cr_expect(fit(&start, readings, count, &found, each) & JW_W_DISAGREE, "%s", jw_range_name(wrong));
		cr_expect_eq(found.worst, 2 * wrong, "%s: %d is named", jw_range_name(wrong), found.worst);
		cr_expect_lt(each[2 * wrong].apart, -JW_READING_DISAGREES, "%g", each[2 * wrong].apart);
	}
}

/* Apart, as it is defined: the reading against a fit without it. */
Test(fit, apart_is_what_leaving_the_reading_out_says)
{
	const jw_setup start = gentle_scooter(), engine = detuned(start);
	jw_reading readings[READINGS];
	jw_fit_reading each[READINGS];
	jw_fit all, without;
	int count = lambda_everywhere(&engine, 0.01, readings);
	readings[2].value += 0.02;
	fit(&start, readings, count, &all, each);
	for (int i = 0; i < count; i++) {
		jw_reading others[READINGS];
		int left = 0;
		for (int k = 0; k < count; k++)
			if (k != i)
				others[left++] = readings[k];
		fit(&start, others, left, &without, NULL);
		double relative = 0;
		double phi = mixture_at(&without.setup, &readings[i]).phi, wanted = 1 / readings[i].value;
		/* Predicted spread by the covariance of the others, propagated by differences. */
		double slope[4];
		for (int u = 0; u < 4; u++) {
			jw_setup moved = without.setup;
			*(&moved.coefficient.air + u) *= 1.001;
			slope[u] = log(mixture_at(&moved, &readings[i]).phi / phi) / log(1.001);
		}
		for (int u = 0; u < 4; u++)
			for (int v = 0; v < 4; v++)
				relative += slope[u] * without.covariance[u][v] * slope[v];
		double spread = hypot(sqrt(relative) * phi, readings[i].uncertainty * wanted * wanted);
		JW_NEAR_ABS(each[i].apart, (wanted - phi) / spread, 0.05 + 0.05 * fabs(each[i].apart));
	}
}

Test(fit, faults_name_the_reading)
{
	const jw_setup start = scooter();
	const jw_reading good = read_on(&start, JW_READING_LAMBDA, JW_FULL, 0.01);
	jw_reading bad[8];
	for (size_t i = 0; i < 8; i++)
		bad[i] = good;
	bad[0].kind = JW_READING_KIND_COUNT;
	bad[1].value = NAN;
	bad[2].uncertainty = 0;
	bad[3].uncertainty = INFINITY;
	bad[4].kind = JW_READING_GAS;
	bad[5].kind = JW_READING_JET_FLOW;
	bad[5].value = 1e-6;
	bad[5].jet = JW_PART_MIXTURE_SCREW;
	bad[6].point.throttle = 2;
	bad[7].air.pressure_pa = -1;
	for (size_t i = 0; i < 8; i++) {
		const jw_reading pair[] = {good, bad[i]};
		jw_error error = {0};
		jw_fit found = {.worst = -5};
		cr_expect_lt(jw_fit_readings(&start, pair, 2, &found, NULL, &error), 0, "row %zu", i);
		cr_expect(error.field && !strcmp(error.field, "reading") && error.value == 1, "row %zu", i);
		cr_expect_eq(found.worst, -5, "untouched");
	}
	const double no_scale[] = {NAN, INFINITY, -14.7, 0.5, 1e6};
	for (size_t i = 0; i < sizeof no_scale / sizeof *no_scale; i++) {
		jw_reading pair[] = {good, read_on(&start, JW_READING_AFR, JW_HALF, 0.1)};
		jw_error error = {0};
		jw_fit found = {.worst = -5};
		pair[1].stoichiometric_afr = no_scale[i];
		cr_expect_eq(jw_fit_readings(&start, pair, 2, &found, NULL, &error),
		             isfinite(no_scale[i]) ? JW_E_RANGE : JW_E_NOT_FINITE, "%g", no_scale[i]);
		cr_expect(error.field && !strcmp(error.field, "reading") && error.value == 1, "%g", no_scale[i]);
		cr_expect_eq(found.worst, -5, "untouched");
	}
	const jw_setup fixed = bundled("pump-200");
	jw_reading lift = good;
	lift.kind = JW_READING_LIFT;
	lift.value = 5e-3;
	lift.uncertainty = 1e-3;
	jw_error error = {0};
	jw_fit found;
	cr_expect_eq(jw_fit_readings(&fixed, &lift, 1, &found, NULL, &error), JW_E_ARGUMENT);
	cr_expect_eq(jw_fit_readings(&start, &good, 0, &found, NULL, &error), JW_E_RANGE);
	jw_reading cold = good; /* where the fuel's formula warns */
	cold.air.temperature_k = 240;
	cold.value = -1;
	cr_expect_eq(jw_fit_readings(&start, &cold, 1, &found, NULL, &error), JW_E_RANGE);
	jw_setup broken = start;
	broken.engine.bore_m = -1;
	cr_expect_eq(jw_fit_readings(&broken, &good, 1, &found, NULL, &error), JW_E_RANGE);
}

Test(fit, words)
{
	cr_expect_str_eq(jw_reading_name(JW_READING_LIFT), "slide_lift");
	cr_expect_null(jw_reading_name(JW_READING_KIND_COUNT));
	cr_expect_str_eq(jw_unknown_name(JW_UNKNOWN_NEEDLE), "needle");
	cr_expect_null(jw_unknown_name(JW_UNKNOWN_COUNT));
	const jw_setup start = scooter();
	cr_expect_eq(jw_unknown_value(&start, JW_UNKNOWN_COUNT), 0);
}

/* One that says next to nothing of what nothing else speaks of: the square of its uncertainty is no number. */
Test(fit, what_stays_open_beyond_all_numbers_is_told)
{
	const jw_setup start = scooter();
	jw_reading level = read_on(&start, JW_READING_LEVEL, JW_FULL, 1e-3);
	jw_error error = {0};
	jw_fit found = {.worst = -5};
	cr_expect_geq(jw_fit_readings(&start, &level, 1, &found, NULL, &error), 0);
	JW_NEAR_REL(found.covariance[JW_UNKNOWN_LEVEL][JW_UNKNOWN_LEVEL], 1e-6, 1e-6);
	found.worst = -5;
	level.uncertainty = 1e160;
	cr_expect_eq(jw_fit_readings(&start, &level, 1, &found, NULL, &error), JW_E_NOT_FINITE);
	cr_expect_str_eq(error.field, "level");
	cr_expect_eq(found.worst, -5, "untouched");
}
