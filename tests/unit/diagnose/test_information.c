/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine.h"

/* Quinlan, Induction of Decision Trees, Machine Learning 1 (1986): 14 days, 9 of them fit for play. */
Test(information, quinlan)
{
	const double play[2] = {9 / 14.0, 5 / 14.0};
	JW_NEAR_ABS(jw_entropy(play, 2), 0.94029, 1e-5);
	/* Rows: play, no play; columns: the attribute's values as shares of the row. */
	const double humidity[] = {3 / 9.0, 6 / 9.0, 4 / 5.0, 1 / 5.0};
	const double outlook[] = {2 / 9.0, 4 / 9.0, 3 / 9.0, 3 / 5.0, 0, 2 / 5.0};
	const double wind[] = {6 / 9.0, 3 / 9.0, 2 / 5.0, 3 / 5.0};
	const double temperature[] = {2 / 9.0, 4 / 9.0, 3 / 9.0, 2 / 5.0, 2 / 5.0, 1 / 5.0};
	JW_NEAR_ABS(jw_expected_information(play, humidity, 2, 2), 0.15184, 1e-5);
	JW_NEAR_ABS(jw_expected_information(play, outlook, 2, 3), 0.24675, 1e-5);
	JW_NEAR_ABS(jw_expected_information(play, wind, 2, 2), 0.04813, 1e-5);
	JW_NEAR_ABS(jw_expected_information(play, temperature, 2, 3), 0.02922, 1e-5);
}

/* Constructed: prior .5 .3 .2, positive with .9 .6 .7; by hand. */
Test(information, bayes_by_hand)
{
	const double prior[3] = {0.5, 0.3, 0.2}, positive[3] = {0.9, 0.6, 0.7}, negative[3] = {0.1, 0.4, 0.3};
	const double outcome[6] = {0.9, 0.1, 0.6, 0.4, 0.7, 0.3};
	const double after_positive[3] = {0.584416, 0.233766, 0.181818};
	const double after_negative[3] = {0.217391, 0.521739, 0.260870};
	double after[3];
	cr_assert(jw_posterior(prior, positive, 3, after, NULL) == JW_OK);
	for (int i = 0; i < 3; i++)
		JW_NEAR_ABS(after[i], after_positive[i], 1e-6);
	cr_assert(jw_posterior(prior, negative, 3, after, NULL) == JW_OK);
	for (int i = 0; i < 3; i++)
		JW_NEAR_ABS(after[i], after_negative[i], 1e-6);
	JW_NEAR_ABS(jw_expected_information(prior, outcome, 3, 2), 0.075970, 1e-6);
}

Test(information, edges)
{
	const double sure[3] = {0, 1, 0}, even[4] = {0.25, 0.25, 0.25, 0.25};
	JW_NEAR_ABS(jw_entropy(sure, 3), 0, 0);
	JW_NEAR_ABS(jw_entropy(even, 4), 2, 1e-15);
	const double deaf[8] = {0.3, 0.7, 0.3, 0.7, 0.3, 0.7, 0.3, 0.7};
	JW_NEAR_ABS(jw_expected_information(even, deaf, 4, 2), 0, 1e-15);
	const double prior[2] = {0.4, 0.6}, never[2] = {0, 0}, wrong[2] = {0.5, NAN}, below[2] = {0.5, -0.1};
	double after[2] = {7, 7};
	jw_error error = {0};
	cr_expect(jw_posterior(prior, never, 2, after, &error) == JW_E_RANGE);
	cr_expect(error.status == JW_E_RANGE);
	cr_expect(jw_posterior(prior, wrong, 2, after, NULL) == JW_E_RANGE);
	cr_expect(jw_posterior(prior, below, 2, after, NULL) == JW_E_RANGE);
	cr_expect(jw_posterior(wrong, prior, 2, after, NULL) == JW_E_RANGE);
	cr_expect(jw_posterior(below, prior, 2, after, NULL) == JW_E_RANGE);
	const double huge[2] = {1e200, 1e200};
	cr_expect(jw_posterior(huge, huge, 2, after, NULL) == JW_E_RANGE, "beyond what a double holds");
	cr_expect(after[0] == 7 && after[1] == 7);
}
