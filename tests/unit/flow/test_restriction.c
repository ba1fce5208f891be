/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Three ways to say how much of a bore is shut. */
#include "draw.h"
#include "near.h"
#include <jetwright/flow.h>

static const jw_liquid_flow petrol = {741.3, 0.57e-6};

static double said_as(const jw_restriction *r, jw_restriction_kind kind)
{
	return kind == JW_FILM ? r->film_m : kind == JW_BLOCKED_AREA ? r->blocked_area : r->flow_share;
}

/* Whatever is said first, the other two lead back to it. */
Test(restriction, three_languages_say_the_same)
{
	draw d = {240613};
	for (int i = 0; i < 1000; i++) {
		double bore = draw_between(&d, 0.25e-3, 1.6e-3), drop = exp(draw_between(&d, log(50), log(2e4)));
		const jw_orifice clean = {bore, draw_between(&d, 0.5e-3, 4e-3), i % 4 ? 0 : 0.74};
		jw_restriction first = {0};
		cr_assert(jw_restrict(&clean, JW_BLOCKED_AREA, draw_between(&d, 0, 0.9), &petrol, drop, &first, NULL) >= 0);
		double clean_flow = 0, left_flow = 0;
		const jw_orifice left = {first.diameter_m, clean.length_m, clean.coefficient};
		jw_liquid_mass_flow(&clean, &petrol, drop, &clean_flow);
		jw_liquid_mass_flow(&left, &petrol, drop, &left_flow);
		JW_NEAR_REL(first.flow_share, left_flow / clean_flow, 1e-12);
		JW_NEAR_ABS(bore - 2 * first.film_m, first.diameter_m, 1e-18);
		JW_NEAR_REL(first.diameter_m * first.diameter_m, bore * bore * (1 - first.blocked_area), 1e-12);
		for (jw_restriction_kind kind = JW_FILM; kind <= JW_FLOW_SHARE; kind++) {
			jw_restriction again = {0};
			cr_assert(jw_restrict(&clean, kind, said_as(&first, kind), &petrol, drop, &again, NULL) >= 0);
			for (jw_restriction_kind k = JW_FILM; k <= JW_FLOW_SHARE; k++)
				JW_NEAR_ABS(said_as(&again, k), said_as(&first, k), 1e-9 * (k == JW_FILM ? bore : 1));
		}
		/* Smaller bores lose coefficient as well as area; a measured coefficient stays. */
		double area_left = 1 - first.blocked_area;
		if (clean.coefficient > 0)
			JW_NEAR_REL(first.flow_share, area_left, 1e-12);
		else
			cr_expect(first.flow_share <= area_left * (1 + 1e-3), "%g of the area, %g of the flow", area_left,
			          first.flow_share);
	}
}

/* A film that a large jet hardly feels: (1 - 2t/d)^2 of the area. */
Test(restriction, a_film_costs_a_small_jet_most)
{
	static const struct {
		double bore_m, area_lost;
	} rows[] = {{0.35e-3, 0.313}, {1.05e-3, 0.111}};
	double flow_lost[2];
	for (size_t i = 0; i < 2; i++) {
		const jw_orifice jet = {rows[i].bore_m, 2.5 * rows[i].bore_m, 0};
		jw_restriction r = {0};
		jw_restrict(&jet, JW_FILM, 0.03e-3, &petrol, 1e3, &r, NULL);
		JW_NEAR_ABS(r.blocked_area, rows[i].area_lost, 5e-4);
		flow_lost[i] = 1 - r.flow_share;
		cr_expect(flow_lost[i] > r.blocked_area, "row %zu: %g", i, flow_lost[i]);
	}
	cr_expect(flow_lost[0] > 2.5 * flow_lost[1], "%g against %g", flow_lost[0], flow_lost[1]);
	/* The same film costs more of the flow where the fuel is thick (the coefficient of low Reynolds numbers). */
	const jw_orifice jet = {0.35e-3, 0.9e-3, 0};
	const jw_liquid_flow thick = {741.3, 1.9e-6};
	jw_restriction thin_fuel, thick_fuel;
	jw_restrict(&jet, JW_FILM, 0.03e-3, &petrol, 300, &thin_fuel, NULL);
	jw_restrict(&jet, JW_FILM, 0.03e-3, &thick, 300, &thick_fuel, NULL);
	cr_expect_lt(thick_fuel.flow_share, thin_fuel.flow_share);
}

Test(restriction, clean_and_shut_are_the_ends)
{
	const jw_orifice jet = {0.4e-3, 1e-3, 0};
	static const struct {
		jw_restriction_kind kind;
		double amount;
		int shut;
	} rows[] = {{JW_FILM, 0, 0},         {JW_FILM, 0.2e-3, 1},  {JW_BLOCKED_AREA, 0, 0},
	            {JW_BLOCKED_AREA, 1, 1}, {JW_FLOW_SHARE, 1, 0}, {JW_FLOW_SHARE, 0, 1}};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		jw_restriction r = {7, 7, 7, 7};
		cr_expect(jw_restrict(&jet, rows[i].kind, rows[i].amount, &petrol, 1e3, &r, NULL) >= 0, "row %zu", i);
		JW_NEAR_ABS(r.diameter_m, rows[i].shut ? 0 : 0.4e-3, 1e-18);
		JW_NEAR_ABS(r.film_m, rows[i].shut ? 0.2e-3 : 0, 1e-18);
		JW_NEAR_ABS(r.blocked_area, rows[i].shut, 1e-15);
		JW_NEAR_ABS(r.flow_share, !rows[i].shut, 1e-15);
	}
}

/* From the least bore that may be asked to the greatest, far below and above any jet; back from the area that is shut.
 */
Test(restriction, a_share_of_the_flow_of_any_bore_is_served)
{
	static const double bores[] = {JW_LEAST_BORE_M, 21e-6, 0.4e-3, 30e-3, 1.0}, shares[] = {1e-6, 0.02, 0.5, 0.999};
	for (size_t b = 0; b < sizeof bores / sizeof *bores; b++)
		for (size_t i = 0; i < sizeof shares / sizeof *shares; i++) {
			const jw_orifice clean = {bores[b], 2e-3, 0};
			jw_restriction left, back;
			jw_error error = {0};
			jw_status status = jw_restrict(&clean, JW_FLOW_SHARE, shares[i], &petrol, 2e3, &left, &error);
			cr_assert(status >= 0, "%g of %g m: %s", shares[i], bores[b], error.field ? error.field : "none");
			cr_assert(jw_restrict(&clean, JW_FILM, left.film_m, &petrol, 2e3, &back, NULL) >= 0);
			JW_NEAR_REL(back.flow_share, shares[i], 1e-6);
		}
}

Test(restriction, nonsense_is_named)
{
	static const struct {
		double bore_m, drop_pa, amount;
		int kind;
		jw_status status;
		const char *field;
	} rows[] = {
	    {0, 1e3, 0.2, JW_BLOCKED_AREA, JW_E_RANGE, "diameter_m"},
	    {0.4e-3, 0, 0.2, JW_BLOCKED_AREA, JW_E_RANGE, "drop_pa"},
	    {0.4e-3, NAN, 0.2, JW_BLOCKED_AREA, JW_E_NOT_FINITE, "drop_pa"},
	    {0.4e-3, 1e3, 0.21e-3, JW_FILM, JW_E_RANGE, "film_m"},
	    {0.4e-3, 1e3, -1e-6, JW_FILM, JW_E_RANGE, "film_m"},
	    {0.4e-3, 1e3, 1.01, JW_BLOCKED_AREA, JW_E_RANGE, "blocked_area"},
	    {0.4e-3, 1e3, -0.01, JW_FLOW_SHARE, JW_E_RANGE, "flow_share"},
	    {0.4e-3, 1e3, 1.01, JW_FLOW_SHARE, JW_E_RANGE, "flow_share"},
	    {0.4e-3, 1e3, 0.5, 3, JW_E_ARGUMENT, "kind"},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		const jw_orifice jet = {rows[i].bore_m, 1e-3, 0};
		jw_restriction r = {7, 7, 7, 7};
		jw_error error = {0};
		jw_status status =
		    jw_restrict(&jet, (jw_restriction_kind)rows[i].kind, rows[i].amount, &petrol, rows[i].drop_pa, &r, &error);
		cr_assert_eq(status, rows[i].status, "row %zu: %s", i, jw_status_name(status));
		cr_expect_str_eq(error.field, rows[i].field, "row %zu", i);
		cr_expect_eq(r.flow_share, 7, "row %zu", i);
	}
}
