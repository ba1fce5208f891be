/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One bore with liquid: limits of the law, closed forms, and the inverses. */
#include "base/base.h"
#include "draw.h"
#include "near.h"
#include <jetwright/flow.h>

#define DRAWS 2000

static const jw_liquid_flow petrol = {741.3, 0.57e-6};

static double area_of(double bore_m)
{
	return JW_PI * bore_m * bore_m / 4;
}

static double drop_for_reynolds(double reynolds, double bore_m, const jw_liquid_flow *liquid)
{
	double speed = reynolds * liquid->viscosity_m2_s / bore_m;
	return 0.5 * liquid->density_kg_m3 * speed * speed;
}

/* Bores, lengths, liquids and drops as jets have them and well beyond. */
typedef struct jet_draw {
	jw_orifice jet;
	jw_liquid_flow liquid;
	double drop_pa;
} jet_draw;

static jet_draw any_jet(draw *d)
{
	double bore = exp(draw_between(d, log(0.1e-3), log(6e-3)));
	double measured = draw_unit(d) < 0.3 ? draw_between(d, 0.4, 0.98) : 0;
	return (jet_draw){{bore, bore * draw_between(d, 0.0, 40.0), measured},
	                  {draw_between(d, 650, 1000), exp(draw_between(d, log(0.3e-6), log(60e-6)))},
	                  exp(draw_between(d, log(1e-2), log(1e5)))};
}

/* As Re falls to nothing 1/Cd becomes (20/Re)(1 + 2.25 L/d) (Lichtarowicz, Duggins and Markland, 1965): a flow in
 * proportion to the drop. What is left out is 1/Cd of turbulent flow. */
Test(liquid, creeping_flow_is_linear_in_the_drop)
{
	const double ratios[] = {2, 3.7, 9.3, 21};
	const double bore = 0.43e-3, reynolds = 1e-3;
	for (size_t i = 0; i < sizeof ratios / sizeof *ratios; i++) {
		const jw_orifice jet = {bore, ratios[i] * bore, 0};
		double drop = drop_for_reynolds(reynolds, bore, &petrol), once = 0, thrice = 0;
		cr_expect_eq(jw_liquid_mass_flow(&jet, &petrol, drop, &once), JW_W_EXTRAPOLATED);
		cr_expect_eq(jw_liquid_mass_flow(&jet, &petrol, 3 * drop, &thrice), JW_W_EXTRAPOLATED);
		double left_out = 2 * reynolds / (0.6 * 20 * (1 + 2.25 * ratios[i]));
		double linear = area_of(bore) * bore * drop / (10 * petrol.viscosity_m2_s * (1 + 2.25 * ratios[i]));
		JW_NEAR_REL(once, linear, left_out);
		JW_NEAR_REL(thrice, 3 * linear, left_out);
	}
}

/* Far up only the turbulent term is left, and flow goes with the root of the drop. */
Test(liquid, fast_flow_goes_with_the_root_of_the_drop)
{
	const double bore = 1.13e-3;
	const jw_orifice jet = {bore, 2.6 * bore, 0};
	double drop = drop_for_reynolds(1e9, bore, &petrol), once = 0, fourfold = 0;
	jw_liquid_mass_flow(&jet, &petrol, drop, &once);
	jw_liquid_mass_flow(&jet, &petrol, 4 * drop, &fourfold);
	JW_NEAR_REL(fourfold, 2 * once, 1e-3);
	JW_NEAR_REL(once, (0.827 - 0.0085 * 2.6) * area_of(bore) * sqrt(2 * petrol.density_kg_m3 * drop), 1e-3);
}

Test(liquid, law_says_where_it_was_not_fitted)
{
	static const struct {
		double reynolds, length_ratio;
		jw_status status;
	} rows[] = {
	    {10, 2, JW_OK},
	    {9.999, 4, JW_W_EXTRAPOLATED},
	    {2e4, 10, JW_OK},
	    {2.0001e4, 4, JW_W_EXTRAPOLATED},
	    {873, 1.999, JW_W_EXTRAPOLATED},
	    {873, 10.001, JW_W_EXTRAPOLATED},
	    {0, 4, JW_W_EXTRAPOLATED},
	    {-1e-9, 4, JW_E_RANGE},
	    {873, -1e-9, JW_E_RANGE},
	    {INFINITY, 4, JW_E_RANGE},
	    {NAN, 4, JW_E_RANGE},
	    {873, INFINITY, JW_E_RANGE},
	    {873, NAN, JW_E_RANGE},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double cd = -7;
		jw_status status = jw_discharge_coefficient(rows[i].reynolds, rows[i].length_ratio, &cd);
		cr_expect_eq(status, rows[i].status, "row %zu: %s", i, jw_status_name(status));
		cr_expect(status < 0 ? cd == -7 : cd >= 0 && cd < 1, "row %zu: Cd %g", i, cd);
	}
	/* A bore shorter than two diameters is read as one of two, and no limit is a jump. */
	static const double steps[][4] = {{873, 1.2, 873, 2},
	                                  {10, 4, 9.9999999, 4},
	                                  {2e4, 4, 20000.0001, 4},
	                                  {873, 10, 873, 10.0000001},
	                                  {873, 30, 873, 30.0000001}};
	for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
		double one = 0, other = 0;
		jw_discharge_coefficient(steps[i][0], steps[i][1], &one);
		jw_discharge_coefficient(steps[i][2], steps[i][3], &other);
		JW_NEAR_REL(other, one, 1e-7);
	}
}

/* What is not finite or negative passes nothing and is told; no bore is none. */
Test(liquid, odd_passages_are_refused)
{
	static const struct {
		jw_orifice orifice;
		double drop_pa;
		jw_status status;
	} rows[] = {
	    {{0, 1e-3, 0.7}, 1e3, JW_OK},
	    {{1e-3, 1e-3, 0.7}, 0, JW_OK},
	    {{-1e-3, 1e-3, 0.7}, 1e3, JW_E_RANGE},
	    {{NAN, 1e-3, 0.7}, 1e3, JW_E_RANGE},
	    {{INFINITY, 1e-3, 0.7}, 1e3, JW_E_RANGE},
	    {{1e-3, -1e-3, 0}, 1e3, JW_E_RANGE},
	    {{1e-3, 1e-3, -0.7}, 1e3, JW_E_RANGE},
	    {{1e-3, 1e-3, INFINITY}, 1e3, JW_E_RANGE},
	    {{1e-3, 1e-3, NAN}, 1e3, JW_E_RANGE},
	    {{1e-3, 1e-3, 0.7}, NAN, JW_E_RANGE},
	};
	const jw_gas air = {293, 287, 1.8e-5};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double liquid = -7, gas = -7;
		cr_expect_eq(jw_liquid_mass_flow(&rows[i].orifice, &petrol, rows[i].drop_pa, &liquid), rows[i].status,
		             "row %zu", i);
		cr_expect_eq(jw_gas_orifice_flow(&rows[i].orifice, &air, 1e5, 1e5 - rows[i].drop_pa, &gas), rows[i].status,
		             "row %zu", i);
		cr_expect(liquid == (rows[i].status ? -7 : 0) && gas == liquid, "row %zu: %g, %g", i, liquid, gas);
	}
}

Test(liquid, flow_rises_with_the_drop_and_turns_with_it)
{
	draw d = {965381};
	for (int i = 0; i < DRAWS; i++) {
		jet_draw j = any_jet(&d);
		double less = 0, more = 0, back = 0, ideal;
		jw_status status = jw_liquid_mass_flow(&j.jet, &j.liquid, j.drop_pa, &less);
		cr_assert(status >= 0);
		cr_expect_eq(jw_liquid_mass_flow(&j.jet, &j.liquid, -j.drop_pa, &back), status);
		cr_expect_eq(back, -less);
		jw_liquid_mass_flow(&j.jet, &j.liquid, 1.01 * j.drop_pa, &more);
		/* Between the root of the drop and the drop itself; the law's bump bends it a little below. */
		cr_expect(more > less * pow(1.01, 0.48) && more <= less * 1.01, "draw %d: %g, then %g", i, less, more);
		ideal = area_of(j.jet.diameter_m) * sqrt(2 * j.liquid.density_kg_m3 * j.drop_pa);
		if (j.jet.coefficient > 0)
			JW_NEAR_REL(less, j.jet.coefficient * ideal, 1e-14);
		cr_expect(less < ideal);
	}
}

Test(liquid, no_bore_or_no_drop_is_no_flow)
{
	const jw_orifice none = {0, 1e-3, 0}, jet = {0.4e-3, 1e-3, 0};
	double kg_s = 7;
	cr_expect_eq(jw_liquid_mass_flow(&none, &petrol, 2e3, &kg_s), JW_OK);
	cr_expect_eq(kg_s, 0);
	kg_s = 7;
	cr_expect_eq(jw_liquid_mass_flow(&jet, &petrol, 0, &kg_s), JW_OK);
	cr_expect_eq(kg_s, 0);
}

Test(liquid, drop_and_bore_come_back_from_the_flow)
{
	draw d = {77201};
	for (int i = 0; i < DRAWS; i++) {
		jet_draw j = any_jet(&d);
		double kg_s = 0, drop = 0, bore = 0;
		jw_status status = jw_liquid_mass_flow(&j.jet, &j.liquid, j.drop_pa, &kg_s);
		cr_assert_eq(jw_liquid_drop(&j.jet, &j.liquid, kg_s, &drop, NULL), status);
		JW_NEAR_REL(drop, j.drop_pa, 1e-10);
		cr_assert_eq(jw_liquid_drop(&j.jet, &j.liquid, -kg_s, &drop, NULL), status);
		JW_NEAR_REL(drop, -j.drop_pa, 1e-10);
		cr_assert_eq(jw_bore_for_liquid_flow(&j.jet, &j.liquid, j.drop_pa, kg_s, &bore, NULL), status);
		JW_NEAR_REL(bore, j.jet.diameter_m, 1e-9);
		if (j.jet.coefficient > 0)
			JW_NEAR_REL(bore,
			            sqrt(4 * kg_s / (JW_PI * j.jet.coefficient * sqrt(2 * j.liquid.density_kg_m3 * j.drop_pa))),
			            1e-9);
	}
	double drop = 7;
	const jw_orifice jet = {0.4e-3, 1e-3, 0}, ideal = {0.4e-3, 1e-3, 1};
	cr_expect_eq(jw_liquid_drop(&jet, &petrol, 0, &drop, NULL), JW_OK);
	cr_expect_eq(drop, 0);
	for (int i = 0; i < DRAWS; i++) { /* without loss: Bernoulli */
		double kg_s = exp(draw_between(&d, log(1e-7), log(1e-2)));
		cr_assert_eq(jw_liquid_drop(&ideal, &petrol, kg_s, &drop, NULL), JW_OK, "%g kg/s", kg_s);
		JW_NEAR_REL(drop, jw_square(kg_s / area_of(0.4e-3)) / (2 * petrol.density_kg_m3), 1e-12);
	}
}

/* A stated coefficient up to its limit, as is one that tells of a wider passage than the bore. */
Test(liquid, drop_of_any_stated_coefficient_comes_back)
{
	static const double stated[] = {1e-6, 0.3, 1.0, 1.2, 10.0};
	for (size_t i = 0; i < sizeof stated / sizeof *stated; i++) {
		const jw_orifice jet = {1e-3, 2e-3, stated[i]};
		double kg_s = 0, drop = 0;
		cr_assert(jw_liquid_mass_flow(&jet, &petrol, 1234, &kg_s) >= 0);
		cr_expect_eq(jw_liquid_drop(&jet, &petrol, -kg_s, &drop, NULL), JW_OK, "%g", stated[i]);
		JW_NEAR_REL(drop, -1234, 1e-12);
	}
}

/* Each wrong input is named, and the answer is left alone. */
Test(liquid, inverses_refuse_what_has_no_answer)
{
	static const struct {
		double bore_m, drop_pa, kg_s;
		int for_bore;
		const char *field;
	} rows[] = {
	    {0, 0, 1e-4, 0, "diameter_m"},    {1.5, 0, 1e-4, 0, "diameter_m"}, {0.4e-3, 0, 2e3, 0, "kg_s"},
	    {0.4e-3, 0, INFINITY, 0, "kg_s"}, {0.4e-3, 0, NAN, 0, "kg_s"},     {0, 2e3, 0, 1, "kg_s"},
	    {0, 2e3, -1e-4, 1, "kg_s"},       {0, 2e3, INFINITY, 1, "kg_s"},   {0, 0, 1e-4, 1, "drop_pa"},
	    {0, NAN, 1e-4, 1, "drop_pa"},     {0, 2e3, 10, 1, "kg_s"},         {0, 2e3, 1e-12, 1, "kg_s"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const jw_orifice jet = {rows[i].bore_m, 1e-3, 0};
		double answer = 7;
		jw_error error = {0};
		jw_status status = rows[i].for_bore
		                       ? jw_bore_for_liquid_flow(&jet, &petrol, rows[i].drop_pa, rows[i].kg_s, &answer, &error)
		                       : jw_liquid_drop(&jet, &petrol, rows[i].kg_s, &answer, &error);
		cr_assert(status < 0, "row %zu", i);
		cr_expect_eq(error.status, status, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
		cr_expect_eq(answer, 7, "row %zu", i);
	}
}

Test(liquid, inverses_refuse_what_is_no_liquid)
{
	const jw_orifice jet = {0.4e-3, 1e-3, 0};
	static const struct {
		jw_liquid_flow liquid;
		const char *field;
	} rows[] = {{{0, 0.57e-6}, "density_kg_m3"},
	            {{-741.3, 0.57e-6}, "density_kg_m3"},
	            {{NAN, 0.57e-6}, "density_kg_m3"},
	            {{741.3, 0}, "viscosity_m2_s"},
	            {{741.3, NAN}, "viscosity_m2_s"}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		double answer = 7;
		jw_error error = {0};
		cr_expect_lt(jw_liquid_drop(&jet, &rows[i].liquid, 1e-4, &answer, &error), 0, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
		cr_expect_lt(jw_bore_for_liquid_flow(&jet, &rows[i].liquid, 2e3, 1e-4, &answer, &error), 0, "row %zu", i);
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
		cr_expect_eq(answer, 7, "row %zu", i);
	}
}

/* Found by tests/fuzz: the square of a coefficient may be less than numbers hold. */
Test(liquid, drop_of_a_tiny_coefficient_comes_back)
{
	for (double coefficient = 10; coefficient > 1e-160; coefficient *= 1e-10) {
		const jw_orifice orifice = {0.8e-3, 1.6e-3, coefficient};
		double kg_s, drop;
		cr_assert_eq(jw_liquid_mass_flow(&orifice, &petrol, 1300, &kg_s), JW_OK);
		cr_assert_eq(jw_liquid_drop(&orifice, &petrol, kg_s, &drop, NULL), JW_OK);
		JW_NEAR_REL(drop, 1300, 1e-12);
	}
}
