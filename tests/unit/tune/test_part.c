/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Brass that restores a mixture, and the changes that owners make. */
#include "bundled.h"

/* A part of an engine at the point where it tells, and another value that it might have. */
static const struct {
	const char *engine;
	jw_part part;
	jw_range range;
	double change; /* share of its value; turns or mm are added */
} told[] = {
    {"courier-150", JW_PART_MAIN_JET, JW_FULL, 1.13},
    {"courier-150", JW_PART_MAIN_JET, JW_HALF, 0.91},
    {"courier-150", JW_PART_PILOT_JET, JW_IDLE, 0.83},
    {"courier-150", JW_PART_MAIN_AIR_JET, JW_HALF, 1.6},
    {"courier-150", JW_PART_PILOT_AIR_JET, JW_IDLE, 0.72},
    {"courier-150", JW_PART_MIXTURE_SCREW, JW_IDLE, 0.61},
    {"courier-150", JW_PART_NEEDLE_POSITION, JW_QUARTER, 0.47e-3},
    {"moped-50", JW_PART_MIXTURE_SCREW, JW_IDLE, 0.61},
    {"moped-50", JW_PART_MAIN_JET, JW_FULL, 0.92},
    {"trail-250", JW_PART_PILOT_JET, JW_OFF_IDLE, 1.21},
    {"trail-250", JW_PART_NEEDLE_POSITION, JW_HALF, -0.8e-3},
    {"pump-200", JW_PART_MAIN_JET, JW_FULL, 1.08},
    {"pump-200", JW_PART_PILOT_AIR_JET, JW_IDLE, 1.3},
    {"estate-1100", JW_PART_MAIN_JET, JW_THREE_QUARTER, 0.94},
    {"estate-1100", JW_PART_PILOT_JET, JW_IDLE, 1.3},
};

static double changed_value(size_t row, double stock)
{
	int adds = told[row].part == JW_PART_MIXTURE_SCREW || told[row].part == JW_PART_NEEDLE_POSITION;
	return adds ? stock + told[row].change : stock * told[row].change;
}

Test(part, is_found_again_from_the_mixture_that_it_gives)
{
	const jw_air air = air_of(99.1e3, 290.2, 0.6);
	for (size_t i = 0; i < sizeof told / sizeof *told; i++) {
		const jw_setup stock = bundled(told[i].engine);
		jw_setup changed = stock;
		const jw_point *point = &stock.range[told[i].range];
		double wanted = changed_value(i, jw_part_value(&stock, told[i].part)), found = 0;
		cr_assert_eq(jw_part_set(&changed, told[i].part, wanted, NULL), JW_OK, "row %zu", i);
		cr_expect_eq(jw_part_value(&changed, told[i].part), wanted);
		double phi = mixture_of(&changed, &air, point).phi;
		cr_expect(fabs(phi / mixture_of(&stock, &air, point).phi - 1) > 0.005, "row %zu tells little", i);
		jw_status status = jw_part_for_phi(&stock, &air, point, told[i].part, phi, &found, NULL);
		cr_assert_eq(status, JW_OK, "row %zu: %s", i, jw_status_name(status));
		JW_NEAR_ABS(found, wanted, 1e-6 * fmax(fabs(wanted), 1e-3));
	}
}

/* A main jet is sought no narrower than the rod that goes through it, thin as that is where the mixture is wanted. */
Test(part, a_rod_bounds_its_jet)
{
	const jw_air air = mild_air();
	jw_setup s = bundled("estate-1100"), narrow;
	const double bore_m = s.carburetor.main.fuel_jet.diameter_m;
	s.carburetor.rod.lean_m = 0.9 * bore_m;
	for (double share = 0.85; share < 0.96; share += 0.1) {
		narrow = s;
		narrow.carburetor.main.fuel_jet.diameter_m = share * bore_m;
		const double phi = phi_at(&narrow, &air, JW_FULL);
		double found = 7;
		jw_error error = {0};
		jw_status status = jw_part_for_phi(&s, &air, &s.range[JW_FULL], JW_PART_MAIN_JET, phi, &found, &error);
		if (share > 0.9) {
			cr_expect_eq(status, JW_OK);
			JW_NEAR_REL(found, share * bore_m, 1e-6);
		} else {
			cr_expect_eq(status, JW_E_NO_ROOT);
			cr_expect(error.low == s.carburetor.rod.lean_m && found == 7, "%g: %g", error.low, found);
		}
	}
}

Test(part, out_of_reach_is_said)
{
	const jw_air air = mild_air();
	const jw_setup s = scooter();
	static const struct {
		jw_part part;
		jw_range range;
		double phi;
		jw_status status;
		const char *field;
	} rows[] = {
	    {JW_PART_MAIN_JET, JW_IDLE, 1.3, JW_E_NO_ROOT, "main_jet"}, /* has no say there */
	    {JW_PART_MAIN_JET, JW_FULL, 9.9, JW_E_NO_ROOT, "main_jet"},
	    {JW_PART_PILOT_JET, JW_FULL, 0.5, JW_E_NO_ROOT, "pilot_jet"},
	    {JW_PART_MIXTURE_SCREW, JW_IDLE, 6, JW_E_NO_ROOT, "mixture_screw"},
	    {JW_PART_NEEDLE_POSITION, JW_IDLE, 1, JW_E_NO_ROOT, "needle_position"},
	    {JW_PART_MAIN_JET, JW_FULL, 0.009, JW_E_RANGE, "phi"},
	    {JW_PART_MAIN_JET, JW_FULL, 10.1, JW_E_RANGE, "phi"},
	    {JW_PART_MAIN_JET, JW_FULL, NAN, JW_E_NOT_FINITE, "phi"},
	    {JW_PART_COUNT, JW_FULL, 1, JW_E_ARGUMENT, "part"},
	    {(jw_part)-1, JW_FULL, 1, JW_E_ARGUMENT, "part"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double value = 7;
		jw_error error = {0};
		jw_status status =
		    jw_part_for_phi(&s, &air, &s.range[rows[i].range], rows[i].part, rows[i].phi, &value, &error);
		cr_expect_eq(status, rows[i].status, "row %zu: %s", i, jw_status_name(status));
		cr_assert_not_null(error.field, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu: %s", i, error.field);
		cr_expect_eq(value, 7, "row %zu", i);
	}
	/* A jet that is not there has no neighbourhood to search. */
	jw_setup shut = s;
	double none = 7;
	shut.carburetor.main.fuel_jet.diameter_m = 0;
	cr_expect_eq(jw_part_for_phi(&shut, &air, &s.range[JW_FULL], JW_PART_MAIN_JET, 1, &none, NULL), JW_E_NO_ROOT);
	cr_expect_eq(none, 7);
	/* A point that cannot be solved is told as such, not as out of reach. */
	const jw_point nowhere = {60, 1.5, 0};
	double value = 7;
	cr_expect_eq(jw_part_for_phi(&s, &air, &nowhere, JW_PART_MAIN_JET, 1, &value, NULL), JW_E_RANGE);
	cr_expect_eq(value, 7);
}

Test(part, has_a_word_and_limits)
{
	static const char *const words[] = {"main_jet",      "pilot_jet",     "main_air_jet",
	                                    "pilot_air_jet", "mixture_screw", "needle_position"};
	static const double too_small[] = {0.09e-3, 0.09e-3, -1e-9, -1e-9, -0.01, -4.01e-3};
	static const double too_large[] = {5.01e-3, 3.01e-3, 5.01e-3, 5.01e-3, 6.01, 4.01e-3};
	cr_assert_eq((int)(sizeof words / sizeof *words), (int)JW_PART_COUNT);
	const jw_setup stock = scooter();
	const jw_carburetor *c = &stock.carburetor;
	const double values[] = {c->main.fuel_jet.diameter_m,
	                         c->pilot.fuel_jet.diameter_m,
	                         c->main.air_jet.diameter_m,
	                         c->pilot.air_jet.diameter_m,
	                         c->screw.turns,
	                         c->needle.raised_m};
	for (int part = 0; part < JW_PART_COUNT; part++) {
		jw_setup s = stock;
		jw_error error = {0};
		cr_expect_str_eq(jw_part_name((jw_part)part), words[part]);
		cr_expect_eq(jw_part_value(&s, (jw_part)part), values[part]);
		cr_expect_eq(jw_part_set(&s, (jw_part)part, too_small[part], &error), JW_E_RANGE);
		cr_expect_str_eq(error.field, words[part]);
		cr_expect_eq(jw_part_set(&s, (jw_part)part, too_large[part], &error), JW_E_RANGE);
		cr_expect_eq(jw_part_set(&s, (jw_part)part, NAN, &error), JW_E_NOT_FINITE);
		cr_expect_eq(jw_part_value(&s, (jw_part)part), values[part]);
	}
	jw_setup s = stock;
	jw_error error = {0};
	cr_expect_null(jw_part_name(JW_PART_COUNT));
	cr_expect_null(jw_part_name((jw_part)-1));
	cr_expect_eq(jw_part_value(&s, JW_PART_COUNT), 0);
	cr_expect_eq(jw_part_set(&s, JW_PART_COUNT, 1e-3, &error), JW_E_ARGUMENT);
	cr_expect_str_eq(error.field, "part");
}

/* An open filter leaves little of the loss, a freer exhaust fills better; each leans an engine whose bowl is open to
 * the atmosphere, and nothing else in the set-up moves. */
Test(change, does_what_its_word_says)
{
	const jw_air air = mild_air();
	const jw_setup stock = scooter();
	static const char *const words[] = {"filter_open", "exhaust_freer"};
	for (int kind = 0; kind < JW_CHANGE_KIND_COUNT; kind++) {
		jw_setup s = stock;
		cr_expect_str_eq(jw_change_name((jw_change_kind)kind), words[kind]);
		cr_expect(jw_change_text((jw_change_kind)kind)[0] != '\0');
		cr_assert_eq(jw_change_apply(&s, (jw_change_kind)kind, NULL), JW_OK);
		if (kind == JW_CHANGE_FILTER_OPEN) {
			cr_expect_lt(s.carburetor.intake.loss_pa, 0.5 * stock.carburetor.intake.loss_pa);
			cr_expect_lt(phi_at(&s, &air, JW_FULL), phi_at(&stock, &air, JW_FULL));
			cr_expect_eq(s.engine.ve[0], stock.engine.ve[0]);
		} else {
			double ratio = s.engine.ve[0] / stock.engine.ve[0];
			for (int i = 0; i < stock.engine.ve_points; i++)
				JW_NEAR_REL(s.engine.ve[i] / stock.engine.ve[i], ratio, 1e-12);
			cr_expect(ratio > 1 && ratio < 1.2);
			cr_expect_gt(mixture_of(&s, &air, &s.range[JW_FULL]).air_kg_s,
			             mixture_of(&stock, &air, &stock.range[JW_FULL]).air_kg_s);
			cr_expect_eq(s.carburetor.intake.loss_pa, stock.carburetor.intake.loss_pa);
		}
	}
	jw_setup s = stock;
	jw_error error = {0};
	cr_expect_eq(jw_change_apply(&s, JW_CHANGE_KIND_COUNT, &error), JW_E_ARGUMENT);
	cr_expect_str_eq(error.field, "change");
	cr_expect_null(jw_change_name(JW_CHANGE_KIND_COUNT));
	cr_expect_null(jw_change_text(JW_CHANGE_KIND_COUNT));
}

/* What the point lacks is no fault of the part. */
Test(part, an_error_of_the_point_is_handed_on)
{
	const jw_air air = mild_air();
	const jw_setup s = scooter();
	const struct {
		jw_point point;
		jw_status status;
		const char *field;
	} rows[] = {{{100, 2, 0}, JW_E_RANGE, "throttle"},
	            {{100, NAN, 0}, JW_E_NOT_FINITE, "throttle"},
	            {{0, 1, 0}, JW_E_RANGE, "speed_rev_s"}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_error error = {0};
		double value = 7;
		cr_expect_eq(jw_part_for_phi(&s, &air, &rows[i].point, JW_PART_MAIN_JET, 1, &value, &error), rows[i].status);
		cr_expect_str_eq(error.field, rows[i].field);
		cr_expect_eq(error.status, rows[i].status);
		cr_expect_eq(value, 7);
		cr_expect_eq(jw_part_for_phi(&s, &air, &rows[i].point, JW_PART_MAIN_JET, 1, &value, NULL), rows[i].status);
	}
}
