/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Three causes and one test: what the test tells, and in which order to repair. */
#include "must.h"

int main(void)
{
	const double prior[] = {0.6, 0.3, 0.1}, minutes[] = {40, 5, 10}, seen[] = {0.9, 0.2, 0.5};
	const double outcomes[] = {0.9, 0.1, 0.2, 0.8, 0.5, 0.5};
	double posterior[3];
	jw_error error = {0};
	must(jw_posterior(prior, seen, 3, posterior, &error), &error);
	printf("if it is seen: %.2f, %.2f, %.2f\n", posterior[0], posterior[1], posterior[2]);
	printf("the test tells %.2f of %.2f bit\n", jw_expected_information(prior, outcomes, 3, 2), jw_entropy(prior, 3));
	printf("repairs take %.1f minutes in the best order, %.1f in this one\n", jw_expected_minutes(prior, minutes, 3),
	       jw_minutes_in_order(prior, minutes, 3));
	return 0;
}
