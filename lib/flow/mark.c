/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <jetwright/jet.h>

#include "flow/check.h"

#include <float.h>

#define INCH 0.0254
#define CC_MIN (1e-6 / 60)

/* Twist drills in ten-thousandths of an inch, ANSI B94.11M; 53 to 50 from memory. */
#define FIRST_DRILL 50
#define LAST_DRILL 80
static const int drill[LAST_DRILL - FIRST_DRILL + 1] = {
    700, 670, 635, 595, 550, 520, 465, 430, 420, 410, /* 50 to 59 */
    400, 390, 380, 370, 360, 350, 330, 320, 310, 292, /* 60 to 69 */
    280, 260, 250, 240, 225, 210, 200, 180, 160, 145, /* 70 to 79 */
    135,                                              /* 80 */
};

static double drill_bore(int number)
{
	return 1e-4 * INCH * drill[number - FIRST_DRILL];
}

/* ---- each kind, there and back ---- */

static jw_status scaled(double bore_m, double *result, jw_error *error)
{
	jw_status status = jw_check_range("bore_m", bore_m, JW_SMALLEST_JET_M, JW_LARGEST_JET_M, error);
	if (status == JW_OK)
		*result = bore_m;
	return status;
}

static jw_status hundredths_bore(double mark, const jw_flow_bench *bench, double *bore_m, jw_error *error)
{
	(void)bench;
	return scaled(mark * 1e-5, bore_m, error);
}

static jw_status hundredths_mark(double bore_m, const jw_flow_bench *bench, double *mark, jw_error *error)
{
	(void)bench, (void)error;
	*mark = bore_m / 1e-5;
	return JW_OK;
}

static jw_status thousandths_bore(double mark, const jw_flow_bench *bench, double *bore_m, jw_error *error)
{
	(void)bench;
	return scaled(mark * 1e-3 * INCH, bore_m, error);
}

static jw_status thousandths_mark(double bore_m, const jw_flow_bench *bench, double *mark, jw_error *error)
{
	(void)bench, (void)error;
	*mark = bore_m / (1e-3 * INCH);
	return JW_OK;
}

static jw_status numbered_bore(double mark, const jw_flow_bench *bench, double *bore_m, jw_error *error)
{
	(void)bench;
	jw_status status = jw_check_range("mark", mark, FIRST_DRILL, LAST_DRILL, error);
	if (status == JW_OK && mark != floor(mark))
		status = jw_fail(error, JW_E_NOT_FOUND, "mark", mark, floor(mark), ceil(mark));
	if (status == JW_OK)
		*bore_m = drill_bore((int)mark);
	return status;
}

static jw_status numbered_mark(double bore_m, const jw_flow_bench *bench, double *mark, jw_error *error)
{
	(void)bench;
	jw_status status = jw_check_range("bore_m", bore_m, drill_bore(LAST_DRILL), drill_bore(FIRST_DRILL), error);
	if (status < 0)
		return status;
	int nearest = FIRST_DRILL;
	for (int number = FIRST_DRILL; number <= LAST_DRILL; number++)
		if (fabs(drill_bore(number) - bore_m) < fabs(drill_bore(nearest) - bore_m))
			nearest = number;
	*mark = nearest;
	return JW_OK;
}

static jw_status flow_bore(double mark, const jw_flow_bench *bench, double *bore_m, jw_error *error)
{
	if (!bench)
		return jw_fail(error, JW_E_ARGUMENT, "bench", 0, 0, 0);
	return jw_bore_for_liquid_flow(&bench->jet, &bench->liquid, bench->drop_pa,
	                               mark * CC_MIN * bench->liquid.density_kg_m3, bore_m, error);
}

static jw_status flow_mark(double bore_m, const jw_flow_bench *bench, double *mark, jw_error *error)
{
	if (!bench)
		return jw_fail(error, JW_E_ARGUMENT, "bench", 0, 0, 0);
	jw_orifice jet = bench->jet;
	double kg_s;
	jet.diameter_m = bore_m;
	jw_status status = jw_check_range("drop_pa", bench->drop_pa, DBL_MIN, 1e9, error);
	if (status == JW_OK)
		status = jw_check_shape(&jet, error);
	if (status == JW_OK)
		status = jw_check_liquid(&bench->liquid, error);
	if (status < 0)
		return status;
	status = jw_liquid_mass_flow(&jet, &bench->liquid, bench->drop_pa, &kg_s);
	if (status < 0)
		return jw_fail(error, status, "bore_m", bore_m, JW_SMALLEST_JET_M, JW_LARGEST_JET_M);
	*mark = kg_s / (bench->liquid.density_kg_m3 * CC_MIN);
	return status;
}

static const struct kind_row {
	const char *word;
	double step; /* of the marks that are made */
	jw_status (*bore)(double mark, const jw_flow_bench *bench, double *bore_m, jw_error *error);
	jw_status (*mark)(double bore_m, const jw_flow_bench *bench, double *mark, jw_error *error);
} kind_rows[JW_MARK_KIND_COUNT] = {
    [JW_MARK_HUNDREDTHS_MM] = {"hundredths_mm", 0.5, hundredths_bore, hundredths_mark},
    [JW_MARK_THOUSANDTHS_IN] = {"thousandths_in", 0.5, thousandths_bore, thousandths_mark},
    [JW_MARK_NUMBER_DRILL] = {"number_drill", 1, numbered_bore, numbered_mark},
    [JW_MARK_FLOW_CC_MIN] = {"flow_cc_min", 1, flow_bore, flow_mark},
};

static const struct kind_row *row_of(jw_mark_kind kind, jw_error *error)
{
	if ((unsigned)kind < JW_MARK_KIND_COUNT)
		return &kind_rows[kind];
	jw_fail(error, JW_E_ARGUMENT, "kind", (double)kind, 0, JW_MARK_KIND_COUNT - 1);
	return NULL;
}

const char *jw_mark_name(jw_mark_kind kind)
{
	const struct kind_row *row = row_of(kind, NULL);
	return row ? row->word : NULL;
}

jw_status jw_mark_bore(jw_mark_kind kind, double mark, const jw_flow_bench *bench, double *bore_m, jw_error *error)
{
	const struct kind_row *row = row_of(kind, error);
	return row ? row->bore(mark, bench, bore_m, error) : JW_E_ARGUMENT;
}

jw_status jw_mark_nearest(jw_mark_kind kind, double bore_m, const jw_flow_bench *bench, double *mark,
                          double *difference_m, jw_error *error)
{
	const struct kind_row *row = row_of(kind, error);
	double exact, bore_of_mark;
	if (!row)
		return JW_E_ARGUMENT;
	jw_status status = jw_check_range("bore_m", bore_m, JW_SMALLEST_JET_M, JW_LARGEST_JET_M, error);
	if (status == JW_OK)
		status = row->mark(bore_m, bench, &exact, error);
	if (status < 0)
		return status;
	/* The least that can be stamped: 0 is no jet. */
	const double nearest = row->step * fmax(1, round(exact / row->step));
	jw_status back = row->bore(nearest, bench, &bore_of_mark, error);
	if (back < 0)
		return back;
	*mark = nearest;
	*difference_m = bore_of_mark - bore_m;
	return status | back;
}
