/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/cause.h"
#include "base/base.h"
#include "point/members.h"
#include "tune/passage.h"
#include <string.h>

const jw_cause_info *jw_cause_at(int cause)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	return row ? &row->info : NULL;
}

const char *jw_need_name(jw_need need)
{
	static const char *const names[JW_NEED_COUNT] = {"mixture", "cranking", "spark", "compression"};
	return (unsigned)need < JW_NEED_COUNT ? names[need] : NULL;
}

double jw_cause_minutes(int cause)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	return row ? row->minutes : 0;
}

jw_need jw_cause_need(int cause)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	return row ? row->need : JW_NEED_MIXTURE;
}

int jw_cause_meters(int cause)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	return row && row->step.amount != 0;
}

int jw_cause_part(int cause, jw_part *part)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	if (!row || !row->exchangeable)
		return 0;
	*part = row->part;
	return 1;
}

int jw_cause_find(const char *id)
{
	for (int i = 0; i < jw_cause_count(); i++)
		if (id && strcmp(jw_cause_row_at(i)->info.id, id) == 0)
			return i;
	return -1;
}

int jw_cause_possible(const jw_setup *healthy, const jw_cause_row *row)
{
	if (row->several && healthy->engine.carburetors < 2)
		return 0;
	if (row->strokes && row->strokes != healthy->engine.strokes)
		return 0;
	/* A supply that is described says what it has. */
	if (row->supply && healthy->supply.bowl_area_m2 > 0 && !(jw_value_at(healthy, row->supply) > 0))
		return 0;
	return !row->exists || jw_value_at(healthy, row->exists) > 0;
}

double jw_cause_element(const jw_setup *setup, const jw_cause_row *row)
{
	return jw_value_at(setup, row->element);
}

int jw_cause_is_further_off(const jw_setup *base, const jw_setup *present, const jw_cause_row *row)
{
	if (!row->rejet || jw_cause_element(base, row) == jw_cause_element(present, row))
		return 0;
	const double size = jw_cause_element(present, row) / jw_cause_element(base, row);
	return (1 - jw_square(size)) / row->step.amount > 1;
}

const jw_step *jw_cause_step(const jw_setup *setup, const jw_cause_row *row)
{
	int air_screw = setup->carburetor.screw.kind == JW_AIR_SCREW && row->air_screw_step.amount != 0;
	return air_screw ? &row->air_screw_step : &row->step;
}

static double changed(const jw_setup *setup, const jw_cause_row *row, double x, double severity)
{
	const jw_step *by = jw_cause_step(setup, row);
	double step = by->amount * severity;
	switch (by->operation) {
	case JW_BY_AREA:
		return x * sqrt(fmax(1 - step, 0));
	case JW_BY_SHARE:
		return x * (1 - step);
	case JW_BY_LOSS:
		return fmin(x / jw_square(1 - step), JW_MOST_INTAKE_LOSS_PA);
	case JW_BY_STICK:
		return step * setup->carburetor.throat.bore_m;
	case JW_BY_SHIFT:
		break;
	}
	return x + step;
}

jw_status jw_cause_check(const jw_setup *healthy, int cause, double severity, jw_error *error)
{
	const jw_cause_row *row = jw_cause_row_at(cause);
	if (!row || !jw_cause_meters(cause))
		return jw_fail(error, JW_E_ARGUMENT, "cause", cause, 0, jw_cause_count() - 1);
	if (!jw_cause_possible(healthy, row))
		return jw_fail(error, JW_E_ARGUMENT, row->info.part, 0, 0, HUGE_VAL);
	return jw_check_range("severity", severity, 0, 1, error);
}

jw_status jw_cause_apply(const jw_setup *healthy, int cause, double severity, jw_setup *faulty, jw_error *error)
{
	jw_status status = jw_cause_check(healthy, cause, severity, error);
	if (status < 0)
		return status;
	const jw_cause_row *row = jw_cause_row_at(cause);
	jw_setup setup = *healthy;
	for (int i = 0; i < (row->times ? row->times : 1); i++) {
		double *x = jw_double_at(&setup, row->element + (size_t)i * row->stride);
		*x = changed(healthy, row, *x, severity);
	}
	jw_keep_rod_in_jet(&setup.carburetor);
	*faulty = setup;
	return JW_OK;
}
