/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "diagnose/starved.h"
#include "base/base.h"
#include "point/burns.h"

/* A severity of 1 leaves a thousandth: a supply passes many times what is drawn, so that only the last of it counts. */
static const double decades = 3;
/* Share of the time for which a range is held, while a bowl lasts: its fuel makes up for what is short of it. Full
 * throttle is held on a long straight, half never for long. Trade practice, no source. */
static const double held[JW_RANGE_COUNT] = {1.0, 0.4, 0.4, 0.5, 0.7, 0.9};
/* Share of what full throttle draws at which a supply that grows worse is brought in, the spread of its logarithm, and
 * the like share that one which failed at once leaves. Trade practice, no source. */
static const double first_felt = 0.55, first_felt_spread = 0.5, left_open = 0.03;
/* Stands for "no fuel". */
static const double least_share = 1e-3;

int jw_supply_foretells(const jw_setup *setup, const jw_cause_row *row)
{
	return row->supply && setup->supply.bowl_area_m2 > 0 && jw_value_at(setup, row->supply) > 0;
}

/* A bore loses area, a pump pressure. */
static jw_supply restricted(const jw_setup *setup, const jw_cause_row *row, double severity)
{
	jw_setup blocked = *setup;
	double left = pow(10, -decades * severity);
	*jw_double_at(&blocked, row->supply) *= row->is_push ? left : sqrt(left);
	return blocked.supply;
}

jw_status jw_supply_share(const jw_setup *setup, const jw_air *air, const jw_cause_row *row, double severity,
                          const jw_point *point, const jw_mixture *mixture, double *share, jw_error *error)
{
	const jw_supply supply = restricted(setup, row, severity);
	jw_fuel_state fuel;
	jw_supply_flow most;
	jw_status status = jw_fuel_at(&setup->fuel, air->temperature_k, &fuel, error);
	if (status < 0)
		return status;
	const jw_supply_ends ends = {.fuel = {fuel.density_kg_m3, fuel.viscosity_m2_s},
	                             .air = {air->temperature_k, air->gas_constant_j_kg_k, air->viscosity_pa_s},
	                             .ambient_pa = air->pressure_pa,
	                             .bowl_pa = mixture->flow.bowl_pa,
	                             .vapour_pa = fmin(fuel.vapour_pa, air->pressure_pa),
	                             .speed_rev_s = point->speed_rev_s};
	status = jw_both(status, jw_supply_pass(&supply, &ends, -supply.travel_m, &most, error));
	if (status >= 0)
		*share = jw_fuel_comes(mixture->fuel_kg_s) == JW_OK ? most.kg_s / mixture->fuel_kg_s : 1;
	return status;
}

void jw_starve(jw_signs *signs, double most_lnphi)
{
	signs->starved = most_lnphi < signs->lnphi;
	signs->lnphi_enriched = fmin(signs->lnphi_enriched, most_lnphi);
	signs->lnphi_screw = fmin(signs->lnphi_screw, most_lnphi);
	signs->lnphi = fmin(signs->lnphi, most_lnphi);
}

/* Shares of what each range draws, at every severity; 0 where there is no telling. */
static void shares_of(const jw_inquiry *inquiry, const jw_cause_row *row, double share[JW_NODES][JW_RANGE_COUNT])
{
	const jw_setup *setup = &inquiry->background.present;
	const jw_air *air = inquiry->background.air;
	for (int r = 0; r < JW_RANGE_COUNT; r++) {
		const jw_point *point = &setup->range[r];
		jw_mixture mixture;
		const int solved = jw_mixture_at(setup, air, point, &mixture, NULL) >= 0;
		for (int j = 0; j < JW_NODES; j++) {
			share[j][r] = 0;
			if (solved)
				jw_supply_share(setup, air, row, jw_node(j), point, &mixture, &share[j][r], NULL);
			share[j][r] /= held[r];
		}
	}
}

/* What grows is brought in when full throttle has fallen short. */
static double grown(double full_share)
{
	double apart = log(fmax(full_share, least_share) / first_felt) / first_felt_spread;
	return exp(-0.5 * jw_square(apart)) + least_share;
}

/* What came at once shuts nearly all. */
static double shut(double full_share)
{
	return exp(-full_share / left_open) + least_share;
}

/* Both sorts of case, each with a probability of 1 before they are mixed. */
static void brought_in(const jw_cause_row *row, double share[JW_NODES][JW_RANGE_COUNT], double *density)
{
	double slow = 0, fast = 0;
	for (int j = 0; j < JW_NODES; j++) {
		slow += grown(share[j][JW_FULL]);
		fast += shut(share[j][JW_FULL]);
	}
	for (int j = 0; j < JW_NODES; j++)
		density[j] = row->grows * grown(share[j][JW_FULL]) / slow + (1 - row->grows) * shut(share[j][JW_FULL]) / fast;
}

void jw_scene_of_supply(const jw_inquiry *inquiry, const jw_scene *present, const jw_cause_row *row, jw_scene *scene)
{
	double share[JW_NODES][JW_RANGE_COUNT];
	shares_of(inquiry, row, share);
	*scene = *present;
	scene->nodes = JW_NODES;
	brought_in(row, share, scene->density);
	for (int j = 0; j < JW_NODES; j++)
		for (int r = 0; r < JW_RANGE_COUNT; r++) {
			scene->signs[j][r] = present->signs[0][r];
			jw_starve(&scene->signs[j][r], present->signs[0][r].lnphi + log(fmax(share[j][r], least_share)));
		}
}
