/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Figures of README.md beside this file. */
#include <jetwright/jetwright.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define ENGINE "profiles/engines/courier-150.yaml"

static const char *const cases[] = {"stood-five-months", "flat-at-full-throttle", "open-filter-fitted"};

/* What is measured, and at which answers. */
typedef struct bench {
	const jw_setup *setup;
	jw_air air;
	jw_gas gas;
	jw_liquid_flow fuel;
	jw_mixture at[JW_RANGE_COUNT];
	double sum; /* of every result, so that none is left out */
} bench;

static double processor_s(void)
{
	return (double)clock() / CLOCKS_PER_SEC;
}

static void points(bench *b)
{
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		jw_mixture m;
		if (jw_mixture_at(b->setup, &b->air, &b->setup->range[i], &m, NULL) >= 0)
			b->sum += m.phi;
	}
}

/* Jet, air jet and outlets of a circuit at its solved well. */
static void circuit(bench *b, const jw_circuit *c, const jw_circuit_flow *at, double bowl_pa, double air_pa,
                    const jw_outlet *outlet, int outlets)
{
	double flow;
	double head = b->fuel.density_kg_m3 * JW_GRAVITY * c->bleed_depth_m;
	jw_liquid_mass_flow(&c->fuel_jet, &b->fuel, bowl_pa + head - at->well_pa, &flow);
	b->sum += flow;
	jw_gas_orifice_flow(&c->air_jet, &b->gas, air_pa, fmin(at->well_pa, air_pa), &flow);
	b->sum += flow;
	jw_emulsion mixture = {at->quality, b->fuel.density_kg_m3, b->gas.gas_constant_j_kg_k * b->gas.temperature_k, 0};
	for (int i = 0; i < outlets; i++) {
		jw_emulsion_mass_flow(outlet[i].effective_area_m2, &mixture, at->well_pa, outlet[i].pressure_pa, &flow);
		b->sum += flow;
	}
}

static void air_side(bench *b, int range)
{
	const jw_setup *s = b->setup;
	const jw_carburetor *c = &s->carburetor;
	const jw_mixture *m = &b->at[range];
	double flow, pressure;
	jw_engine_demand(&s->engine, b->air.pressure_pa, b->air.temperature_k, b->gas.gas_constant_j_kg_k, m->manifold_pa,
	                 s->range[range].speed_rev_s, &flow);
	b->sum += flow;
	double throat = c->throat.coefficient * jw_slide_area(&c->throat, &c->slide, m->path.lift_m);
	jw_gas_downstream_pressure(throat, &b->gas, m->path.mouth_pa, m->plate_kg_s, &pressure);
	b->sum += pressure;
	jw_gas_mass_flow(jw_carburetor_plate(c, s->range[range].throttle), &b->gas, m->path.plate_pa, m->manifold_pa,
	                 &flow);
	b->sum += flow;
	jw_gas_mass_flow(0.0, &b->gas, b->air.pressure_pa, m->manifold_pa, &flow);
	b->sum += flow;
}

static void networks(bench *b)
{
	const jw_carburetor *c = &b->setup->carburetor;
	for (int i = 0; i < JW_RANGE_COUNT; i++) {
		const jw_mixture *m = &b->at[i];
		double nozzle_pa = m->flow.bowl_pa - m->flow.depression_pa;
		jw_outlet annulus = {c->needle.coefficient * jw_needle_area(&c->needle, m->path.lift_m), nozzle_pa};
		double screw = c->screw.coefficient * jw_screw_area(&c->screw), port = 0.0;
		double angle = jw_plate_angle(&c->plate, b->setup->range[i].throttle);
		for (int k = 0; k < c->ports; k++)
			port += jw_port_exposure(&c->plate, &c->port[k], angle) * c->port[k].diameter_m * c->port[k].diameter_m;
		jw_outlet pilot[] = {{screw, m->manifold_pa}, {port, m->manifold_pa}, {port, m->path.plate_pa}};
		air_side(b, i);
		circuit(b, &c->main, &m->flow.main, m->flow.bowl_pa, m->path.box_pa, &annulus, 1);
		circuit(b, &c->pilot, &m->flow.pilot, m->flow.bowl_pa, m->path.box_pa, pilot, 3);
	}
}

/* Processor time of one of the six ranges, microseconds. */
static double per_range_us(bench *b, void (*work)(bench *b), int repeats)
{
	double start = processor_s();
	for (int i = 0; i < repeats; i++)
		work(b);
	return (processor_s() - start) * 1e6 / repeats / JW_RANGE_COUNT;
}

static double explain_ms(const char *name, int repeats)
{
	char path[128];
	jw_faults faults;
	jw_case_file *file;
	snprintf(path, sizeof path, "profiles/cases/%s.yaml", name);
	if (jw_case_load(path, "profiles", &file, &faults) < 0)
		return NAN;
	double start = processor_s();
	for (int i = 0; i < repeats; i++) {
		jw_report *report;
		if (jw_explain(jw_profile_setup(jw_case_profile(file)), jw_case_evidence(file), &report, NULL) >= 0)
			jw_report_free(report);
	}
	double spent = (processor_s() - start) * 1e3 / repeats;
	jw_case_free(file);
	return spent;
}

static double load_ms(int repeats)
{
	double start = processor_s();
	for (int i = 0; i < repeats; i++) {
		jw_faults faults;
		jw_profile *profile;
		if (jw_profile_load(ENGINE, "profiles", &profile, &faults) >= 0)
			jw_profile_free(profile);
	}
	return (processor_s() - start) * 1e3 / repeats;
}

static double fuel_ns(bench *b, int repeats)
{
	double start = processor_s();
	for (int i = 0; i < repeats; i++) {
		jw_fuel_state state;
		jw_fuel_at(&b->setup->fuel, 290.0 + 1e-6 * i, &state, NULL);
		b->sum += state.density_kg_m3;
	}
	return (processor_s() - start) * 1e9 / repeats;
}

static int prepare(bench *b, jw_profile **profile)
{
	jw_faults faults;
	jw_fuel_state fuel;
	if (jw_profile_load(ENGINE, "profiles", profile, &faults) < 0) {
		fprintf(stderr, "%s: %s\n", ENGINE, faults.count ? faults.item[0].message : "not loaded");
		return 0;
	}
	b->setup = jw_profile_setup(*profile);
	if (jw_air_from_humidity(101325.0, 293.15, 0.5, &b->air, NULL) < 0 ||
	    jw_fuel_at(&b->setup->fuel, 293.15 + b->setup->bowl_heating_k, &fuel, NULL) < 0)
		return 0;
	b->gas = (jw_gas){b->air.temperature_k, b->air.gas_constant_j_kg_k, b->air.viscosity_pa_s};
	b->fuel = (jw_liquid_flow){fuel.density_kg_m3, fuel.viscosity_m2_s};
	for (int i = 0; i < JW_RANGE_COUNT; i++)
		if (jw_mixture_at(b->setup, &b->air, &b->setup->range[i], &b->at[i], NULL) < 0)
			return 0;
	return 1;
}

typedef struct figure {
	const char *name;
	double value;
} figure;

/* 1 where every figure is a number. */
static int print(const figure *figures, size_t count, int json)
{
	int finite = 1;
	for (size_t i = 0; i < count; i++) {
		finite &= isfinite(figures[i].value) != 0;
		if (json)
			printf("%s\"%s\": %.6g", i ? ",\n\t" : "{\n\t", figures[i].name, figures[i].value);
		else
			printf("%-20s %.6g\n", figures[i].name, figures[i].value);
	}
	printf(json ? "\n}\n" : "");
	return finite;
}

static int measure(bench *b, int quick, int json)
{
	int repeats = quick ? 20 : 5000;
	double point = per_range_us(b, points, repeats), network = per_range_us(b, networks, 20 * repeats), explain = 0.0;
	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
		explain = fmax(explain, explain_ms(cases[i], quick ? 1 : 10));
	const figure figures[] = {
	    {"point_cost_ratio", network > 0.0 ? point / network : 0.0},
	    {"point_us", point},
	    {"network_us", network},
	    {"explain_cpu_ms", explain},
	    {"profile_load_ms", load_ms(quick ? 1 : 50)},
	    {"fuel_at_ns", fuel_ns(b, 1000 * repeats)},
	    {"coefficient_main", b->setup->coefficient.main},
	    {"coefficient_needle", b->setup->coefficient.needle},
	    {"coefficient_pilot", b->setup->coefficient.pilot},
	};
	return print(figures, sizeof figures / sizeof *figures, json);
}

int main(int count, char **word)
{
	bench b = {0};
	jw_profile *profile;
	int json = 0, quick = 0, times = 0, good = 1;
	void (*only)(bench * b) = NULL;
	for (int i = 1; i < count; i++) {
		json |= !strcmp(word[i], "--json");
		quick |= !strcmp(word[i], "--quick");
		if (!strcmp(word[i], "--only") && i + 2 < count) {
			only = strcmp(word[i + 1], "point") ? networks : points;
			times = atoi(word[i + 2]);
		}
	}
	if (!prepare(&b, &profile))
		return 1;
	for (int i = 0; only && i < times; i++)
		only(&b);
	if (!only)
		good = measure(&b, quick, json);
	jw_profile_free(profile);
	return good && isfinite(b.sum) ? 0 : 1;
}
