/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: point PROFILES. The mixture at one point and along a sweep, and how sure it is. */
#include "must.h"

static jw_air standard_air(void)
{
	jw_air air;
	jw_error error = {0};
	must(jw_air_from_humidity(101325, 288.15, 0, &air, &error), &error);
	return air;
}

static void show_ranges(const jw_setup *setup, const jw_air *air)
{
	jw_error error = {0};
	for (int range = 0; range < JW_RANGE_COUNT; range++) {
		jw_mixture mixture;
		must(jw_mixture_at(setup, air, &setup->range[range], &mixture, &error), &error);
		printf("%-13s lambda %.3f, %.2f g/s of air, %.0f mg/s of fuel\n", jw_range_name((jw_range)range),
		       1 / mixture.phi, 1e3 * mixture.air_kg_s, 1e6 * mixture.fuel_kg_s);
	}
}

/* Neighbours that follow one another are solved in half the time. */
static void show_sweep(const jw_setup *setup, const jw_air *air)
{
	enum { POINTS = 5 };
	jw_point points[POINTS];
	jw_mixture mixtures[POINTS], further;
	jw_status statuses[POINTS];
	jw_error error = {0};
	for (int i = 0; i < POINTS; i++)
		points[i] = (jw_point){.speed_rev_s = 60 + 5 * i, .throttle = 0.5};
	must(jw_mixture_map(setup, air, points, POINTS, mixtures, statuses, &error), &error);
	must(jw_mixture_near(setup, air, &setup->range[JW_HALF], &mixtures[POINTS - 1], &further, &error), &error);
	printf("half open, from %.0f to %.0f rpm: lambda %.3f to %.3f\n", 60 * points[0].speed_rev_s,
	       60 * points[POINTS - 1].speed_rev_s, 1 / mixtures[0].phi, 1 / mixtures[POINTS - 1].phi);
}

static void show_doubt(const jw_setup *setup, const jw_air *air)
{
	const jw_point *half = &setup->range[JW_HALF];
	const jw_unmeasured bore = {"carburetor.main.jet",
	                            offsetof(jw_setup, carburetor) + offsetof(jw_carburetor, main) +
	                                offsetof(jw_circuit, fuel_jet),
	                            sizeof(double),
	                            1,
	                            0.01,
	                            0};
	jw_coefficients slope;
	jw_error error = {0};
	jw_setup wider = *setup;
	double relative, all, of_bore;
	must(jw_mixture_sensitivity(setup, air, half, &slope, &error), &error);
	must(jw_mixture_uncertainty(setup, air, half, &relative, &error), &error);
	must(jw_mixture_contributions(setup, air, half, &bore, 1, NULL, &of_bore, &all, &error), &error);
	jw_setup_shift(&wider, &bore, 1);
	must(jw_setup_check(&wider, &error), &error);
	printf("one per cent on the main jet's flow gives %.2f %% of fuel; phi is known to %.1f %%, to %.1f %% with a bore "
	       "to one per cent"
	       " (%.3f mm or %.3f)\n",
	       slope.main, 100 * relative, 100 * all, 1e3 * setup->carburetor.main.fuel_jet.diameter_m,
	       1e3 * wider.carburetor.main.fuel_jet.diameter_m);
}

static void show_supply(const jw_setup *setup, const jw_air *air)
{
	const jw_point *full = &setup->range[JW_FULL];
	jw_setup shut = *setup;
	jw_supplied supplied;
	jw_lasting lasting;
	jw_error error = {0};
	shut.supply.vent_m = 0;
	must(jw_mixture_supplied(setup, air, full, &supplied, &error), &error);
	must(jw_supply_lasts(&shut, air, full, 1.2, 600, &lasting, &error), &error);
	printf("full throttle draws %.2f g/s, the supply could pass %.2f; with the cap's vent shut it leans after %.0f s\n",
	       1e3 * supplied.needed_kg_s, 1e3 * supplied.could_kg_s, lasting.seconds);
}

int main(int argc, char **argv)
{
	jw_profile *profile = engine_of(argc > 1 ? argv[1] : "profiles", "courier-150");
	const jw_setup *setup = jw_profile_setup(profile);
	const jw_air air = standard_air();
	show_ranges(setup, &air);
	show_sweep(setup, &air);
	show_doubt(setup, &air);
	show_supply(setup, &air);
	jw_profile_free(profile);
	return 0;
}
