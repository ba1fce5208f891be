/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is no part, passage, change or kind is refused, and the error tells those that there are. */
#include "limits.h"
#include "bundled.h"
#include <jetwright/tune.h>

Test(limits, of_what_is_numbered)
{
	const jw_air air = mild_air();
	jw_setup s = bundled("courier-150"), changed;
	const jw_point *idle = &s.range[JW_IDLE];
	jw_passage_left left;
	double value;
	JW_REFUSED(jw_change_apply(&s, JW_CHANGE_KIND_COUNT, &error), JW_E_ARGUMENT, "change", JW_CHANGE_KIND_COUNT, 0,
	           JW_CHANGE_KIND_COUNT - 1);
	JW_REFUSED(jw_part_set(&s, JW_PART_COUNT, 1e-3, &error), JW_E_ARGUMENT, "part", JW_PART_COUNT, 0,
	           JW_PART_COUNT - 1);
	JW_REFUSED(jw_part_for_phi(&s, &air, idle, JW_PART_COUNT, 1, &value, &error), JW_E_ARGUMENT, "part", JW_PART_COUNT,
	           0, JW_PART_COUNT - 1);
	JW_REFUSED(jw_passage_shut(&s, JW_PASSAGE_COUNT, 0.5, &changed, &error), JW_E_ARGUMENT, "passage", JW_PASSAGE_COUNT,
	           0, JW_PASSAGE_COUNT - 1);
	JW_REFUSED(jw_passage_restrict(&s, &air, JW_PASSAGE_COUNT, idle, JW_FILM, 1e-5, &left, &error), JW_E_ARGUMENT,
	           "passage", JW_PASSAGE_COUNT, 0, JW_PASSAGE_COUNT - 1);
	JW_REFUSED(jw_passage_restrict(&s, &air, JW_PASSAGE_MAIN_JET, idle, JW_FLOW_SHARE + 1, 0.5, &left, &error),
	           JW_E_ARGUMENT, "kind", JW_FLOW_SHARE + 1, JW_FILM, JW_FLOW_SHARE);
}

/* Another bore cannot bring such a mixture: between which it was sought. */
Test(limits, of_a_part_for_a_mixture)
{
	const jw_air air = mild_air();
	const jw_setup s = bundled("courier-150");
	const double bore = s.carburetor.main.fuel_jet.diameter_m;
	jw_error error = {0};
	double value = 7;
	cr_expect_eq(jw_part_for_phi(&s, &air, &s.range[JW_FULL], JW_PART_MAIN_JET, 9.9, &value, &error), JW_E_NO_ROOT);
	cr_expect(!strcmp(error.field, "main_jet") && error.value == bore && value == 7);
	cr_expect(error.low > 0 && error.low < bore && error.high > bore && error.high <= 5e-3, "%g to %g", error.low,
	          error.high);
}

Test(limits, of_readings)
{
	const jw_setup s = bundled("courier-150");
	const jw_reading reading = {
	    .kind = JW_READING_LAMBDA, .air = mild_air(), .point = s.range[JW_FULL], .value = NAN, .uncertainty = 0.01};
	const jw_reading readings[] = {reading, reading, reading};
	jw_fit found;
	JW_REFUSED(jw_fit_readings(&s, readings, 0, &found, NULL, &error), JW_E_RANGE, "readings", 0, 1, INFINITY);
	JW_REFUSED(jw_fit_readings(&s, readings, 3, &found, NULL, &error), JW_E_NOT_FINITE, "reading", 0, 0, 2);
}
