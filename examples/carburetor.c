/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Usage: carburetor PROFILES. A carburetor at a flow of air: where the slide floats, how hard it pulls, what fuel
 * comes. */
#include "must.h"

static const jw_gas air = {288.15, JW_AIR_GAS_CONSTANT, 1.79e-5};
static const double ambient_pa = 101325;

static void show_areas(const jw_carburetor *c)
{
	const jw_orifice rodded = jw_rod_jet(&c->main.fuel_jet, &c->rod, 0.5);
	printf("half open: plate at %.0f degrees leaves %.1f mm2 (%.1f as it flows), slide at 5 mm %.1f, needle %.3f, main "
	       "jet %.3f\n",
	       57.2958 * jw_plate_angle(&c->plate, 0.5), 1e6 * jw_plate_area(&c->plate, jw_plate_angle(&c->plate, 0.5)),
	       1e6 * jw_carburetor_plate(c, 0.5), 1e6 * jw_slide_area(&c->throat, &c->slide, 5e-3),
	       1e6 * jw_needle_area(&c->needle, 5e-3), 1e6 * jw_orifice_area(&rodded));
	printf("idle stop: screw leaves %.3f mm2 of the outlet, the plate's edge %.0f %% of the first port\n",
	       1e6 * jw_screw_area(&c->screw), 100 * jw_port_exposure(&c->plate, &c->port[0], c->plate.idle_rad));
}

static void show_flow(const jw_carburetor *c)
{
	const jw_controls controls = {.throttle = 0.5};
	jw_error error = {0};
	jw_air_path path;
	jw_carburetor_flow flow;
	double lift_m;
	must(jw_slide_lift(&c->throat, &c->slide, &air, ambient_pa, ambient_pa, 5e-3, 1, &lift_m, &error), &error);
	must(jw_carburetor_air(c, &controls, &air, ambient_pa, 5e-3, 1.2, &path, &error), &error);
	const jw_fuel_ends ends = {.path = path,
	                           .ambient_pa = ambient_pa,
	                           .manifold_pa = 0.8 * ambient_pa,
	                           .controls = controls,
	                           .main_gain = 1.1,
	                           .fuel = {745, 0.55e-6},
	                           .air = air};
	must(jw_carburetor_fuel(c, &ends, &flow, &error), &error);
	printf("5 g/s of %.1f it can pass: slide at %.1f mm (%.0f Pa float it), pull %.0f Pa, usual %.0f; main %.0f mg/s, "
	       "pilot %.0f\n",
	       1e3 * jw_carburetor_capacity(c, &controls, &air, ambient_pa), 1e3 * lift_m,
	       jw_slide_depression(&c->slide, lift_m), flow.depression_pa,
	       jw_carburetor_reference(c, &air, ambient_pa, 5e-3), 1e6 * flow.main.fuel_kg_s, 1e6 * flow.pilot.fuel_kg_s);
}

/* What only other carburetors have. */
static void show_others(void)
{
	const jw_screw air_screw = {
	    .kind = JW_AIR_SCREW, .turns = 1.5, .pitch_m = 0.75e-3, .air_seat_m = 1.5e-3, .cone_rad = 0.35};
	const jw_choke choke = {.bore_m = 30e-3, .shaft_m = 6e-3, .closed_rad = 0.2, .relief_m2 = 2e-5};
	const jw_pump pump = {
	    .shot_m3 = 0.8e-6, .plunger_m = 12e-3, .spring_n = 3, .nozzle = {.diameter_m = 0.4e-3}, .to_throttle = 0.5};
	const jw_timer timer = {.constant_s = 120, .heating_k = 60, .open_k = 283.15, .shut_k = 318.15};
	const jw_liquid_flow petrol = {745, 0.55e-6};
	printf("air screw %.3f mm2; choke half shut %.0f mm2; pump %.0f %% down at a quarter, %.0f Pa, %.0f mg/s; "
	       "enrichener %.2f open after"
	       " a minute\n",
	       1e6 * jw_air_screw_area(&air_screw), 1e6 * jw_choke_area(&choke, 0.5), 100 * jw_pump_travel(&pump, 0.25),
	       jw_pump_pressure(&pump), 1e6 * jw_pump_flow(&pump, &petrol), jw_enrichener_opening(&timer, 60, 278.15));
}

int main(int argc, char **argv)
{
	jw_profile *profile = engine_of(argc > 1 ? argv[1] : "profiles", "courier-150");
	show_areas(&jw_profile_setup(profile)->carburetor);
	show_flow(&jw_profile_setup(profile)->carburetor);
	show_others();
	jw_profile_free(profile);
	return 0;
}
