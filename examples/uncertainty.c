/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How uncertain the area of a jet is whose bore is known to a hundredth of a millimetre, and its length does not
 * matter. */
#include "must.h"

static jw_status area(const double *inputs, double *output, void *context)
{
	(void)context;
	const jw_orifice jet = {.diameter_m = inputs[0]};
	*output = jw_orifice_area(&jet);
	return JW_OK;
}

int main(void)
{
	const jw_input bore = {.mean = 0.4e-3, .uncertainty = 0.01e-3, .freedom = 9, .distribution = JW_NORMAL};
	jw_error error = {0};
	jw_propagation first;
	jw_sampling all;
	double second, factor;
	static double outputs[1023];
	must(jw_propagate(area, NULL, &bore, 1, 0.01, NULL, &first, &error), &error);
	must(jw_propagate_second(area, NULL, &bore, 1, 0.01, &second, &error), &error);
	must(jw_coverage_factor(first.freedom, 0.9, &factor, &error), &error);
	must(jw_sample(area, NULL, &bore, 1, 1023, 0.9, outputs, &all, &error), &error);
	printf("%.4f mm2, standard uncertainty %.4f, of second order %.4f; nine in ten within %.4f\n", 1e6 * first.value,
	       1e6 * first.uncertainty, 1e6 * second, 1e6 * factor * first.uncertainty);
	printf("by sampling: %.4f mm2, %.4f; nine in ten %.4f to %.4f\n", 1e6 * all.mean, 1e6 * all.deviation,
	       1e6 * all.low, 1e6 * all.high);
	return 0;
}
