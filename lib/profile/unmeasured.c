/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "profile/unmeasured.h"

#include "base/base.h"

#include <string.h>

static int is_dimension(const jw_spread *spread)
{
	static const char *const others[] = {"coefficients.", "uncertainty.", "film."};
	size_t offset = spread->field->offset;
	for (size_t i = 0; i < sizeof others / sizeof *others; i++)
		if (!strncmp(spread->field->path, others[i], strlen(others[i])))
			return 0;
	return offset >= offsetof(jw_profile, setup) && offset < offsetof(jw_profile, setup) + sizeof(jw_setup);
}

static int has_spread(const jw_profile *p, const jw_spread *spread)
{
	for (int i = 0; i < p->spreads; i++)
		if (p->spread[i].cell == spread->cell && p->spread[i].field == spread->field)
			return 1;
	return 0;
}

static void add_unmeasured(jw_profile *p, const jw_spread *spread, const jw_node *root, jw_faults *faults)
{
	if (!is_dimension(spread)) {
		jw_fault_at(faults, root, "spread",
		            "holds what is no dimension, expected keys of engine, intake or carburetor");
		return;
	}
	jw_unmeasured *u = &p->unmeasured[p->unmeasureds];
	*u = jw_unmeasured_of(p, spread);
	p->unmeasureds += u->count > 0;
}

void jw_unmeasured_list(jw_profile *p, const jw_node *root, const jw_basis *b, jw_faults *faults)
{
	for (int i = 0; i < p->spreads; i++)
		add_unmeasured(p, &p->spread[i], root, faults);
	for (int i = 0; i < b->spreads; i++)
		if (!jw_node_find(root, b->spread[i].field->path, NULL) && !has_spread(p, &b->spread[i]) &&
		    p->unmeasureds < JW_UNMEASURED)
			add_unmeasured(p, &b->spread[i], root, faults);
}

/* Lambda at idle, half and full is known where a baseline or readings tell it. */
static int is_anchored(const jw_profile *p)
{
	return p->has_baseline || p->has_coefficients;
}

int jw_profile_widened(const jw_profile *profile)
{
	return profile->unmeasureds > 0 && !is_anchored(profile);
}

/* Which coefficient stands for what is not measured, and where. */
static const struct {
	jw_range range;
	size_t coefficient;
} answers[] = {{JW_IDLE, offsetof(jw_coefficients, pilot)},
               {JW_HALF, offsetof(jw_coefficients, needle)},
               {JW_FULL, offsetof(jw_coefficients, main)}};

/* A point without a solution tells nothing. */
void jw_unmeasured_widen(jw_profile *p)
{
	jw_air air;
	jw_setup known = p->setup;
	known.uncertainty = (jw_coefficients){0, 0, 0, 0};
	jw_air_from_humidity(101325, 288.15, 0.5, &air, NULL);
	for (size_t i = 0; i < sizeof answers / sizeof *answers; i++) {
		const jw_point *point = &known.range[answers[i].range];
		jw_coefficients slope;
		double spread;
		if (jw_mixture_sensitivity(&known, &air, point, &slope, NULL) < 0 ||
		    jw_mixture_contributions(&known, &air, point, p->unmeasured, p->unmeasureds, NULL, NULL, &spread, NULL) < 0)
			continue;
		double own = fabs(jw_value_at(&slope, answers[i].coefficient));
		double *u = jw_double_at(&p->setup.uncertainty, answers[i].coefficient);
		*u = fmin(hypot(*u, spread / fmax(own, 1e-3)), 1);
	}
}

const jw_unmeasured *jw_profile_unmeasured(const jw_profile *profile, int *count)
{
	*count = profile->unmeasureds;
	return profile->unmeasured;
}

jw_status jw_profile_contributions(const jw_profile *profile, const jw_air *air, const jw_point *point,
                                   double *contribution, double *relative, jw_error *error)
{
	jw_setup setup = profile->setup;
	const jw_air *known = profile->has_baseline ? &profile->baseline.air : air;
	if (jw_profile_widened(profile))
		setup.uncertainty = profile->stated;
	return jw_mixture_contributions(&setup, air, point, profile->unmeasured, profile->unmeasureds,
	                                is_anchored(profile) ? known : NULL, contribution, relative, error);
}
