/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/tune.h>

#include "air/limits.h"
#include "base/base.h"
#include "solve/fit.h"

#include <stdlib.h>
#include <string.h>

/* Of x, which is a logarithm or a length over the step of the level. */
#define STEP 2e-3
#define LEVEL_SCALE 10e-3

/* ---- what a reading says ---- */

static const jw_orifice *bench_jet(const jw_setup *setup, jw_part part)
{
	const jw_carburetor *c = &setup->carburetor;
	return part == JW_PART_MAIN_JET ? &c->main.fuel_jet : part == JW_PART_PILOT_JET ? &c->pilot.fuel_jet : NULL;
}

static double phi_of(const jw_setup *setup, const jw_reading *r, const jw_mixture *m)
{
	(void)setup, (void)r;
	return m->phi;
}

static double jet_flow_of(const jw_setup *setup, const jw_reading *r, const jw_mixture *m)
{
	(void)m;
	jw_fuel_state fuel;
	double kg_s = 0.0;
	if (jw_fuel_at(&setup->fuel, r->air.temperature_k, &fuel, NULL) < 0)
		return 0.0;
	jw_liquid_flow liquid = {fuel.density_kg_m3, fuel.viscosity_m2_s};
	jw_liquid_mass_flow(bench_jet(setup, r->jet), &liquid, fuel.density_kg_m3 * JW_GRAVITY * r->head_m, &kg_s);
	return kg_s / fuel.density_kg_m3;
}

static double level_of(const jw_setup *setup, const jw_reading *r, const jw_mixture *m)
{
	(void)r, (void)m;
	return setup->carburetor.bowl.level_error_m;
}

static double lift_of(const jw_setup *setup, const jw_reading *r, const jw_mixture *m)
{
	(void)setup, (void)r;
	return m->path.lift_m;
}

static double depression_of(const jw_setup *setup, const jw_reading *r, const jw_mixture *m)
{
	(void)setup;
	return r->air.pressure_pa - m->path.throat_pa;
}

/* phi is finite without fuel where lambda is not: those that show lambda are compared by it. */
static const struct kind_row {
	const char *name;
	double (*model)(const jw_setup *setup, const jw_reading *reading, const jw_mixture *mixture);
	int running, inverse; /* taken on the running engine; reads scale/model */
	double low, high;     /* of the value, SI */
} kinds[JW_READING_KIND_COUNT] = {
    [JW_READING_LAMBDA] = {"lambda", phi_of, 1, 1, 0.3, 3.0},
    [JW_READING_AFR] = {"afr", phi_of, 1, 1, 2.0, 50.0},
    [JW_READING_GAS] = {"gas", phi_of, 1, 1, 0.0, 0.0},
    [JW_READING_JET_FLOW] = {"jet_flow", jet_flow_of, 0, 0, 1e-10, 1e-4},
    [JW_READING_LEVEL] = {"level", level_of, 0, 0, -20e-3, 20e-3},
    [JW_READING_LIFT] = {"slide_lift", lift_of, 1, 0, 0.0, 80e-3},
    [JW_READING_DEPRESSION] = {"throat_depression", depression_of, 1, 0, 1.0, 60e3},
};

const char *jw_reading_name(jw_reading_kind kind)
{
	return (unsigned)kind < JW_READING_KIND_COUNT ? kinds[kind].name : NULL;
}

/* A reading made comparable with the model: residual = (model - wanted)/spread. */
typedef struct observation {
	const jw_reading *reading;
	const struct kind_row *kind;
	double read, scale, wanted, spread;
} observation;

static double shown(const observation *o, double model)
{
	if (!o->kind->inverse)
		return model;
	return model > 0.0 ? o->scale / model : 0.0;
}

static jw_status lambda_of_gas(const jw_reading *r, const jw_fuel_state *fuel, double *lambda)
{
	double hydrogen, oxygen;
	jw_status status = jw_fuel_atoms(fuel, &hydrogen, &oxygen, NULL);
	return status < 0 ? status : jw_lambda_from_gas(&r->gas, hydrogen, oxygen, lambda, NULL);
}

static jw_status observe(const jw_setup *setup, const jw_reading *r, observation *o)
{
	if ((unsigned)r->kind >= JW_READING_KIND_COUNT)
		return JW_E_ARGUMENT;
	const struct kind_row *kind = &kinds[r->kind];
	jw_fuel_state fuel;
	jw_status status = jw_fuel_at(&setup->fuel, r->air.temperature_k, &fuel, NULL);
	*o = (observation){.reading = r, .kind = kind, .read = r->value, .scale = 1.0};
	if (kind->running)
		status = jw_both(status, jw_air_check(&r->air, NULL));
	if (status < 0)
		return status;
	jw_status read = r->kind == JW_READING_GAS ? lambda_of_gas(r, &fuel, &o->read)
	                                           : jw_check_range("value", r->value, kind->low, kind->high, NULL);
	if (read < 0)
		return read;
	status |= read;
	if (r->kind == JW_READING_AFR && r->stoichiometric_afr != 0.0)
		status = jw_both(status, jw_check_range("stoichiometric_afr", r->stoichiometric_afr, 1.0, 20.0, NULL));
	if (status < 0)
		return status;
	if (!(r->uncertainty > 0.0 && isfinite(r->uncertainty)))
		return JW_E_RANGE;
	if (r->kind == JW_READING_LIFT && setup->carburetor.kind == JW_FIXED_VENTURI)
		return JW_E_ARGUMENT;
	if (r->kind == JW_READING_JET_FLOW && (!bench_jet(setup, r->jet) || !(r->head_m > 0.0 && r->head_m <= 10.0)))
		return JW_E_RANGE;
	if (r->kind == JW_READING_AFR)
		o->scale = r->stoichiometric_afr > 0.0 ? r->stoichiometric_afr : fuel.stoichiometric_afr;
	o->wanted = kind->inverse ? o->scale / o->read : o->read;
	o->spread = kind->inverse ? -r->uncertainty * o->scale / jw_square(o->read) : r->uncertainty;
	return status;
}

/* ---- what a fit may change ---- */

#define SETUP(member) offsetof(jw_setup, member)

static const struct unknown_row {
	const char *name;
	size_t offset, uncertainty; /* in the set-up; uncertainty 0: no prior */
	double scale;               /* x = value/scale; 0: x = ln(value) */
	double low, high;
	jw_reading_kind read_by; /* without prior: the kind of reading that speaks of it */
	jw_part jet;
} unknowns[JW_UNKNOWN_COUNT] = {
    [JW_UNKNOWN_AIR] = {"air", SETUP(coefficient.air), SETUP(uncertainty.air), 0.0, 0.1, 10.0, 0, 0},
    [JW_UNKNOWN_MAIN] = {"main", SETUP(coefficient.main), SETUP(uncertainty.main), 0.0, 0.1, 10.0, 0, 0},
    [JW_UNKNOWN_NEEDLE] = {"needle", SETUP(coefficient.needle), SETUP(uncertainty.needle), 0.0, 0.1, 10.0, 0, 0},
    [JW_UNKNOWN_PILOT] = {"pilot", SETUP(coefficient.pilot), SETUP(uncertainty.pilot), 0.0, 0.1, 10.0, 0, 0},
    [JW_UNKNOWN_MAIN_JET] = {"main_jet", SETUP(carburetor.main.fuel_jet.diameter_m), 0, 0.0, 0.1e-3, 5e-3,
                             JW_READING_JET_FLOW, JW_PART_MAIN_JET},
    [JW_UNKNOWN_PILOT_JET] = {"pilot_jet", SETUP(carburetor.pilot.fuel_jet.diameter_m), 0, 0.0, 0.1e-3, 3e-3,
                              JW_READING_JET_FLOW, JW_PART_PILOT_JET},
    [JW_UNKNOWN_LEVEL] = {"level", SETUP(carburetor.bowl.level_error_m), 0, LEVEL_SCALE, -20e-3, 20e-3,
                          JW_READING_LEVEL, 0},
};

const char *jw_unknown_name(jw_unknown unknown)
{
	return (unsigned)unknown < JW_UNKNOWN_COUNT ? unknowns[unknown].name : NULL;
}

double jw_unknown_value(const jw_setup *setup, jw_unknown unknown)
{
	return (unsigned)unknown < JW_UNKNOWN_COUNT ? jw_value_at(setup, unknowns[unknown].offset) : 0.0;
}

/* The search runs in x, where the unknowns are alike in size. */
static double to_x(const struct unknown_row *row, double value)
{
	return row->scale > 0.0 ? value / row->scale : log(jw_clamp(value, row->low, row->high));
}

static double from_x(const struct unknown_row *row, double x)
{
	return jw_clamp(row->scale > 0.0 ? x * row->scale : exp(x), row->low, row->high);
}

/* ---- the fit ---- */

typedef struct fitting {
	jw_setup setup; /* at the last x */
	int count;      /* of observations */
	observation *observed;
	int frees;
	const struct unknown_row *free[JW_UNKNOWN_COUNT];
	double prior[JW_UNKNOWN_COUNT], spread[JW_UNKNOWN_COUNT];
	jw_status status, warnings;
	int failed; /* which reading the status is about */
	double *residual, *jacobian;
} fitting;

static double model_of(fitting *f, const jw_setup *setup, int i)
{
	const observation *o = &f->observed[i];
	jw_mixture mixture = {0};
	if (o->kind->running) {
		jw_status status = jw_mixture_at(setup, &o->reading->air, &o->reading->point, &mixture, NULL);
		f->warnings |= status > 0 ? status : 0;
		if (status < 0 && f->status == JW_OK) {
			f->status = status;
			f->failed = i;
		}
	}
	return o->kind->model(setup, o->reading, &mixture);
}

/* How far x lies past its range, where no reading feels it: this alone brings it back. */
static double beyond(const struct unknown_row *row, double x)
{
	return x - to_x(row, from_x(row, x));
}

/* What speaks of an unknown beside the readings: its prior, or its range. */
static double by_itself(const fitting *f, int j, double x)
{
	const struct unknown_row *row = f->free[j];
	return row->uncertainty ? (x - f->prior[j]) / f->spread[j] : beyond(row, x);
}

static void residuals(const double *x, double *residual, void *context)
{
	fitting *f = context;
	for (int j = 0; j < f->frees; j++)
		*jw_double_at(&f->setup, f->free[j]->offset) = from_x(f->free[j], x[j]);
	for (int i = 0; i < f->count; i++)
		residual[i] = (model_of(f, &f->setup, i) - f->observed[i].wanted) / f->observed[i].spread;
	for (int j = 0; j < f->frees; j++)
		residual[f->count + j] = by_itself(f, j, x[j]);
}

static int is_read(const fitting *f, const struct unknown_row *row)
{
	for (int i = 0; i < f->count; i++) {
		const jw_reading *r = f->observed[i].reading;
		if (r->kind == row->read_by && (r->kind != JW_READING_JET_FLOW || r->jet == row->jet))
			return 1;
	}
	return 0;
}

static void choose_unknowns(fitting *f)
{
	for (size_t u = 0; u < JW_UNKNOWN_COUNT; u++) {
		const struct unknown_row *row = &unknowns[u];
		double spread = row->uncertainty ? jw_value_at(&f->setup, row->uncertainty) : 0.0;
		if (row->uncertainty ? !(spread > 0.0) : !is_read(f, row))
			continue;
		f->free[f->frees] = row;
		f->prior[f->frees] = to_x(row, jw_value_at(&f->setup, row->offset));
		f->spread[f->frees++] = spread;
	}
}

static double sum_of_squares(const fitting *f)
{
	double sum = 0.0;
	for (int i = 0; i < f->count + f->frees; i++)
		sum += jw_square(f->residual[i]);
	return sum;
}

/* A slide that comes to its stop makes a cliff in lambda, and a cliff makes valleys: the search starts on both sides of
 * it, at several standard uncertainties of the air, and the lowest end counts. */
static const double starts[] = {0.0, -1.0, 1.0, -2.0, 2.0};

static jw_status search(fitting *f, double *x, double *covariance, jw_error *error)
{
	jw_fit_problem problem = {.residuals = residuals,
	                          .context = f,
	                          .readings = f->count + f->frees,
	                          .unknowns = f->frees,
	                          .step = STEP,
	                          .rough = 1};
	size_t count = f->free[0] == &unknowns[JW_UNKNOWN_AIR] ? sizeof starts / sizeof *starts : 1;
	double best = INFINITY;
	jw_status status = JW_OK;
	for (size_t i = 0; i < count; i++) {
		double trial[JW_UNKNOWN_COUNT];
		memcpy(trial, f->prior, sizeof trial);
		trial[0] += starts[i] * f->spread[0];
		jw_status ended = jw_least_squares(&problem, trial, covariance, f->jacobian, error);
		if (ended == JW_E_MEMORY)
			return ended;
		if (ended < 0) {
			status = ended;
			continue;
		}
		residuals(trial, f->residual, f);
		double squares = sum_of_squares(f);
		if (squares < best) {
			best = squares;
			memcpy(x, trial, sizeof trial);
		}
	}
	/* Once more from the best end, to where it leads along a kink, and for what belongs to it. */
	problem.rough = 0;
	return isinf(best) ? status : jw_least_squares(&problem, x, covariance, f->jacobian, error);
}

/* An unknown without prior that ended at the end of its range, or beyond, stays there: it has no slope to be sure by.
 * \return whether there was one */
static int hold_at_end(fitting *f, const double *x)
{
	int left = 0, all = f->frees;
	for (int j = 0; j < all; j++) {
		const struct unknown_row *row = f->free[j];
		const double value = from_x(row, x[j]);
		*jw_double_at(&f->setup, row->offset) = value;
		if (!row->uncertainty && (value <= row->low || value >= row->high))
			continue;
		f->free[left] = row;
		f->prior[left] = f->prior[j];
		f->spread[left++] = f->spread[j];
	}
	f->frees = left;
	return left < all;
}

/* Leaves set-up, residuals and Jacobian at the answer. */
static jw_status settle(fitting *f, double *covariance, jw_error *error)
{
	double x[JW_UNKNOWN_COUNT] = {0};
	jw_status status = JW_OK;
	while (f->frees) {
		status = search(f, x, covariance, error);
		if (status < 0 || !hold_at_end(f, x))
			break;
	}
	if (f->status < 0)
		return jw_fail(error, f->status, "reading", f->failed, 0, f->count - 1);
	if (status < 0)
		return status;
	f->warnings = 0; /* those of trials do not count */
	residuals(x, f->residual, f);
	return f->warnings;
}

static double leverage(const fitting *f, const double *covariance, int i)
{
	const double *slope = f->jacobian + i * f->frees;
	double sum = 0.0;
	for (int j = 0; j < f->frees; j++)
		for (int k = 0; k < f->frees; k++)
			sum += slope[j] * covariance[j * f->frees + k] * slope[k];
	return sum;
}

static jw_fit_reading beside_model(fitting *f, const jw_setup *before, const double *covariance, int i)
{
	const observation *o = &f->observed[i];
	double others = 1.0 - leverage(f, covariance, i);
	return (jw_fit_reading){.read = o->read,
	                        .before = shown(o, model_of(f, before, i)),
	                        .after = shown(o, o->wanted + f->residual[i] * o->spread),
	                        .residual = f->residual[i],
	                        .apart = others > 1e-9 ? f->residual[i] / sqrt(others) : 0.0};
}

/* Covariance of logarithms and metres, and the set-up's uncertainties, from those of x. The square of what a reading
 * leaves open may lie beyond all numbers. */
static jw_status spread_out(const fitting *f, const double *covariance, jw_fit *fit, jw_error *error)
{
	for (int j = 0; j < f->frees; j++) {
		const struct unknown_row *row = f->free[j];
		fit->free[row - unknowns] = 1;
		for (int k = 0; k < f->frees; k++) {
			const struct unknown_row *other = f->free[k];
			double scale = (row->scale > 0.0 ? row->scale : 1.0) * (other->scale > 0.0 ? other->scale : 1.0);
			double *both = &fit->covariance[row - unknowns][other - unknowns];
			*both = scale * covariance[j * f->frees + k];
			if (!isfinite(*both))
				return jw_fail(error, JW_E_NOT_FINITE, row->name, *both, -INFINITY, INFINITY);
		}
		if (row->uncertainty)
			*jw_double_at(&fit->setup, row->uncertainty) = sqrt(covariance[j * f->frees + j]);
	}
	return JW_OK;
}

static jw_status judge(const jw_fit *fit)
{
	jw_status status = fit->worst_apart > JW_READING_DISAGREES ? JW_W_DISAGREE : JW_OK;
	for (int u = JW_UNKNOWN_AIR; u <= JW_UNKNOWN_PILOT; u++) {
		double value = jw_unknown_value(&fit->setup, (jw_unknown)u);
		if (value < JW_COEFFICIENT_LEAST || value > JW_COEFFICIENT_MOST)
			status |= JW_W_COEFFICIENT;
	}
	return status;
}

static jw_status run(fitting *f, jw_fit *fit, jw_fit_reading *each, jw_error *error)
{
	jw_setup before = f->setup;
	double covariance[JW_UNKNOWN_COUNT * JW_UNKNOWN_COUNT];
	choose_unknowns(f);
	jw_status status = settle(f, covariance, error);
	if (status < 0)
		return status;
	for (int i = 0; i < f->count; i++) /* a mixture that no engine burns may lie beyond all numbers */
		if (!isfinite(jw_square(f->residual[i])))
			return jw_fail(error, JW_E_NOT_FINITE, "reading", i, 0, f->count - 1);
	jw_fit found = {.setup = f->setup, .chi_squared = sum_of_squares(f), .worst_apart = -1.0};
	jw_status spread = spread_out(f, covariance, &found, error);
	if (spread < 0)
		return spread;
	for (int i = 0; i < f->count; i++) {
		jw_fit_reading shown_reading = beside_model(f, &before, covariance, i);
		if (fabs(shown_reading.apart) > found.worst_apart) {
			found.worst_apart = fabs(shown_reading.apart);
			found.worst = i;
		}
		if (each)
			each[i] = shown_reading;
	}
	*fit = found;
	return status | judge(&found);
}

jw_status jw_fit_readings(const jw_setup *setup, const jw_reading *reading, int readings, jw_fit *fit,
                          jw_fit_reading *each, jw_error *error)
{
	jw_status status = jw_setup_check(setup, error);
	if (status < 0)
		return status;
	if (readings < 1)
		return jw_fail(error, JW_E_RANGE, "readings", readings, 1, INFINITY);
	size_t rows = (size_t)readings + JW_UNKNOWN_COUNT;
	fitting f = {.setup = *setup,
	             .count = readings,
	             .observed = calloc((size_t)readings, sizeof *f.observed),
	             .residual = calloc(rows, sizeof *f.residual),
	             .jacobian = calloc(rows * JW_UNKNOWN_COUNT, sizeof *f.jacobian)};
	if (!f.observed || !f.residual || !f.jacobian)
		status = jw_no_memory(error, "readings");
	for (int i = 0; i < readings && status >= 0; i++) {
		jw_status observed = observe(setup, &reading[i], &f.observed[i]);
		status = observed < 0 ? jw_fail(error, observed, "reading", i, 0, readings - 1) : status | observed;
	}
	if (status >= 0)
		status = jw_both(status, run(&f, fit, each, error));
	free(f.observed);
	free(f.residual);
	free(f.jacobian);
	return status;
}
