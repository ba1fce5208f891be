/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "tune/passage.h"

#include "base/base.h"
#include "carburetor/near.h"

#include <string.h>

/* Where a passage sits in a set-up. */
typedef struct passage_row {
	jw_passage_info info;
	size_t fitted;  /* of a double that is above 0 where the engine has it */
	size_t element; /* of the jw_orifice, or of the open share */
	size_t circuit; /* of jets: in jw_setup */
	size_t flow;    /* in jw_carburetor_flow */
} passage_row;

#define AT(member) offsetof(jw_setup, member)
#define JET(id, text, tells, name, has)                                                                                \
	{                                                                                                                  \
		{id, text, JW_CARRIES_FUEL, tells}, has, AT(carburetor.name.fuel_jet), AT(carburetor.name),                    \
		    offsetof(jw_carburetor_flow, name)                                                                         \
	}
#define AIR_JET(id, text, tells, name)                                                                                 \
	{                                                                                                                  \
		{id, text, JW_CARRIES_AIR, tells}, AT(carburetor.name.air_jet.diameter_m), AT(carburetor.name.air_jet),        \
		    AT(carburetor.name), offsetof(jw_carburetor_flow, name)                                                    \
	}
#define OUTLET(id, text, tells, share, has)                                                                            \
	{                                                                                                                  \
		{id, text, JW_CARRIES_EMULSION, tells}, AT(carburetor.has), AT(carburetor.share), 0,                           \
		    offsetof(jw_carburetor_flow, pilot)                                                                        \
	}

static const passage_row passages[JW_PASSAGE_COUNT] = {
    [JW_PASSAGE_PILOT_JET] = JET("pilot_jet", "pilot jet", JW_IDLE, pilot, AT(carburetor.pilot.fuel_jet.diameter_m)),
    [JW_PASSAGE_MAIN_JET] = JET("main_jet", "main jet", JW_FULL, main, AT(carburetor.main.fuel_jet.diameter_m)),
    [JW_PASSAGE_POWER_JET] = JET("power_jet", "power jet", JW_FULL, power, AT(carburetor.power_outlet_m)),
    [JW_PASSAGE_ENRICHENER_JET] =
        JET("enrichener_jet", "enrichener jet", JW_IDLE, enrichener, AT(carburetor.enrichener_outlet_m)),
    [JW_PASSAGE_PILOT_AIR_JET] = AIR_JET("pilot_air_jet", "pilot air jet", JW_IDLE, pilot),
    [JW_PASSAGE_MAIN_AIR_JET] = AIR_JET("main_air_jet", "main air jet", JW_QUARTER, main),
    [JW_PASSAGE_PILOT_OUTLET] = OUTLET("pilot_outlet", "pilot outlet", JW_IDLE, screw.open_area, screw.hole_m),
    [JW_PASSAGE_TRANSFER_PORTS] =
        OUTLET("transfer_ports", "transfer ports", JW_OFF_IDLE, screw.ports_open_area, port[0].diameter_m),
    [JW_PASSAGE_PUMP_NOZZLE] = {{"pump_nozzle", "accelerator pump's nozzle", JW_CARRIES_SHOT, JW_OFF_IDLE},
                                AT(carburetor.pump.shot_m3),
                                AT(carburetor.pump.nozzle),
                                0,
                                0},
};

static const passage_row *row_of(jw_passage passage)
{
	return (unsigned)passage < JW_PASSAGE_COUNT ? &passages[passage] : NULL;
}

static const void *in_setup(const jw_setup *setup, size_t offset)
{
	return (const char *)setup + offset;
}

static const jw_circuit_flow *flow_in(const jw_mixture *mixture, const passage_row *row)
{
	return (const void *)((const char *)&mixture->flow + row->flow);
}

const jw_passage_info *jw_passage_at(jw_passage passage)
{
	const passage_row *row = row_of(passage);
	return row ? &row->info : NULL;
}

int jw_passage_find(const char *id)
{
	for (int i = 0; i < JW_PASSAGE_COUNT; i++)
		if (id && !strcmp(passages[i].info.id, id))
			return i;
	return -1;
}

/* One bore with the area of the outlet at its screw's setting, or with the mean area of the ports. */
static double outlet_bore(const jw_carburetor *c, jw_passage passage)
{
	double area = 0.0;
	if (passage == JW_PASSAGE_PILOT_OUTLET)
		area = jw_screw_area(&c->screw);
	for (int i = 0; passage == JW_PASSAGE_TRANSFER_PORTS && i < c->ports; i++)
		area += 0.25 * JW_PI * jw_square(c->port[i].diameter_m) / c->ports;
	return sqrt(area / (0.25 * JW_PI));
}

double jw_passage_bore(const jw_setup *setup, jw_passage passage)
{
	const passage_row *row = row_of(passage);
	if (!row || !(jw_value_at(setup, row->fitted) > 0.0))
		return 0.0;
	if (row->info.carries == JW_CARRIES_EMULSION)
		return outlet_bore(&setup->carburetor, passage);
	return ((const jw_orifice *)in_setup(setup, row->element))->diameter_m;
}

double jw_passage_flow(const jw_mixture *mixture, jw_passage passage)
{
	const passage_row *row = row_of(passage);
	if (!row || row->info.carries == JW_CARRIES_SHOT)
		return 0.0;
	const jw_circuit_flow *flow = flow_in(mixture, row);
	if (row->info.carries == JW_CARRIES_AIR)
		return flow->bleed_kg_s;
	/* What a nested pilot takes comes through the main jet too. */
	return flow->fuel_kg_s + (passage == JW_PASSAGE_MAIN_JET ? flow->branch_kg_s : 0.0);
}

/* ---- what drives it ---- */

const jw_orifice *jw_passage_orifice(const jw_setup *setup, jw_passage passage)
{
	return in_setup(setup, passages[passage].element);
}

jw_status jw_passage_fuel(const jw_setup *setup, const jw_air *air, jw_liquid_flow *liquid, jw_error *error)
{
	jw_fuel_state fuel;
	jw_status status = jw_fuel_at(&setup->fuel, air->temperature_k + setup->bowl_heating_k, &fuel, error);
	if (status >= 0)
		*liquid = (jw_liquid_flow){fuel.density_kg_m3, fuel.viscosity_m2_s};
	return status;
}

/* Pressure below a jet's bowl, or the well that feeds it, less that of its own well: what its flow is by, whatever
 * multiplies that. */
static double across_jet(const jw_setup *setup, const passage_row *row, const jw_mixture *at, double density_kg_m3)
{
	const jw_carburetor *c = &setup->carburetor;
	const jw_circuit *circuit = in_setup(setup, row->circuit);
	const double weight = density_kg_m3 * JW_GRAVITY;
	double feed_pa = at->flow.bowl_pa;
	if (circuit == &c->pilot && c->pilot_from_main_well)
		feed_pa = at->flow.main.well_pa - weight * (c->main.bleed_depth_m + c->bowl.level_error_m);
	return feed_pa + weight * (circuit->bleed_depth_m + c->bowl.level_error_m) - flow_in(at, row)->well_pa;
}

jw_status jw_passage_driven(const jw_setup *setup, const jw_air *air, jw_passage passage, const jw_point *point,
                            const jw_mixture *at, jw_driven *driven, jw_error *error)
{
	const jw_carburetor *c = &setup->carburetor;
	*driven = (jw_driven){.rod_m = passage == JW_PASSAGE_MAIN_JET ? jw_rod_in_jet(&c->rod, point->throttle) : 0.0};
	jw_status status = jw_passage_fuel(setup, air, &driven->fluid, error);
	if (status >= 0 && jw_passage_flow(at, passage) > 0.0)
		driven->drop_pa = fmax(across_jet(setup, &passages[passage], at, driven->fluid.density_kg_m3), 0.0);
	return status;
}

static jw_status drive(const jw_setup *setup, const jw_air *air, const passage_row *row, jw_passage passage,
                       const jw_point *point, jw_driven *d, jw_error *error)
{
	jw_mixture at;
	*d = (jw_driven){0};
	jw_status status = jw_mixture_at(setup, air, point, &at, error);
	if (status < 0 || row->info.carries == JW_CARRIES_EMULSION)
		return status;
	if (row->info.carries == JW_CARRIES_AIR) {
		/* Over so small a drop air is a thin liquid. */
		d->fluid = (jw_liquid_flow){air->density_kg_m3, air->viscosity_pa_s / air->density_kg_m3};
		d->drop_pa = fmax(at.path.box_pa - flow_in(&at, row)->well_pa, 0.0);
		return status;
	}
	if (row->info.carries == JW_CARRIES_FUEL)
		return jw_both(status, jw_passage_driven(setup, air, passage, point, &at, d, error));
	d->drop_pa = jw_pump_pressure(&setup->carburetor.pump);
	return jw_both(status, jw_passage_fuel(setup, air, &d->fluid, error));
}

/* ---- restricting it ---- */

/* Outlets pass emulsion in proportion to their area. */
static jw_status outlet_left(double bore_m, jw_restriction_kind kind, double amount, jw_restriction *left,
                             jw_error *error)
{
	jw_status status = jw_check_range("amount", amount, 0.0, kind == JW_FILM ? 0.5 * bore_m : 1.0, error);
	if (status < 0)
		return status;
	double share = kind == JW_FILM           ? 1.0 - 2.0 * amount / bore_m
	               : kind == JW_BLOCKED_AREA ? sqrt(1.0 - amount)
	                                         : sqrt(amount);
	*left = (jw_restriction){.film_m = 0.5 * bore_m * (1.0 - share),
	                         .blocked_area = 1.0 - share * share,
	                         .flow_share = share * share,
	                         .diameter_m = bore_m * share};
	return JW_OK;
}

void jw_keep_rod_in_jet(jw_carburetor *c)
{
	c->rod.lean_m = fmin(c->rod.lean_m, c->main.fuel_jet.diameter_m);
	c->rod.rich_m = fmin(c->rod.rich_m, c->rod.lean_m);
}

jw_status jw_passage_shut(const jw_setup *clean, jw_passage passage, double share, jw_setup *restricted,
                          jw_error *error)
{
	const passage_row *row = row_of(passage);
	if (!row)
		return jw_fail(error, JW_E_ARGUMENT, "passage", (double)passage, 0, JW_PASSAGE_COUNT - 1);
	if (!(jw_passage_bore(clean, passage) > 0.0))
		return jw_fail(error, JW_E_NOT_FOUND, row->info.id, 0, 0, 0);
	jw_status status = jw_check_range("share", share, 0.0, 1.0, error);
	if (status < 0)
		return status;
	jw_setup shut = *clean;
	if (row->info.carries == JW_CARRIES_EMULSION)
		*jw_double_at(&shut, row->element) *= 1.0 - share;
	else
		*jw_double_at(&shut, row->element + offsetof(jw_orifice, diameter_m)) *= sqrt(1.0 - share);
	jw_keep_rod_in_jet(&shut.carburetor);
	*restricted = shut;
	return JW_OK;
}

/* The round bore with the area of the ring about a rod, and back. */
static double past_rod(double bore_m, const jw_driven *d)
{
	return sqrt(fmax(jw_square(bore_m) - jw_square(d->rod_m), 0.0));
}

static double about_rod(double ring_m, const jw_driven *d)
{
	return sqrt(jw_square(ring_m) + jw_square(d->rod_m));
}

/* What of the ring's flow is left with a bore. */
static jw_status share_past_rod(const jw_orifice *ring, double bore_m, const jw_driven *d, double *share,
                                jw_error *error)
{
	jw_restriction of_ring;
	const double left_m = fmin(past_rod(bore_m, d), ring->diameter_m); /* but for rounding */
	const double blocked = 1.0 - jw_square(left_m / ring->diameter_m);
	jw_status status = jw_restrict(ring, JW_BLOCKED_AREA, blocked, &d->fluid, d->drop_pa, &of_ring, error);
	if (status >= 0)
		*share = of_ring.flow_share;
	return status;
}

/* Film and blocked area are the bore's own; flow passes the ring that a rod leaves of it. */
static jw_status left_about_rod(const jw_orifice *bare, const jw_driven *d, jw_restriction_kind kind, double amount,
                                jw_restriction *left, jw_error *error)
{
	jw_orifice ring = *bare;
	jw_restriction of_ring;
	ring.diameter_m = past_rod(bare->diameter_m, d);
	if (kind != JW_FLOW_SHARE) {
		jw_status status = jw_restrict(bare, kind, amount, &d->fluid, d->drop_pa, left, error);
		return status < 0 ? status
		                  : jw_both(status, share_past_rod(&ring, left->diameter_m, d, &left->flow_share, error));
	}
	jw_status status = jw_restrict(&ring, kind, amount, &d->fluid, d->drop_pa, &of_ring, error);
	if (status < 0)
		return status;
	const double blocked = 1.0 - jw_square(about_rod(of_ring.diameter_m, d) / bare->diameter_m);
	status =
	    jw_both(status, jw_restrict(bare, JW_BLOCKED_AREA, fmax(blocked, 0.0), &d->fluid, d->drop_pa, left, error));
	if (status >= 0)
		left->flow_share = amount;
	return status;
}

jw_status jw_passage_jet_left(const jw_setup *clean, jw_passage passage, const jw_driven *d, jw_restriction_kind kind,
                              double amount, jw_restriction *left, jw_error *error)
{
	const jw_orifice *bare = jw_passage_orifice(clean, passage);
	if (!(d->drop_pa > 0.0))
		return jw_fail(error, JW_E_NO_FLOW, passages[passage].info.id, 0, 0, 0);
	if (d->rod_m > 0.0)
		return left_about_rod(bare, d, kind, amount, left, error);
	return jw_restrict(bare, kind, amount, &d->fluid, d->drop_pa, left, error);
}

jw_status jw_passage_restrict(const jw_setup *clean, const jw_air *air, jw_passage passage, const jw_point *point,
                              jw_restriction_kind kind, double amount, jw_passage_left *left, jw_error *error)
{
	const passage_row *row = row_of(passage);
	if (!row)
		return jw_fail(error, JW_E_ARGUMENT, "passage", (double)passage, 0, JW_PASSAGE_COUNT - 1);
	jw_passage_left found = {.clean_m = jw_passage_bore(clean, passage)};
	if (!(found.clean_m > 0.0))
		return jw_fail(error, JW_E_NOT_FOUND, row->info.id, 0, 0, 0);
	if ((unsigned)kind > JW_FLOW_SHARE)
		return jw_fail(error, JW_E_ARGUMENT, "kind", (double)kind, JW_FILM, JW_FLOW_SHARE);
	jw_driven d;
	jw_status status = drive(clean, air, row, passage, point, &d, error), known = status;
	if (known >= 0)
		known = row->info.carries == JW_CARRIES_EMULSION
		            ? outlet_left(found.clean_m, kind, amount, &found.left, error)
		            : jw_passage_jet_left(clean, passage, &d, kind, amount, &found.left, error);
	found.drop_pa = d.drop_pa;
	if (known >= 0)
		known = jw_both(known, jw_passage_shut(clean, passage, found.left.blocked_area, &found.setup, error));
	if (known < 0)
		return known;
	*left = found;
	return status | known;
}
