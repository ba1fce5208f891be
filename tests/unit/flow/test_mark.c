/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is stamped on jets. The drills of the table are compared with outside values in tests/published. */
#include "draw.h"
#include "near.h"
#include <jetwright/jet.h>
#include <stdio.h>
#include <string.h>

static const jw_flow_bench bench = {{0, 2e-3, 0}, {744.1, 0.58e-6}, 3.65e3};

static jw_status bore_of(jw_mark_kind kind, double mark, double *bore_m)
{
	return jw_mark_bore(kind, mark, &bench, bore_m, NULL);
}

Test(mark, is_what_it_says)
{
	double bore = 0;
	cr_assert_eq(bore_of(JW_MARK_HUNDREDTHS_MM, 37.5, &bore), JW_OK);
	JW_NEAR_REL(bore, 0.375e-3, 1e-14);
	cr_assert_eq(bore_of(JW_MARK_THOUSANDTHS_IN, 41, &bore), JW_OK);
	JW_NEAR_REL(bore, 1.0414e-3, 1e-14);
	cr_assert_eq(bore_of(JW_MARK_NUMBER_DRILL, 60, &bore), JW_OK);
	JW_NEAR_REL(bore, 1.016e-3, 1e-14);
}

/* Every number of the table, as published. */
Test(mark, of_a_drill_is_the_published_one)
{
	char line[256];
	int number, seen[128] = {0}, rows = 0;
	double inch, bore;
	FILE *file = fopen(JW_SOURCE_DIR "/tests/published/drills.csv", "r");
	cr_assert(file);
	while (fgets(line, sizeof line, file)) {
		const char *told = strstr(line, "number=");
		if (!told || sscanf(told, "number=%d,%lf,in", &number, &inch) != 2)
			continue;
		cr_assert(number >= 50 && number <= 80 && !seen[number]++, "%d", number);
		cr_assert_eq(bore_of(JW_MARK_NUMBER_DRILL, number, &bore), JW_OK);
		JW_NEAR_REL(bore, 0.0254 * inch, 1e-12);
		rows++;
	}
	fclose(file);
	cr_expect_eq(rows, 31);
}

/* By the law of the bench, whatever that is. */
Test(mark, by_flow_passes_that_flow)
{
	for (int i = 1; i < 60; i++) {
		double kg_s = 0;
		jw_orifice jet = bench.jet;
		cr_assert(bore_of(JW_MARK_FLOW_CC_MIN, 7.3 * i, &jet.diameter_m) >= 0);
		cr_assert(jw_liquid_mass_flow(&jet, &bench.liquid, bench.drop_pa, &kg_s) >= 0);
		JW_NEAR_REL(kg_s / bench.liquid.density_kg_m3 * 60e6, 7.3 * i, 1e-9);
	}
}

/* No other mark of its kind lies nearer, and the difference is that of the bore that the mark stands for. */
Test(mark, nearest_is_nearest)
{
	static const double step[] = {0.5, 0.5, 1, 1};
	draw d = {715};
	for (int i = 0; i < 2000; i++) {
		jw_mark_kind kind = (jw_mark_kind)(i % JW_MARK_KIND_COUNT);
		double bore = draw_between(&d, 0.36e-3, 1.76e-3), mark, difference, again;
		cr_assert(jw_mark_nearest(kind, bore, &bench, &mark, &difference, NULL) >= 0);
		cr_assert(bore_of(kind, mark, &again) >= 0);
		JW_NEAR_ABS(again - bore, difference, 1e-18);
		for (int side = -1; side <= 1; side += 2) {
			double other;
			if (bore_of(kind, mark + side * step[kind], &other) < 0)
				continue;
			/* Flows are rounded as flows: their bores lie a little unevenly. */
			double slack = kind == JW_MARK_FLOW_CC_MIN ? 0.01 * fabs(other - again) : 0;
			cr_expect(fabs(difference) <= fabs(other - bore) + slack, "row %d", i);
		}
	}
}

Test(mark, of_a_bore_that_has_it_exactly_differs_by_nothing)
{
	for (int number = 50; number <= 80; number++) {
		double bore = 0, mark = 0, difference = 1;
		cr_assert_eq(bore_of(JW_MARK_NUMBER_DRILL, number, &bore), JW_OK);
		cr_assert_eq(jw_mark_nearest(JW_MARK_NUMBER_DRILL, bore, NULL, &mark, &difference, NULL), JW_OK);
		cr_expect_eq(mark, number);
		cr_expect_eq(difference, 0);
	}
}

Test(mark, refuses_what_there_is_not)
{
	double bore = 0.8e-3, mark = 17, difference = 3;
	jw_error error = {0};
	cr_expect_eq(jw_mark_bore(JW_MARK_NUMBER_DRILL, 81, NULL, &bore, &error), JW_E_RANGE);
	cr_expect_eq(error.high, 80);
	cr_expect_eq(jw_mark_bore(JW_MARK_NUMBER_DRILL, 60.5, NULL, &bore, &error), JW_E_NOT_FOUND);
	cr_expect_eq(jw_mark_bore(JW_MARK_HUNDREDTHS_MM, 0, NULL, &bore, &error), JW_E_RANGE);
	cr_expect_eq(jw_mark_bore(JW_MARK_HUNDREDTHS_MM, NAN, NULL, &bore, &error), JW_E_NOT_FINITE);
	cr_expect_eq(jw_mark_bore(JW_MARK_FLOW_CC_MIN, 120, NULL, &bore, &error), JW_E_ARGUMENT);
	cr_expect(error.value == 0 && error.low == 0 && error.high == 0, "no limits of what is not there");
	cr_expect_str_eq(error.field, "bench");
	cr_expect_eq(jw_mark_bore(JW_MARK_FLOW_CC_MIN, 1e9, &bench, &bore, &error), JW_E_RANGE);
	cr_expect(error.high > error.low && error.high < 1, "what 20 mm passes, in kg/s");
	cr_expect_eq(jw_mark_bore(JW_MARK_KIND_COUNT, 120, &bench, &bore, &error), JW_E_ARGUMENT);
	cr_expect_eq(jw_mark_nearest(JW_MARK_NUMBER_DRILL, 1.9e-3, NULL, &mark, &difference, &error), JW_E_RANGE);
	cr_expect_str_eq(error.field, "bore_m");
	cr_expect_eq(error.value, 1.9e-3);
	cr_expect_eq(jw_mark_nearest(JW_MARK_HUNDREDTHS_MM, -1e-3, NULL, &mark, &difference, &error), JW_E_RANGE);
	static const char *const members[] = {"drop_pa", "density_kg_m3", "viscosity_m2_s", "length_m", "coefficient"};
	for (int i = 0; i < 5; i++) {
		jw_flow_bench none = bench;
		double *const member[] = {&none.drop_pa, &none.liquid.density_kg_m3, &none.liquid.viscosity_m2_s,
		                          &none.jet.length_m, &none.jet.coefficient};
		*member[i] = NAN;
		error = (jw_error){0};
		cr_expect_eq(jw_mark_nearest(JW_MARK_FLOW_CC_MIN, 1e-3, &none, &mark, &difference, &error), JW_E_NOT_FINITE);
		cr_expect(error.field && !strcmp(error.field, members[i]), "%s", members[i]);
	}
	cr_expect(bore == 0.8e-3 && mark == 17 && difference == 3, "outputs untouched");
	cr_expect_null(jw_mark_name(JW_MARK_KIND_COUNT));
	cr_expect_str_eq(jw_mark_name(JW_MARK_FLOW_CC_MIN), "flow_cc_min");
}
