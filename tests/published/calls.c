/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "calls.h"
#include "simple.h"

#include <jetwright/jetwright.h>
#include <math.h>

#define PI 3.14159265358979323846
/* The inputs of a call by place, and its one result. */
#define IN(place) (in[place].value[0])
#define OUT (out->value[0])

/* Row texts that take their coefficient as given need no viscosity. */
static jw_liquid_flow liquid_of(double density)
{
	return (jw_liquid_flow){density, 1e-6};
}

static jw_orifice jet_of(double diameter_m, double coefficient)
{
	return (jw_orifice){diameter_m, 2.0 * diameter_m, coefficient};
}

static jw_gas gas_of(double temperature_k, double gas_constant)
{
	return (jw_gas){temperature_k, gas_constant, 1.8e-5};
}

static double bore_of(double area_m2)
{
	return sqrt(4.0 * area_m2 / PI);
}

/* Air */

static jw_status atmosphere_temperature(const values *in, values *out)
{
	jw_atmosphere level = {0};
	jw_status status = jw_standard_atmosphere(IN(0), &level, NULL);
	OUT = level.temperature_k;
	return status;
}

static jw_status atmosphere_pressure(const values *in, values *out)
{
	jw_atmosphere level = {0};
	jw_status status = jw_standard_atmosphere(IN(0), &level, NULL);
	OUT = level.pressure_pa;
	return status;
}

static jw_status atmosphere_density(const values *in, values *out)
{
	jw_atmosphere level = {0};
	jw_status status = jw_standard_atmosphere(IN(0), &level, NULL);
	OUT = level.density_kg_m3;
	return status;
}

static jw_status geometric_temperature(const values *in, values *out)
{
	return atmosphere_temperature(&(values){{jw_geopotential_altitude(IN(0))}, 1}, out);
}

static jw_status geometric_density(const values *in, values *out)
{
	return atmosphere_density(&(values){{jw_geopotential_altitude(IN(0))}, 1}, out);
}

static jw_status enrichment(const values *in, values *out)
{
	jw_atmosphere ground, level = {0};
	jw_standard_atmosphere(0.0, &ground, NULL);
	jw_status status = jw_standard_atmosphere(IN(0), &level, NULL);
	OUT = 1.0 / jw_density_rule(level.density_kg_m3, ground.density_kg_m3) - 1.0;
	return status;
}

/* The jet's area follows lambda, its bore the root of that. */
static jw_status bore_factor(const values *in, values *out)
{
	jw_status status = enrichment(in, out);
	OUT = sqrt(1.0 / (1.0 + OUT));
	return status;
}

static jw_status afr_by_density(const values *in, values *out)
{
	OUT = IN(0) * jw_density_rule(IN(1), IN(2));
	return JW_OK;
}

static jw_status saturation(const values *in, values *out)
{
	OUT = jw_saturation_pressure(IN(0));
	return JW_OK;
}

static jw_status viscosity(const values *in, values *out)
{
	OUT = jw_air_viscosity(IN(0));
	return JW_OK;
}

static jw_status humidity_ratio(const values *in, values *out)
{
	OUT = jw_humidity_ratio(IN(0), IN(1));
	return JW_OK;
}

static jw_status power_correction(const values *in, values *out)
{
	OUT = jw_power_correction(IN(0), IN(1));
	return JW_OK;
}

static jw_status moist_density(const values *in, values *out)
{
	jw_air air = {0};
	jw_status status = jw_air_from_humidity(IN(0), IN(1), IN(2), &air, NULL);
	OUT = air.density_kg_m3;
	return status;
}

/* Humidity ratio -> vapour pressure -> relative humidity. */
static jw_status moist_density_at_ratio(const values *in, values *out)
{
	double vapour_pa = IN(0) * IN(2) / (0.621945 + IN(2));
	values humidity[3] = {in[0], in[1], {{vapour_pa / jw_saturation_pressure(IN(1))}, 1}};
	return moist_density(humidity, out);
}

/* Z = p M/(rho R T), R and the molar masses as CIPM-2007 has them. */
static jw_status moist_compressibility(const values *in, values *out)
{
	jw_air air = {0};
	jw_status status = jw_air_from_humidity(IN(0), IN(1), IN(2), &air, NULL);
	double molar_mass = 28.96546e-3 - air.vapour_fraction * (28.96546e-3 - 18.01528e-3);
	OUT = air.gas_constant_j_kg_k * molar_mass / 8.314472;
	return status;
}

/* Air that an engine draws at full throttle goes with p/sqrt(T), as the correction does but for its part of friction.
 * J1349 counts absolute temperature from 273, not 273.15. */
static jw_status air_by_correction(const values *in, values *out)
{
	OUT = (jw_power_correction(99e3, IN(0) + 0.15) + 0.18) / (jw_power_correction(99e3, IN(1) + 0.15) + 0.18);
	return JW_OK;
}

/* Fuel */

static jw_status volume_factor(const values *in, values *out)
{
	return jw_petroleum_volume_factor(IN(0), IN(1), &OUT, NULL);
}

/* What a hydrometer shows of fuel under pressure, whose compression is given. */
static jw_status observed_density(const values *in, values *out)
{
	jw_status status = volume_factor(in, out);
	OUT *= IN(0) / (1 - IN(2) * IN(3));
	return status;
}

static jw_status stoichiometric(const values *in, values *out)
{
	OUT = jw_stoichiometric_afr(IN(0), IN(1), IN(2));
	return JW_OK;
}

static jw_status petrol_expansion(const values *in, values *out)
{
	jw_fuel fuel = {.part = {{.liquid = JW_PETROL, .volume_fraction = 1.0, .density_15c_kg_m3 = IN(0)}}, .parts = 1};
	jw_fuel_state state = {0};
	jw_status status = jw_fuel_at(&fuel, IN(1), &state, NULL);
	OUT = state.density_kg_m3 / IN(0);
	return status;
}

static jw_status liquid_density(const values *in, values *out)
{
	double ignored;
	return jw_liquid_at((jw_liquid)IN(0), IN(1), &OUT, &ignored, NULL);
}

static jw_status liquid_viscosity(const values *in, values *out)
{
	double ignored;
	return jw_liquid_at((jw_liquid)IN(0), IN(1), &ignored, &OUT, NULL);
}

static jw_status specific_gravity(const values *in, values *out)
{
	jw_status status = liquid_density(in, out);
	OUT /= IN(2);
	return status;
}

static jw_status pure_fuel(const values *in, jw_fuel_state *state)
{
	jw_fuel fuel = {.part = {{.liquid = (jw_liquid)IN(0), .volume_fraction = 1.0}}, .parts = 1};
	return jw_fuel_at(&fuel, IN(1), state, NULL);
}

static jw_status fuel_viscosity(const values *in, values *out)
{
	jw_fuel_state state = {0};
	jw_status status = pure_fuel(in, &state);
	OUT = state.viscosity_m2_s;
	return status;
}

static jw_status fuel_heat(const values *in, values *out)
{
	jw_fuel_state state = {0};
	jw_status status = pure_fuel(in, &state);
	OUT = state.heating_value_j_kg;
	return status;
}

static jw_status ethanol_blend(const values *in, jw_fuel_state *state)
{
	jw_fuel fuel = {.part = {{.liquid = JW_PETROL,
	                          .volume_fraction = 1.0 - IN(0),
	                          .density_15c_kg_m3 = IN(1),
	                          .hydrogen_per_carbon = IN(2)},
	                         {.liquid = JW_ETHANOL, .volume_fraction = IN(0)}},
	                .parts = 2};
	return jw_fuel_at(&fuel, 288.15, state, NULL);
}

static jw_status blend_afr(const values *in, values *out)
{
	jw_fuel_state state = {0};
	jw_status status = ethanol_blend(in, &state);
	OUT = state.stoichiometric_afr;
	return status;
}

static jw_status blend_oxygen(const values *in, values *out)
{
	jw_fuel_state state = {0};
	jw_status status = ethanol_blend(in, &state);
	OUT = state.oxygen_mass_fraction;
	return status;
}

/* Liquid flow */

static jw_status discharge(const values *in, values *out)
{
	return jw_discharge_coefficient(IN(0), IN(1), &OUT);
}

static jw_status discharge_of_jet(const values *in, values *out)
{
	jw_orifice jet = {IN(0), IN(0) * IN(1), 0.0};
	jw_liquid_flow liquid = {IN(3), IN(4)};
	jw_status status = jw_liquid_mass_flow(&jet, &liquid, IN(2), &OUT);
	OUT /= jw_orifice_area(&jet) * sqrt(2.0 * IN(3) * IN(2));
	return status;
}

static jw_status liquid_flow(const values *in, values *out)
{
	jw_orifice jet = jet_of(IN(0), IN(1));
	jw_liquid_flow liquid = liquid_of(IN(2));
	return jw_liquid_mass_flow(&jet, &liquid, IN(3), &OUT);
}

static jw_status liquid_volume(const values *in, values *out)
{
	jw_status status = liquid_flow(in, out);
	OUT /= IN(2);
	return status;
}

static jw_status liquid_velocity(const values *in, values *out)
{
	jw_orifice bore = jet_of(0.02, IN(2));
	jw_liquid_flow liquid = liquid_of(IN(1));
	jw_status status = jw_liquid_mass_flow(&bore, &liquid, IN(0), &OUT);
	OUT /= IN(1) * jw_orifice_area(&bore);
	return status;
}

static jw_status liquid_bore(const values *in, values *out)
{
	jw_orifice shape = jet_of(1e-3, IN(3));
	jw_liquid_flow liquid = liquid_of(IN(2));
	return jw_bore_for_liquid_flow(&shape, &liquid, IN(0), IN(1), &OUT, NULL);
}

/* Drop across a jet, and the lip that the fuel has to climb. */
static jw_status liquid_drop(const values *in, values *out)
{
	jw_orifice jet = jet_of(IN(0), IN(1));
	jw_liquid_flow liquid = liquid_of(IN(2));
	jw_status status = jw_liquid_drop(&jet, &liquid, IN(3), &OUT, NULL);
	OUT += IN(4);
	return status;
}

/* A tank above a seat with nothing but the seat in the way. */
static jw_status open_seat(double head_m, double bore_m, double coefficient, double density, double *kg_s)
{
	jw_supply supply = {.head_m = head_m,
	                    .vent_m = 1.0,
	                    .tap_m = 1e3,
	                    .hose_m = 1.0,
	                    .seat_m = bore_m,
	                    .seat_coefficient = coefficient,
	                    .travel_m = 1e-3};
	jw_supply_ends ends = {.fuel = liquid_of(density),
	                       .air = {288.15, 287.05, 1.8e-5},
	                       .ambient_pa = 1e5,
	                       .bowl_pa = 1e5,
	                       .tank_pa = 1e5};
	jw_supply_flow flow = {0};
	jw_status status = jw_supply_pass(&supply, &ends, -1e-3, &flow, NULL);
	*kg_s = flow.kg_s;
	return status;
}

static jw_status seat_volume(const values *in, values *out)
{
	jw_status status = open_seat(IN(0), IN(1), IN(2), IN(3), &OUT);
	OUT /= IN(3);
	return status;
}

/* dt = A dh/Q by Simpson's rule over u, the root of the head, in which it is smooth. */
static jw_status drain_time(const values *in, values *out)
{
	enum { STEPS = 8 };
	double from = sqrt(IN(3)), to = sqrt(IN(4)), step = (from - to) / STEPS, density = 745.0;
	jw_status status = JW_OK;
	OUT = 0.0;
	for (int i = 0; i <= STEPS && status == JW_OK; i++) {
		double u = to + i * step, kg_s;
		status = open_seat(u * u, bore_of(IN(1)), IN(2), density, &kg_s);
		OUT += (i == 0 || i == STEPS ? 1 : i % 2 ? 4 : 2) * step / 3.0 * IN(0) * 2.0 * u * density / kg_s;
	}
	return status;
}

static jw_status pipe_drop(const values *in, values *out)
{
	jw_liquid_flow liquid = {IN(3), IN(4)};
	return jw_pipe_drop(IN(0), IN(1), &liquid, IN(2), &OUT, NULL);
}

static jw_status throat_for_fuel(const values *in, values *out)
{
	values drop;
	jw_status status = liquid_drop(in, &drop);
	if (status < 0)
		return status;
	values throat[4] = {{{1e-2}, 1}, in[7], in[5], drop}, flow;
	status = liquid_flow(throat, &flow);
	/* With the coefficient given, flow goes with the square of the bore. */
	OUT = 1e-2 * sqrt(IN(6) / flow.value[0]);
	return status;
}

static jw_status jet_for_throat(const values *in, values *out)
{
	values throat[5] = {in[2], in[3], in[1], in[0], {{0.0}, 1}}, drop;
	jw_status status = liquid_drop(throat, &drop);
	if (status < 0)
		return status;
	values jet[4] = {{{drop.value[0] - IN(4)}, 1}, in[5], in[6], in[7]};
	return liquid_bore(jet, out);
}

static jw_status throat_drop(const values *in, values *out)
{
	jw_engine engine = {.strokes = 4, .cylinders = (int)IN(2), .bore_m = IN(0), .stroke_m = IN(1)};
	double kg_s = jw_air_consumption(jw_displacement(&engine), engine.strokes, IN(3), IN(4), IN(5));
	values throat[5] = {in[6], in[7], in[5], {{kg_s}, 1}, {{0.0}, 1}};
	return liquid_drop(throat, out);
}

static jw_status afr_of_liquids(const values *in, values *out)
{
	values throat[4] = {in[0], in[1], in[2], in[6]};
	values jet[4] = {in[3], in[4], in[5], {{IN(6) - IN(7)}, 1}}, fuel;
	jw_status status = liquid_flow(throat, out) | liquid_flow(jet, &fuel);
	OUT /= fuel.value[0];
	return status;
}

/* The bowl stays at ambient while the throat falls by the loss of a filter: the jet sees the sum. */
static jw_status afr_at_two_drops(const values *in, values *out)
{
	values before[4] = {{{1e-3}, 1}, {{0.7}, 1}, {{745.0}, 1}, in[1]},
	       after[4] = {before[0], before[1], before[2], in[2]};
	values flow_before, flow_after;
	jw_status status = liquid_flow(before, &flow_before) | liquid_flow(after, &flow_after);
	OUT = IN(0) * flow_before.value[0] / flow_after.value[0];
	return status;
}

static jw_status restriction(const values *in, values *out)
{
	jw_orifice clean = jet_of(IN(0), 0.0);
	jw_liquid_flow petrol = {745.0, 0.55e-6};
	jw_restriction left = {0};
	jw_status status = jw_restrict(&clean, JW_BLOCKED_AREA, IN(1), &petrol, 2e3, &left, NULL);
	OUT = left.diameter_m;
	return status;
}

static jw_status drill_bore(const values *in, values *out)
{
	return jw_mark_bore(JW_MARK_NUMBER_DRILL, IN(0), NULL, &OUT, NULL);
}

/* Gas flow */

static jw_status compressibility(const values *in, values *out)
{
	OUT = jw_compressibility_factor(IN(0), IN(1));
	return JW_OK;
}

static jw_status critical_ratio(const values *in, values *out)
{
	OUT = jw_critical_pressure_ratio(IN(0));
	return JW_OK;
}

static jw_status critical_temperature(const values *in, values *out)
{
	OUT = IN(0) * pow(jw_critical_pressure_ratio(IN(1)), (IN(1) - 1.0) / IN(1));
	return JW_OK;
}

static jw_status gas_flow(const values *in, values *out)
{
	jw_gas gas = gas_of(IN(1), IN(2));
	return jw_gas_mass_flow(IN(0), &gas, IN(3), IN(4), &OUT);
}

static jw_status choked_flow(const values *in, values *out)
{
	jw_gas gas = gas_of(IN(1), IN(2));
	OUT = jw_gas_choked_flow(IN(0), &gas, IN(3));
	return JW_OK;
}

static jw_status choked_over_flow(const values *in, values *out)
{
	values state[5] = {{{1e-4}, 1}, {{300.0}, 1}, {{287.0}, 1}, {{1e5}, 1}, {{1e5 * IN(0)}, 1}}, flow;
	jw_status status = choked_flow(state, out) | gas_flow(state, &flow);
	OUT /= flow.value[0];
	return status;
}

/* Velocity in a throat where the density has fallen with the pressure. */
static jw_status gas_velocity(const values *in, values *out)
{
	values per_area[5] = {{{1.0}, 1}, in[2], in[3], in[0], in[1]};
	jw_status status = gas_flow(per_area, out);
	OUT /= IN(0) / (IN(3) * IN(2)) * pow(IN(1) / IN(0), 1 / 1.4);
	return status;
}

/* The flow of a Mach number (NASA's mass flow equation), and the pressure that drives it. */
static jw_status ratio_at_mach(const values *in, values *out)
{
	jw_gas air = gas_of(300.0, 287.0);
	double kg_s = 1e5 / sqrt(300.0) * sqrt(1.4 / 287.0) * IN(0) * pow(1 + 0.2 * IN(0) * IN(0), -3);
	jw_status status = jw_gas_downstream_pressure(1.0, &air, 1e5, kg_s, &OUT);
	OUT /= 1e5;
	return status;
}

/* A tube of blocked_ratio times the throat's diameter stands in it. */
static jw_status gas_bore(const values *in, values *out)
{
	values unit[5] = {{{1.0}, 1}, in[2], in[3], in[0], in[1]}, per_area;
	jw_status status = gas_flow(unit, &per_area);
	OUT = bore_of(IN(4) / (IN(5) * per_area.value[0]) / (1.0 - IN(6) * IN(6)));
	return status;
}

static jw_status afr_of_gas_and_liquid(const values *in, values *out)
{
	jw_orifice throat = jet_of(IN(0), IN(1));
	values air[5] = {{{IN(1) * jw_orifice_area(&throat)}, 1}, in[3], in[4], in[2], {{IN(2) - IN(5)}, 1}};
	values jet[4] = {in[6], in[7], in[8], {{IN(5) - IN(9)}, 1}}, fuel;
	jw_status status = gas_flow(air, out) | liquid_flow(jet, &fuel);
	OUT /= fuel.value[0];
	return status;
}

static jw_status orifice_expansibility(const values *in, values *out)
{
	OUT = jw_orifice_expansibility(IN(0), IN(1), IN(2));
	return JW_OK;
}

static jw_status nozzle_expansibility(const values *in, values *out)
{
	OUT = jw_nozzle_expansibility(IN(0), IN(1), IN(2));
	return JW_OK;
}

/* Emulsion and circuit. The gas density is set through R T at a pressure of 1e5 Pa. */

static jw_emulsion emulsion_of(const values *in)
{
	return (jw_emulsion){IN(0), IN(1), 1e5 / IN(2), 0};
}

static jw_status emulsion_density(const values *in, values *out)
{
	jw_emulsion emulsion = emulsion_of(in);
	OUT = jw_emulsion_density(&emulsion, 1e5);
	return JW_OK;
}

static jw_status void_fraction(const values *in, values *out)
{
	jw_emulsion emulsion = emulsion_of(in);
	OUT = jw_void_fraction(&emulsion, 1e5);
	return JW_OK;
}

static jw_status mixture_viscosity(const values *in, values *out)
{
	OUT = jw_mixture_viscosity(IN(0), IN(1), IN(2));
	return JW_OK;
}

static jw_status circuit_of(double pressure_pa, double drop_pa, jw_orifice jet, jw_orifice bleed, double outlet_m2,
                            double density, double air_density, jw_circuit_flow *flow)
{
	jw_circuit circuit = {.fuel_jet = jet, .air_jet = bleed, .fuel_coefficient = 1.0};
	jw_circuit_ends ends = {.bowl_pa = pressure_pa,
	                        .air_pa = pressure_pa,
	                        .outlet = {{outlet_m2, pressure_pa - drop_pa}},
	                        .outlets = 1,
	                        .fuel = liquid_of(density),
	                        .air = gas_of(300.0, pressure_pa / (300.0 * air_density))};
	return jw_circuit_solve(&circuit, &ends, flow, NULL);
}

static jw_status circuit_fuel(const values *in, values *out)
{
	jw_circuit_flow flow = {0};
	jw_status status = circuit_of(IN(0), IN(1), jet_of(IN(2), IN(3)), jet_of(0.0, 0.0), IN(4), IN(5), 1.2, &flow);
	OUT = flow.fuel_kg_s;
	return status;
}

/* The rows take air as incompressible. What that costs falls as 1/pressure at one density: twice the flow at a high
 * pressure less the flow at half of it leaves the square of that. */
static double stiff(double at_high, double at_half)
{
	return 2.0 * at_high - at_half;
}

static jw_status stiff_circuit(const values *in, jw_circuit_flow *flow)
{
	jw_circuit_flow high = {0}, half = {0};
	jw_orifice jet = jet_of(IN(1), IN(2)), bleed = jet_of(IN(3), IN(4));
	jw_status status = circuit_of(1e6, IN(0), jet, bleed, IN(5), IN(6), IN(7), &high);
	if (status >= 0)
		status = circuit_of(5e5, IN(0), jet, bleed, IN(5), IN(6), IN(7), &half);
	flow->fuel_kg_s = stiff(high.fuel_kg_s, half.fuel_kg_s);
	flow->bleed_kg_s = stiff(high.bleed_kg_s, half.bleed_kg_s);
	flow->well_pa = stiff(high.well_pa - 1e6, half.well_pa - 5e5);
	return status;
}

static jw_status stiff_fuel(const values *in, values *out)
{
	jw_circuit_flow flow;
	jw_status status = stiff_circuit(in, &flow);
	OUT = flow.fuel_kg_s;
	return status;
}

static jw_status stiff_bleed(const values *in, values *out)
{
	jw_circuit_flow flow;
	jw_status status = stiff_circuit(in, &flow);
	OUT = flow.bleed_kg_s;
	return status;
}

static jw_status stiff_depression(const values *in, values *out)
{
	jw_circuit_flow flow;
	jw_status status = stiff_circuit(in, &flow);
	OUT = -flow.well_pa;
	return status;
}

/* Engine */

static jw_status air_consumption(const values *in, values *out)
{
	OUT = jw_air_consumption(IN(0), (int)IN(1), IN(2), IN(3), IN(4));
	return JW_OK;
}

/* The engine fills with a volume of air and fuel vapour. */
static jw_status fuel_in_mixture(const values *in, values *out)
{
	double m3_s = jw_air_consumption(IN(0), 4, IN(1), IN(2), 1.0);
	OUT = m3_s * IN(3) / (IN(4) * (IN(5) * IN(6) + IN(7)));
	return JW_OK;
}

static jw_status efficiency(const values *in, values *out)
{
	OUT = IN(4) / jw_air_consumption(IN(0), (int)IN(1), IN(2), 1.0, IN(3));
	return JW_OK;
}

static jw_status pulse_gain(const values *in, values *out)
{
	OUT = jw_pulse_factor(IN(0)) - 1.0;
	return JW_OK;
}

static jw_status pulse_root(const values *in, values *out)
{
	OUT = sqrt(jw_pulse_factor(IN(0)));
	return JW_OK;
}

/* Diagnosis */

static jw_status entropy(const values *in, values *out)
{
	OUT = jw_entropy(in[0].value, in[0].count);
	return JW_OK;
}

static jw_status posterior(const values *in, values *out)
{
	out->count = in[0].count;
	return jw_posterior(in[0].value, in[1].value, in[0].count, out->value, NULL);
}

/* Posterior of the first hypothesis, solved for the divisor. */
static jw_status result_probability(const values *in, values *out)
{
	double after[VALUES_MAX];
	jw_status status = jw_posterior(in[0].value, in[1].value, in[0].count, after, NULL);
	if (status >= 0)
		OUT = IN(0) * IN(1) / after[0];
	return status;
}

static jw_status expected_minutes(const values *in, values *out)
{
	OUT = jw_expected_minutes(in[0].value, in[1].value, in[0].count);
	return JW_OK;
}

static jw_status minutes_in_order(const values *in, values *out)
{
	OUT = jw_minutes_in_order(in[0].value, in[1].value, in[0].count);
	return JW_OK;
}

static jw_status expected_information(const values *in, values *out)
{
	int outcomes = in[1].count / in[0].count;
	OUT = jw_expected_information(in[0].value, in[1].value, in[0].count, outcomes);
	return JW_OK;
}

static jw_status lambda_from_gas(const values *in, values *out)
{
	const jw_gas_analysis gas = {.co = IN(0), .co2 = IN(1), .o2 = IN(2), .hc = IN(3), .no = IN(4)};
	return jw_lambda_from_gas(&gas, IN(5), IN(6), &OUT, NULL);
}

/* Air and entering fuel both step from 1 to 2; the film was in balance before. */
static jw_status film_fuel(const values *in, values *out)
{
	const jw_wall wall = {IN(0), IN(1)};
	const double entering[2] = {2.0, 2.0};
	double film = IN(0) * IN(1);
	return jw_film_step(&wall, entering, IN(2), &film, &OUT, NULL);
}

static jw_status film_lambda(const values *in, values *out)
{
	jw_status status = film_fuel(in, out);
	OUT = 2.0 / OUT;
	return status;
}

#define STIFF "drop_pa jet_m coefficient bleed_m bleed_coefficient outlet_m2 density air_density"

/* Uncertainty */

#define UNCERTAIN "mean uncertainty freedom"

/* End gauge against a standard: its length, the difference read, expansion, temperature, and both differences, SI. */
static jw_status end_gauge(const double *x, double *length, void *context)
{
	(void)context;
	*length = x[0] + x[1] - x[0] * (x[4] * x[3] + x[2] * x[5]);
	return JW_OK;
}

static jw_status sum_of_all(const double *x, double *y, void *context)
{
	const int *count = context;
	*y = 0;
	for (int i = 0; i < *count; i++)
		*y += x[i];
	return JW_OK;
}

/* Lengths before and after, temperatures before and after. */
static jw_status expansion(const double *x, double *per_kelvin, void *context)
{
	(void)context;
	*per_kelvin = (x[1] - x[0]) / (x[0] * (x[3] - x[2]));
	return JW_OK;
}

static jw_status logarithm(const double *x, double *y, void *context)
{
	(void)context;
	*y = log(x[0]);
	return JW_OK;
}

/* Lists of means, standard uncertainties and degrees of freedom. */
static int inputs_of(const values *in, jw_distribution distribution, jw_input inputs[VALUES_MAX])
{
	for (int i = 0; i < in[0].count; i++)
		inputs[i] = (jw_input){in[0].value[i], in[1].value[i], in[2].value[i], distribution};
	return in[0].count;
}

static jw_status first_order(jw_model model, const values *in, jw_propagation *found)
{
	jw_input inputs[VALUES_MAX];
	int count = inputs_of(in, JW_NORMAL, inputs);
	return jw_propagate(model, NULL, inputs, count, 0.01, NULL, found, NULL);
}

static jw_status gauge_uncertainty(const values *in, values *out)
{
	jw_propagation found = {0};
	jw_status status = first_order(end_gauge, in, &found);
	OUT = found.uncertainty;
	return status;
}

/* Cut to a whole number, as JCGM 100, G.4.1 does. */
static jw_status gauge_freedom(const values *in, values *out)
{
	jw_propagation found = {0};
	jw_status status = first_order(end_gauge, in, &found);
	OUT = floor(found.freedom);
	return status;
}

static jw_status gauge_second(const values *in, values *out)
{
	jw_input inputs[VALUES_MAX];
	int count = inputs_of(in, JW_NORMAL, inputs);
	return jw_propagate_second(end_gauge, NULL, inputs, count, 0.1, &OUT, NULL);
}

static jw_status expansion_uncertainty(const values *in, values *out)
{
	jw_propagation found = {0};
	jw_status status = first_order(expansion, in, &found);
	OUT = found.uncertainty;
	return status;
}

static jw_status logarithm_uncertainty(const values *in, values *out)
{
	jw_propagation found = {0};
	jw_status status = first_order(logarithm, in, &found);
	OUT = found.uncertainty;
	return status;
}

static jw_status coverage(const values *in, values *out)
{
	return jw_coverage_factor(IN(0), IN(1), &OUT, NULL);
}

#define SAMPLES 65535

static jw_status sampled(jw_model model, const values *in, jw_distribution distribution, double probability,
                         jw_sampling *found)
{
	static double outputs[SAMPLES];
	jw_input inputs[VALUES_MAX];
	int count = inputs_of(in, distribution, inputs);
	return jw_sample(model, &count, inputs, count, SAMPLES, probability, outputs, found, NULL);
}

static jw_status gauge_sampled(const values *in, values *out)
{
	jw_sampling found = {0};
	jw_status status = sampled(end_gauge, in, JW_NORMAL, 0.95, &found);
	OUT = found.deviation;
	return status;
}

static jw_status normal_sum(const values *in, values *out)
{
	jw_sampling found = {0};
	jw_status status = sampled(sum_of_all, in, JW_NORMAL, IN(3), &found);
	*out = (values){{-found.low, found.high}, 2};
	return status;
}

static jw_status rectangular_sum(const values *in, values *out)
{
	jw_sampling found = {0};
	jw_status status = sampled(sum_of_all, in, JW_RECTANGULAR, IN(3), &found);
	*out = (values){{-found.low, found.high}, 2};
	return status;
}

static jw_status logarithm_mean(const values *in, values *out)
{
	jw_sampling found = {0};
	jw_status status = sampled(logarithm, in, JW_RECTANGULAR, 0.95, &found);
	OUT = found.mean;
	return status;
}

static jw_status logarithm_deviation(const values *in, values *out)
{
	jw_sampling found = {0};
	jw_status status = sampled(logarithm, in, JW_RECTANGULAR, 0.95, &found);
	OUT = found.deviation;
	return status;
}

const call calls[] = {
    {"jw_standard_atmosphere temperature", "geopotential_m", atmosphere_temperature},
    {"jw_standard_atmosphere pressure", "geopotential_m", atmosphere_pressure},
    {"jw_standard_atmosphere density", "geopotential_m", atmosphere_density},
    {"jw_standard_atmosphere at jw_geopotential_altitude temperature", "geometric_m", geometric_temperature},
    {"jw_standard_atmosphere at jw_geopotential_altitude density", "geometric_m", geometric_density},
    {"enrichment by jw_density_rule in jw_standard_atmosphere", "geopotential_m", enrichment},
    {"bore factor by jw_density_rule in jw_standard_atmosphere", "geopotential_m", bore_factor},
    {"afr by jw_density_rule", "afr density reference", afr_by_density},
    {"jw_saturation_pressure", "temperature_k", saturation},
    {"jw_air_viscosity", "temperature_k", viscosity},
    {"jw_humidity_ratio", "vapour_pa pressure_pa", humidity_ratio},
    {"jw_power_correction", "dry_pressure_pa temperature_k", power_correction},
    {"air drawn by jw_power_correction", "reference_k temperature_k", air_by_correction},
    {"jw_air_from_humidity density", "pressure_pa temperature_k humidity", moist_density},
    {"jw_air_from_humidity at a humidity ratio", "pressure_pa temperature_k humidity_ratio", moist_density_at_ratio},
    {"compressibility in jw_air_from_humidity", "pressure_pa temperature_k humidity", moist_compressibility},
    {"jw_petroleum_volume_factor", "density_60f temperature_k", volume_factor},
    {"observed density by jw_petroleum_volume_factor", "density_60f temperature_k compressibility_1_pa gauge_pa",
     observed_density},
    {"jw_stoichiometric_afr", "carbon hydrogen oxygen", stoichiometric},
    {"expansion of petrol in jw_fuel_at", "density_15c temperature_k", petrol_expansion},
    {"jw_liquid_at density", "liquid temperature_k", liquid_density},
    {"jw_liquid_at viscosity", "liquid temperature_k", liquid_viscosity},
    {"specific gravity of jw_liquid_at", "liquid temperature_k water_density", specific_gravity},
    {"jw_fuel_at viscosity", "liquid temperature_k", fuel_viscosity},
    {"jw_fuel_at heating value", "liquid temperature_k", fuel_heat},
    {"jw_fuel_at stoichiometric afr", "ethanol density_15c hydrogen_per_carbon", blend_afr},
    {"jw_fuel_at oxygen", "ethanol density_15c hydrogen_per_carbon", blend_oxygen},
    {"jw_discharge_coefficient", "reynolds length_ratio", discharge},
    {"coefficient of jw_liquid_mass_flow", "diameter_m length_ratio drop_pa density viscosity_m2_s", discharge_of_jet},
    {"jw_liquid_mass_flow", "diameter_m coefficient density drop_pa", liquid_flow},
    {"volume of jw_supply_pass", "head_m seat_m coefficient density", seat_volume},
    {"time of jw_supply_pass", "tank_m2 hole_m2 coefficient from_m to_m", drain_time},
    {"jw_pipe_drop", "bore_m length_m kg_s density viscosity_m2_s", pipe_drop},
    {"volume of jw_liquid_mass_flow", "diameter_m coefficient density drop_pa", liquid_volume},
    {"velocity of jw_liquid_mass_flow", "drop_pa density coefficient", liquid_velocity},
    {"jw_bore_for_liquid_flow", "drop_pa kg_s density coefficient", liquid_bore},
    {"jw_liquid_drop", "jet_m coefficient density kg_s lip_pa", liquid_drop},
    {"bore of jw_liquid_mass_flow at jw_liquid_drop",
     "jet_m coefficient fuel_density fuel_kg_s lip_pa air_density air_kg_s throat_coefficient", throat_for_fuel},
    {"jw_bore_for_liquid_flow at jw_liquid_drop",
     "air_kg_s air_density throat_m throat_coefficient lip_pa fuel_kg_s fuel_density coefficient", jet_for_throat},
    {"jw_liquid_drop at jw_air_consumption", "bore_m stroke_m cylinders speed_rev_s ve density throat_m coefficient",
     throat_drop},
    {"ratio of jw_liquid_mass_flow",
     "throat_m throat_coefficient air_density jet_m coefficient fuel_density drop_pa lip_pa", afr_of_liquids},
    {"afr by jw_liquid_mass_flow at two drops", "afr drop_pa drop_after_pa", afr_at_two_drops},
    {"jw_restrict", "diameter_m blocked", restriction},
    {"jw_mark_bore of a number drill", "number", drill_bore},
    {"jw_compressibility_factor", "pressure_ratio gamma", compressibility},
    {"jw_critical_pressure_ratio", "gamma", critical_ratio},
    {"critical temperature by jw_critical_pressure_ratio", "temperature_k gamma", critical_temperature},
    {"jw_gas_mass_flow", "area_m2 temperature_k gas_constant upstream_pa downstream_pa", gas_flow},
    {"jw_gas_choked_flow", "area_m2 temperature_k gas_constant upstream_pa", choked_flow},
    {"ratio of jw_gas_choked_flow and jw_gas_mass_flow", "pressure_ratio", choked_over_flow},
    {"bore of jw_gas_mass_flow", "upstream_pa downstream_pa temperature_k gas_constant kg_s coefficient blocked_ratio",
     gas_bore},
    {"ratio of jw_gas_mass_flow and jw_liquid_mass_flow",
     "throat_m throat_coefficient pressure_pa temperature_k gas_constant drop_pa jet_m coefficient density lip_pa",
     afr_of_gas_and_liquid},
    {"velocity of jw_gas_mass_flow", "upstream_pa downstream_pa temperature_k gas_constant", gas_velocity},
    {"ratio by jw_gas_downstream_pressure at a Mach number", "mach", ratio_at_mach},
    {"jw_orifice_expansibility", "diameter_ratio pressure_ratio gamma", orifice_expansibility},
    {"jw_nozzle_expansibility", "diameter_ratio pressure_ratio gamma", nozzle_expansibility},
    {"jw_emulsion_density", "quality liquid_density gas_density", emulsion_density},
    {"jw_void_fraction", "quality liquid_density gas_density", void_fraction},
    {"jw_mixture_viscosity", "quality gas_pa_s liquid_pa_s", mixture_viscosity},
    {"jw_circuit_solve fuel", "pressure_pa drop_pa jet_m coefficient outlet_m2 density", circuit_fuel},
    {"fuel of jw_circuit_solve where gas is stiff", STIFF, stiff_fuel},
    {"bleed of jw_circuit_solve where gas is stiff", STIFF, stiff_bleed},
    {"well depression of jw_circuit_solve where gas is stiff", STIFF, stiff_depression},
    {"jw_lambda_from_gas", "co co2 o2 hc no hydrogen oxygen", lambda_from_gas},
    {"jw_air_consumption", "displacement_m3 strokes speed_rev_s ve density", air_consumption},
    {"fuel in the mixture of jw_air_consumption",
     "displacement_m3 speed_rev_s ve pressure_pa temperature_k afr air_gas_constant fuel_gas_constant",
     fuel_in_mixture},
    {"ratio of jw_air_consumption", "displacement_m3 strokes speed_rev_s density air_kg_s", efficiency},
    {"gain less one of jw_pulse_factor", "duty", pulse_gain},
    {"root of jw_pulse_factor", "duty", pulse_root},
    {"fuel to the cylinder by jw_film_step", "share constant_s time_s", film_fuel},
    {"lambda by jw_film_step", "share constant_s time_s", film_lambda},
    {"jw_entropy", "p", entropy},
    {"jw_posterior", "prior likelihood", posterior},
    {"probability of a result by jw_posterior", "prior likelihood", result_probability},
    {"jw_expected_information", "prior outcome", expected_information},
    {"jw_expected_minutes", "probability minutes", expected_minutes},
    {"jw_minutes_in_order", "probability minutes", minutes_in_order},
    {"uncertainty of an end gauge by jw_propagate", UNCERTAIN, gauge_uncertainty},
    {"freedom of an end gauge by jw_propagate", UNCERTAIN, gauge_freedom},
    {"uncertainty of an end gauge by jw_propagate_second", UNCERTAIN, gauge_second},
    {"uncertainty of an end gauge by jw_sample", UNCERTAIN, gauge_sampled},
    {"jw_coverage_factor", "freedom probability", coverage},
    {"ends of a normal sum by jw_sample", UNCERTAIN " probability", normal_sum},
    {"ends of a rectangular sum by jw_sample", UNCERTAIN " probability", rectangular_sum},
    {"uncertainty of an expansion by jw_propagate", UNCERTAIN, expansion_uncertainty},
    {"uncertainty of a logarithm by jw_propagate", UNCERTAIN, logarithm_uncertainty},
    {"mean of a logarithm by jw_sample", UNCERTAIN, logarithm_mean},
    {"deviation of a logarithm by jw_sample", UNCERTAIN, logarithm_deviation},
    {"afr of a profile by jw_mixture_at", "example pressure_pa temperature_k", simple_afr},
    {"throat velocity of a profile by jw_mixture_at", "example pressure_pa temperature_k", simple_velocity},
    {"afr of a profile by jw_carburetor_air and jw_carburetor_fuel", "example pressure_pa temperature_k drop_pa",
     simple_afr_at_drop},
    {"start of fuel by jw_carburetor_air and jw_carburetor_fuel", "example pressure_pa temperature_k", simple_start},
    {NULL, NULL, NULL},
};
