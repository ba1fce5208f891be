/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The limits that flow.h states. */
#include "limits.h"
#include <jetwright/flow.h>

/* A jet, a liquid and one number more. */
typedef struct question {
	jw_orifice jet;
	jw_liquid_flow liquid;
	double drop_pa, kg_s, length_m;
} question;

static question put(int which, double value)
{
	question q = {{0.5e-3, 1.5e-3, 0}, {745, 0.57e-6}, 2e3, 1e-4, 0.4};
	double *const member[] = {
	    &q.jet.diameter_m, &q.jet.length_m, &q.jet.coefficient, &q.liquid.density_kg_m3, &q.liquid.viscosity_m2_s,
	    &q.drop_pa,        &q.kg_s,         &q.length_m};
	*member[which] = value;
	return q;
}

#define JET(bore)                                                                                                      \
	{bore, JW_LEAST_BORE_M, 1}, {"length_m", 0, 1}, {"coefficient", 0, 10}, {"density_kg_m3", 1, 1e5},                 \
	{                                                                                                                  \
		"viscosity_m2_s", 1e-9, 1                                                                                      \
	}

static jw_status restrict_it(int which, double value, jw_error *error)
{
	const question q = put(which, value);
	jw_restriction r;
	return jw_restrict(&q.jet, JW_BLOCKED_AREA, 0.3, &q.liquid, q.drop_pa, &r, error);
}

Test(limits, of_a_restriction)
{
	const limits rows[] = {JET("diameter_m"), {"drop_pa", 1e-3, 1e7}};
	hold_limits(restrict_it, rows, sizeof rows / sizeof *rows);
}

static jw_status drop_it(int which, double value, jw_error *error)
{
	const question q = put(which, value);
	double drop_pa;
	return jw_liquid_drop(&q.jet, &q.liquid, q.kg_s, &drop_pa, error);
}

Test(limits, of_a_drop)
{
	const limits rows[] = {JET("diameter_m")};
	hold_limits(drop_it, rows, sizeof rows / sizeof *rows);
	jw_error error = {0};
	for (int sign = -1; sign <= 1; sign += 2) {
		cr_expect(drop_it(6, sign * 1e3, &error) >= 0);
		cr_expect_eq(drop_it(6, sign * 1000.001, &error), JW_E_RANGE);
		cr_expect(!strcmp(error.field, "kg_s") && error.high == 1e3);
	}
}
