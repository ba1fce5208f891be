/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The search among what is at hand, where the cheapest main jet is just not safe. */
#include "bundled.h"
#include "rejet/chooser.h"

#include <math.h>
#include <string.h>

/* Main jets alone, with which full throttle is off its target by so much (rising; ln(phi)); it runs on that of the
 * middle. */
typedef struct bench {
	jw_setup setup;
	jw_air air;
	jw_chooser chooser;
} bench;

static double full_lnphi(const bench *b, double bore_m)
{
	jw_setup s = b->setup;
	s.carburetor.main.fuel_jet.diameter_m = bore_m;
	return log(phi_at(&s, &b->air, JW_FULL));
}

static double bore_for(const bench *b, double lnphi)
{
	double low = 0.3e-3, high = 4e-3;
	for (int i = 0; i < 60; i++) {
		const double middle = 0.5 * (low + high);
		*(full_lnphi(b, middle) < lnphi ? &low : &high) = middle;
	}
	return high;
}

static void lay(bench *b, const double *off, int jets)
{
	*b = (bench){.setup = bundled("pump-200"), .air = mild_air()};
	jw_chooser *c = &b->chooser;
	*c = (jw_chooser){.setup = &b->setup, .air = &b->air, .sought = {JW_PART_MAIN_JET}, .parts = 1};
	for (int p = 0; p < JW_PART_COUNT; p++)
		c->was[p] = jw_part_value(&b->setup, (jw_part)p);
	for (int r = 0; r < JW_RANGE_COUNT; r++)
		c->target[r] = log(phi_at(&b->setup, &b->air, (jw_range)r));
	for (int i = 0; i < jets; i++)
		c->hand[JW_PART_MAIN_JET].value[i] = bore_for(b, c->target[JW_FULL] + off[i]);
	c->hand[JW_PART_MAIN_JET].count = jets;
}

static jw_pick picked(bench *b)
{
	jw_pick best = {.cost = 0};
	memcpy(b->chooser.ideal, b->chooser.was, sizeof b->chooser.ideal);
	cr_assert(jw_seek_pick(&b->chooser, &best) >= 0);
	return best;
}

/* Leaner than is let be by more than a trace, no jet is taken that is not the largest, though the next one costs far
 * more; within a trace nothing is bent for it. */
Test(pick, goes_on_to_a_main_jet_that_is_safe)
{
	const double edge = -JW_REJET_LEANER;
	static const struct {
		double traces[4]; /* leaner than the edge; below 0: richer by tenths */
		int jets, chosen;
	} rows[] = {
	    {{0.9, -3}, 2, 0},      /* not worth a trace */
	    {{-0.0001, -3}, 2, 0},  /* safe */
	    {{1.5, -3}, 2, 1},      /* the next one, though it is richer by more than a quarter */
	    {{4, 1.5, -3}, 3, 2},   /* from there on as far as it takes */
	    {{4, 2, -3, -5}, 4, 2}, /* and no further */
	    {{400, 1.5, -3}, 3, 2},
	};
	for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
		bench b;
		double off[4];
		for (int j = 0; j < rows[i].jets; j++)
			off[j] = edge - (rows[i].traces[j] < 0 ? 0.1 : JW_TRACE) * rows[i].traces[j];
		lay(&b, off, rows[i].jets);
		const jw_pick best = picked(&b);
		cr_expect_eq(best.index[JW_PART_MAIN_JET], rows[i].chosen, "row %zu: %d", i, best.index[JW_PART_MAIN_JET]);
		cr_expect_eq(best.value[JW_PART_MAIN_JET], b.chooser.hand[JW_PART_MAIN_JET].value[rows[i].chosen]);
		JW_NEAR_ABS(best.lnphi[JW_FULL], b.chooser.target[JW_FULL] + off[rows[i].chosen], 1e-9);
		cr_expect_eq(b.chooser.strict, 0);
	}
}

/* Where none is safe, the largest. */
Test(pick, is_the_largest_where_none_is_safe)
{
	bench b;
	lay(&b, (const double[]){-0.3, -0.2, -0.1}, 3);
	cr_expect_eq(picked(&b).index[JW_PART_MAIN_JET], 2);
	cr_expect(!b.chooser.safe);
	lay(&b, (const double[]){-0.3, 0.01, 0.1}, 3);
	cr_expect_eq(picked(&b).index[JW_PART_MAIN_JET], 1);
	cr_expect(b.chooser.safe);
}

/* Where no point has an answer the search has none. */
Test(pick, seeks_nothing_in_no_air)
{
	bench b;
	lay(&b, (const double[]){0}, 1);
	cr_assert(jw_seek_ideal(&b.chooser) >= 0);
	b.air.pressure_pa = NAN;
	cr_expect(jw_seek_ideal(&b.chooser) < 0);
}

/* Of twelve grooves a millimetre apart those within 4 mm of where the needle stands are sought, and no others. */
Test(pick, grooves_far_from_where_it_runs_are_none)
{
	static const jw_jet_set jets = {.mains = 0};
	const jw_rejet_request request = {.jets = &jets, .grooves = {12, 6, 1e-3}};
	jw_chooser c = {.was = {0}};
	jw_lay_out(&request, &c, JW_PART_NEEDLE_POSITION, 0);
	const jw_at_hand *hand = &c.hand[JW_PART_NEEDLE_POSITION];
	cr_assert_eq(hand->count, 9);
	for (int i = 0; i < 9; i++) {
		cr_expect_eq(hand->place[i], i + 2);
		JW_NEAR_ABS(hand->value[i], (i - 4) * 1e-3, 1e-12);
	}
}
