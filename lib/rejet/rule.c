/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rejet/change.h"
#include "rejet/parts.h"

#include "base/base.h"

/* Of full lift; a slide this near its stop is at it. */
#define AT_ITS_STOP 0.995

static int at_its_stop(const jw_setup *setup, const jw_mixture *mixture)
{
	const jw_carburetor *c = &setup->carburetor;
	return c->kind == JW_CONSTANT_DEPRESSION && mixture->path.lift_m >= AT_ITS_STOP * c->throat.bore_m;
}

static jw_rejet_rule_reason reason_of(const jw_rejet_request *q, const jw_rejet_answer *a, const jw_rejet_rule *rule)
{
	int count[JW_RULE_EITHER + 1] = {0};
	for (int i = 0; i < q->changes; i++)
		count[jw_rejet_rule_takes(q->change[i].kind)]++;
	if (count[JW_RULE_TAKEN] == 0)
		return JW_RULE_NOTHING;
	if (count[JW_RULE_UPSET] > 0)
		return JW_RULE_OTHER_CHANGE;
	if (a->setup.carburetor.kind == JW_CONSTANT_DEPRESSION && !(rule->stop_before && rule->stop_after))
		return JW_RULE_SLIDE_FLOATS;
	return JW_RULE_APPLIES;
}

static jw_status fuel_of(const jw_setup *setup, const jw_air *air, jw_fuel_state *fuel, jw_error *error)
{
	return jw_fuel_at(&setup->fuel, air->temperature_k + setup->bowl_heating_k, fuel, error);
}

jw_status jw_rejet_rule_of(const jw_rejet_request *request, const jw_rejet_answer *answer, jw_rejet_rule *rule,
                           jw_error *error)
{
	jw_fuel_state was, is;
	jw_status status = fuel_of(request->setup, request->air, &was, error);
	if (status >= 0)
		status = jw_both(status, fuel_of(&answer->setup, &answer->air, &is, error));
	if (status < 0)
		return status;
	double lift_pa = is.density_kg_m3 * JW_GRAVITY * fmax(answer->setup.carburetor.main.outlet_height_m, 0.0);
	rule->stop_before = at_its_stop(request->setup, &answer->range[JW_FULL].before);
	rule->stop_after = at_its_stop(&answer->setup, &answer->range[JW_FULL].after);
	rule->reason = reason_of(request, answer, rule);
	if (rule->reason == JW_RULE_APPLIES && answer->range[JW_FULL].after.flow.depression_pa < 2.0 * lift_pa)
		rule->reason = JW_RULE_WEAK_PULL;
	/* Throat and jet meter on moist air; lambda, and what burns, on the dry share of it. */
	const double dry = answer->air.dry_fraction / request->air->dry_fraction;
	rule->area_factor = jw_density_rule(answer->air.density_kg_m3, request->air->density_kg_m3) * dry *
	                    sqrt(was.density_kg_m3 / is.density_kg_m3) * was.stoichiometric_afr / is.stoichiometric_afr;
	return status;
}
