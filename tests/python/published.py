# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs every row of tests/published/*.csv through the binding, as published.c runs it through the library. What a row
means stands in tests/published/README.md and calls.c; units and numbers of rows are those of published.c."""
import csv
import math
import re
import sys
import warnings

import support

import jetwright as jw
import numpy as np

FOLDER = support.ROOT / "tests" / "published"
VISCOSITY_M2_S = 1e-6  # of a liquid whose coefficient the row gives
ROWS = {}


def row(name):
    """The function that works out the rows of a name; its parameters are their inputs."""

    def known(function):
        ROWS[name] = function
        return function

    return known


def liquid(density):
    return jw.LiquidFlow(density, VISCOSITY_M2_S)


def jet(diameter_m, coefficient):
    return jw.Orifice(diameter_m, 2.0 * diameter_m, coefficient)


def gas(temperature_k, gas_constant):
    return jw.Gas(temperature_k, gas_constant, 1.8e-5)


def bore_of(area_m2):
    return math.sqrt(4.0 * area_m2 / math.pi)


# Air

def level(member, geopotential_m):
    return getattr(jw.standard_atmosphere(geopotential_m), member)


row("jw_standard_atmosphere temperature")(lambda geopotential_m: level("temperature_k", geopotential_m))
row("jw_standard_atmosphere pressure")(lambda geopotential_m: level("pressure_pa", geopotential_m))
row("jw_standard_atmosphere density")(lambda geopotential_m: level("density_kg_m3", geopotential_m))
row("jw_standard_atmosphere at jw_geopotential_altitude temperature")(
    lambda geometric_m: level("temperature_k", jw.geopotential_altitude(geometric_m)))
row("jw_standard_atmosphere at jw_geopotential_altitude density")(
    lambda geometric_m: level("density_kg_m3", jw.geopotential_altitude(geometric_m)))
row("jw_saturation_pressure")(jw.saturation_pressure)
row("jw_air_viscosity")(jw.air_viscosity)
row("jw_humidity_ratio")(jw.humidity_ratio)
row("jw_power_correction")(jw.power_correction)
row("afr by jw_density_rule")(lambda afr, density, reference: afr * jw.density_rule(density, reference))


@row("enrichment by jw_density_rule in jw_standard_atmosphere")
def enrichment(geopotential_m):
    return 1.0 / jw.density_rule(level("density_kg_m3", geopotential_m), level("density_kg_m3", 0.0)) - 1.0


@row("bore factor by jw_density_rule in jw_standard_atmosphere")
def bore_factor(geopotential_m):
    return math.sqrt(1.0 / (1.0 + enrichment(geopotential_m)))


@row("jw_air_from_humidity density")
def moist_density(pressure_pa, temperature_k, humidity):
    return jw.air_from_humidity(pressure_pa, temperature_k, humidity).density_kg_m3


@row("jw_air_from_humidity at a humidity ratio")
def moist_density_at_ratio(pressure_pa, temperature_k, humidity_ratio):
    vapour_pa = pressure_pa * humidity_ratio / (0.621945 + humidity_ratio)
    return moist_density(pressure_pa, temperature_k, vapour_pa / jw.saturation_pressure(temperature_k))


@row("compressibility in jw_air_from_humidity")
def compressibility_of_air(pressure_pa, temperature_k, humidity):
    air = jw.air_from_humidity(pressure_pa, temperature_k, humidity)
    molar_mass = 28.96546e-3 - air.vapour_fraction * (28.96546e-3 - 18.01528e-3)
    return air.gas_constant_j_kg_k * molar_mass / 8.314472


@row("air drawn by jw_power_correction")
def air_by_correction(reference_k, temperature_k):
    before, after = (jw.power_correction(99e3, kelvin + 0.15) for kelvin in (reference_k, temperature_k))
    return (before + 0.18) / (after + 0.18)


# Fuel

row("jw_petroleum_volume_factor")(
    lambda density_60f, temperature_k: jw.petroleum_volume_factor(density_60f, temperature_k))
row("jw_stoichiometric_afr")(jw.stoichiometric_afr)
row("jw_liquid_at density")(lambda liquid, temperature_k: jw.liquid_at(int(liquid), temperature_k).density_kg_m3)
row("jw_liquid_at viscosity")(lambda liquid, temperature_k: jw.liquid_at(int(liquid), temperature_k).viscosity_pa_s)
row("specific gravity of jw_liquid_at")(
    lambda liquid, temperature_k, water_density: jw.liquid_at(int(liquid), temperature_k).density_kg_m3 / water_density)


@row("observed density by jw_petroleum_volume_factor")
def observed_density(density_60f, temperature_k, compressibility_1_pa, gauge_pa):
    return density_60f * jw.petroleum_volume_factor(density_60f, temperature_k) / (1 - compressibility_1_pa * gauge_pa)


def fuel_of(*parts):
    return jw.Fuel(part=[jw.FuelPart(*part) for part in parts], parts=len(parts))


@row("expansion of petrol in jw_fuel_at")
def petrol_expansion(density_15c, temperature_k):
    return jw.fuel_at(fuel_of((jw.PETROL, 1.0, density_15c)), temperature_k).density_kg_m3 / density_15c


@row("jw_fuel_at viscosity")
def fuel_viscosity(liquid, temperature_k):
    return jw.fuel_at(fuel_of((int(liquid), 1.0)), temperature_k).viscosity_m2_s


@row("jw_fuel_at heating value")
def fuel_heat(liquid, temperature_k):
    return jw.fuel_at(fuel_of((int(liquid), 1.0)), temperature_k).heating_value_j_kg


def ethanol_blend(ethanol, density_15c, hydrogen_per_carbon):
    fuel = fuel_of((jw.PETROL, 1.0 - ethanol, density_15c, hydrogen_per_carbon), (jw.ETHANOL, ethanol))
    return jw.fuel_at(fuel, 288.15)


row("jw_fuel_at stoichiometric afr")(lambda **blend: ethanol_blend(**blend).stoichiometric_afr)
row("jw_fuel_at oxygen")(lambda **blend: ethanol_blend(**blend).oxygen_mass_fraction)


# Liquid flow

row("jw_discharge_coefficient")(jw.discharge_coefficient)
row("jw_mark_bore of a number drill")(lambda number: jw.mark_bore(jw.MARK_NUMBER_DRILL, number))


@row("coefficient of jw_liquid_mass_flow")
def discharge_of_jet(diameter_m, length_ratio, drop_pa, density, viscosity_m2_s):
    bore = jw.Orifice(diameter_m, diameter_m * length_ratio)
    kg_s = jw.liquid_mass_flow(bore, jw.LiquidFlow(density, viscosity_m2_s), drop_pa)
    return kg_s / (jw.orifice_area(bore) * math.sqrt(2.0 * density * drop_pa))


@row("jw_liquid_mass_flow")
def liquid_flow(diameter_m, coefficient, density, drop_pa):
    return jw.liquid_mass_flow(jet(diameter_m, coefficient), liquid(density), drop_pa)


@row("volume of jw_liquid_mass_flow")
def liquid_volume(diameter_m, coefficient, density, drop_pa):
    return liquid_flow(diameter_m, coefficient, density, drop_pa) / density


@row("velocity of jw_liquid_mass_flow")
def liquid_velocity(drop_pa, density, coefficient):
    bore = jet(0.02, coefficient)
    return jw.liquid_mass_flow(bore, liquid(density), drop_pa) / (density * jw.orifice_area(bore))


@row("jw_bore_for_liquid_flow")
def liquid_bore(drop_pa, kg_s, density, coefficient):
    return jw.bore_for_liquid_flow(jet(1e-3, coefficient), liquid(density), drop_pa, kg_s)


@row("jw_liquid_drop")
def liquid_drop(jet_m, coefficient, density, kg_s, lip_pa):
    return jw.liquid_drop(jet(jet_m, coefficient), liquid(density), kg_s) + lip_pa


def open_seat(head_m, bore_m, coefficient, density):
    """Fuel from a tank above a seat with nothing but the seat in the way, kg/s."""
    supply = jw.Supply(head_m=head_m, vent_m=1.0, tap_m=1e3, hose_m=1.0, seat_m=bore_m, seat_coefficient=coefficient,
                       travel_m=1e-3)
    ends = jw.SupplyEnds(fuel=liquid(density), air=jw.Gas(288.15, 287.05, 1.8e-5), ambient_pa=1e5, bowl_pa=1e5,
                         tank_pa=1e5)
    return jw.supply_pass(supply, ends, -1e-3).kg_s


@row("volume of jw_supply_pass")
def seat_volume(head_m, seat_m, coefficient, density):
    return open_seat(head_m, seat_m, coefficient, density) / density


@row("time of jw_supply_pass")
def drain_time(tank_m2, hole_m2, coefficient, from_m, to_m):
    u, density = np.linspace(math.sqrt(to_m), math.sqrt(from_m), 9), 745.0  # Simpson's rule over the root of the head
    kg_s = np.array([open_seat(each * each, bore_of(hole_m2), coefficient, density) for each in u])
    return np.dot(tank_m2 * 2.0 * u * density / kg_s, [1, 4, 2, 4, 2, 4, 2, 4, 1]) * (u[1] - u[0]) / 3.0


@row("jw_pipe_drop")
def pipe_drop(bore_m, length_m, kg_s, density, viscosity_m2_s):
    return jw.pipe_drop(bore_m, length_m, jw.LiquidFlow(density, viscosity_m2_s), kg_s)


@row("bore of jw_liquid_mass_flow at jw_liquid_drop")
def throat_for_fuel(jet_m, coefficient, fuel_density, fuel_kg_s, lip_pa, air_density, air_kg_s, throat_coefficient):
    drop_pa = liquid_drop(jet_m, coefficient, fuel_density, fuel_kg_s, lip_pa)
    return 1e-2 * math.sqrt(air_kg_s / liquid_flow(1e-2, throat_coefficient, air_density, drop_pa))


@row("jw_bore_for_liquid_flow at jw_liquid_drop")
def jet_for_throat(air_kg_s, air_density, throat_m, throat_coefficient, lip_pa, fuel_kg_s, fuel_density, coefficient):
    drop_pa = liquid_drop(throat_m, throat_coefficient, air_density, air_kg_s, 0.0)
    return liquid_bore(drop_pa - lip_pa, fuel_kg_s, fuel_density, coefficient)


@row("jw_liquid_drop at jw_air_consumption")
def throat_drop(bore_m, stroke_m, cylinders, speed_rev_s, ve, density, throat_m, coefficient):
    engine = jw.Engine(strokes=4, cylinders=int(cylinders), bore_m=bore_m, stroke_m=stroke_m)
    kg_s = jw.air_consumption(jw.displacement(engine), 4, speed_rev_s, ve, density)
    return liquid_drop(throat_m, coefficient, density, kg_s, 0.0)


@row("ratio of jw_liquid_mass_flow")
def afr_of_liquids(throat_m, throat_coefficient, air_density, jet_m, coefficient, fuel_density, drop_pa, lip_pa):
    air_kg_s = liquid_flow(throat_m, throat_coefficient, air_density, drop_pa)
    return air_kg_s / liquid_flow(jet_m, coefficient, fuel_density, drop_pa - lip_pa)


@row("afr by jw_liquid_mass_flow at two drops")
def afr_at_two_drops(afr, drop_pa, drop_after_pa):
    return afr * liquid_flow(1e-3, 0.7, 745.0, drop_pa) / liquid_flow(1e-3, 0.7, 745.0, drop_after_pa)


@row("jw_restrict")
def restriction(diameter_m, blocked):
    petrol = jw.LiquidFlow(745.0, 0.55e-6)
    return jw.restrict(jet(diameter_m, 0.0), jw.BLOCKED_AREA, blocked, petrol, 2e3).diameter_m


# Gas flow

row("jw_compressibility_factor")(jw.compressibility_factor)
row("jw_critical_pressure_ratio")(jw.critical_pressure_ratio)
row("jw_orifice_expansibility")(jw.orifice_expansibility)
row("jw_nozzle_expansibility")(jw.nozzle_expansibility)


@row("critical temperature by jw_critical_pressure_ratio")
def critical_temperature(temperature_k, gamma):
    return temperature_k * jw.critical_pressure_ratio(gamma) ** ((gamma - 1.0) / gamma)


@row("jw_gas_mass_flow")
def gas_flow(area_m2, temperature_k, gas_constant, upstream_pa, downstream_pa):
    return jw.gas_mass_flow(area_m2, gas(temperature_k, gas_constant), upstream_pa, downstream_pa)


@row("jw_gas_choked_flow")
def choked_flow(area_m2, temperature_k, gas_constant, upstream_pa):
    return jw.gas_choked_flow(area_m2, gas(temperature_k, gas_constant), upstream_pa)


@row("ratio of jw_gas_choked_flow and jw_gas_mass_flow")
def choked_over_flow(pressure_ratio):
    state = 1e-4, 300.0, 287.0, 1e5
    return choked_flow(*state) / gas_flow(*state, 1e5 * pressure_ratio)


@row("velocity of jw_gas_mass_flow")
def gas_velocity(upstream_pa, downstream_pa, temperature_k, gas_constant):
    density = upstream_pa / (gas_constant * temperature_k) * (downstream_pa / upstream_pa) ** (1 / 1.4)
    return gas_flow(1.0, temperature_k, gas_constant, upstream_pa, downstream_pa) / density


@row("ratio by jw_gas_downstream_pressure at a Mach number")
def ratio_at_mach(mach):
    kg_s = 1e5 / math.sqrt(300.0) * math.sqrt(1.4 / 287.0) * mach * (1 + 0.2 * mach * mach) ** -3
    return jw.gas_downstream_pressure(1.0, gas(300.0, 287.0), 1e5, kg_s) / 1e5


@row("bore of jw_gas_mass_flow")
def gas_bore(upstream_pa, downstream_pa, temperature_k, gas_constant, kg_s, coefficient, blocked_ratio):
    per_area = gas_flow(1.0, temperature_k, gas_constant, upstream_pa, downstream_pa)
    return bore_of(kg_s / (coefficient * per_area) / (1.0 - blocked_ratio**2))


@row("ratio of jw_gas_mass_flow and jw_liquid_mass_flow")
def afr_of_gas_and_liquid(throat_m, throat_coefficient, pressure_pa, temperature_k, gas_constant, drop_pa, jet_m,
                          coefficient, density, lip_pa):
    area_m2 = throat_coefficient * jw.orifice_area(jet(throat_m, throat_coefficient))
    air_kg_s = gas_flow(area_m2, temperature_k, gas_constant, pressure_pa, pressure_pa - drop_pa)
    return air_kg_s / liquid_flow(jet_m, coefficient, density, drop_pa - lip_pa)


# Emulsion and circuit: the gas density is set through R T at a pressure of 1e5 Pa.

row("jw_mixture_viscosity")(jw.mixture_viscosity)
row("jw_emulsion_density")(lambda quality, liquid_density, gas_density: jw.emulsion_density(
    jw.Emulsion(quality, liquid_density, 1e5 / gas_density), 1e5))
row("jw_void_fraction")(lambda quality, liquid_density, gas_density: jw.void_fraction(
    jw.Emulsion(quality, liquid_density, 1e5 / gas_density), 1e5))


def circuit_of(pressure_pa, drop_pa, fuel_jet, air_jet, outlet_m2, density, air_density):
    circuit = jw.Circuit(fuel_jet=fuel_jet, air_jet=air_jet, fuel_coefficient=1.0)
    ends = jw.CircuitEnds(bowl_pa=pressure_pa, air_pa=pressure_pa, outlet=[jw.Outlet(outlet_m2, pressure_pa - drop_pa)],
                          outlets=1, fuel=liquid(density), air=gas(300.0, pressure_pa / (300.0 * air_density)))
    return jw.circuit_solve(circuit, ends)


@row("jw_circuit_solve fuel")
def circuit_fuel(pressure_pa, drop_pa, jet_m, coefficient, outlet_m2, density):
    return circuit_of(pressure_pa, drop_pa, jet(jet_m, coefficient), jet(0.0, 0.0), outlet_m2, density, 1.2).fuel_kg_s


def stiff(told):
    """What is told of a circuit at 1e6 Pa, twice, less what at half: compressibility falls out to first order."""

    def worked_out(drop_pa, jet_m, coefficient, bleed_m, bleed_coefficient, outlet_m2, density, air_density):
        high, half = (told(circuit_of(pressure_pa, drop_pa, jet(jet_m, coefficient), jet(bleed_m, bleed_coefficient),
                                      outlet_m2, density, air_density), pressure_pa) for pressure_pa in (1e6, 5e5))
        return 2.0 * high - half

    return worked_out


row("fuel of jw_circuit_solve where gas is stiff")(stiff(lambda flow, pressure_pa: flow.fuel_kg_s))
row("bleed of jw_circuit_solve where gas is stiff")(stiff(lambda flow, pressure_pa: flow.bleed_kg_s))
row("well depression of jw_circuit_solve where gas is stiff")(
    stiff(lambda flow, pressure_pa: pressure_pa - flow.well_pa))


# Engine

row("gain less one of jw_pulse_factor")(lambda duty: jw.pulse_factor(duty) - 1.0)
row("root of jw_pulse_factor")(lambda duty: math.sqrt(jw.pulse_factor(duty)))


@row("jw_air_consumption")
def air_consumption(displacement_m3, strokes, speed_rev_s, ve, density):
    return jw.air_consumption(displacement_m3, int(strokes), speed_rev_s, ve, density)


@row("fuel in the mixture of jw_air_consumption")
def fuel_in_mixture(displacement_m3, speed_rev_s, ve, pressure_pa, temperature_k, afr, air_gas_constant,
                    fuel_gas_constant):
    m3_s = jw.air_consumption(displacement_m3, 4, speed_rev_s, ve, 1.0)
    return m3_s * pressure_pa / (temperature_k * (afr * air_gas_constant + fuel_gas_constant))


@row("ratio of jw_air_consumption")
def efficiency(displacement_m3, strokes, speed_rev_s, density, air_kg_s):
    return air_kg_s / jw.air_consumption(displacement_m3, int(strokes), speed_rev_s, 1.0, density)


@row("jw_lambda_from_gas")
def lambda_from_gas(co, co2, o2, hc, no, hydrogen, oxygen):
    return jw.lambda_from_gas(jw.GasAnalysis(co, co2, o2, hc, no), hydrogen, oxygen)


@row("fuel to the cylinder by jw_film_step")
def film_fuel(share, constant_s, time_s):
    return jw.film_step(jw.Wall(share, constant_s), [2.0, 2.0], time_s, share * constant_s).cylinder_kg_s


row("lambda by jw_film_step")(lambda **film: 2.0 / film_fuel(**film))

# Diagnosis

row("jw_entropy")(jw.entropy)
row("jw_posterior")(jw.posterior)
row("jw_expected_minutes")(jw.expected_minutes)
row("jw_minutes_in_order")(jw.minutes_in_order)
row("jw_expected_information")(
    lambda prior, outcome: jw.expected_information(prior, np.reshape(outcome, (len(prior), -1))))
row("probability of a result by jw_posterior")(
    lambda prior, likelihood: prior[0] * likelihood[0] / jw.posterior(prior, likelihood)[0])


# Uncertainty

row("jw_coverage_factor")(jw.coverage_factor)


def inputs_of(mean, uncertainty, freedom, distribution):
    columns = (np.atleast_1d(column) for column in (mean, uncertainty, freedom))
    return [jw.Input(*each, distribution) for each in zip(*columns)]


def end_gauge(x):
    """Its length against a standard, from the difference read, expansion, temperature, and both differences."""
    return x[0] + x[1] - x[0] * (x[4] * x[3] + x[2] * x[5])


def expansion(x):
    """Per kelvin, from lengths before and after, temperatures before and after."""
    return (x[1] - x[0]) / (x[0] * (x[3] - x[2]))


def first_order(model, told):
    return lambda **inputs: told(jw.propagate(model, inputs_of(**inputs, distribution=jw.NORMAL), 0.01).result)


def sampled(model, distribution, told):
    def worked_out(probability=0.95, **inputs):
        return told(jw.sample(model, inputs_of(**inputs, distribution=distribution), 65535, probability).result)

    return worked_out


row("uncertainty of an end gauge by jw_propagate")(first_order(end_gauge, lambda found: found.uncertainty))
row("freedom of an end gauge by jw_propagate")(first_order(end_gauge, lambda found: math.floor(found.freedom)))
row("uncertainty of an expansion by jw_propagate")(first_order(expansion, lambda found: found.uncertainty))
row("uncertainty of a logarithm by jw_propagate")(
    first_order(lambda x: math.log(x[0]), lambda found: found.uncertainty))
row("uncertainty of an end gauge by jw_propagate_second")(
    lambda **inputs: jw.propagate_second(end_gauge, inputs_of(**inputs, distribution=jw.NORMAL), 0.1))
row("uncertainty of an end gauge by jw_sample")(sampled(end_gauge, jw.NORMAL, lambda found: found.deviation))
row("ends of a normal sum by jw_sample")(sampled(sum, jw.NORMAL, lambda found: [-found.low, found.high]))
row("ends of a rectangular sum by jw_sample")(sampled(sum, jw.RECTANGULAR, lambda found: [-found.low, found.high]))
row("mean of a logarithm by jw_sample")(sampled(lambda x: math.log(x[0]), jw.RECTANGULAR, lambda found: found.mean))
row("deviation of a logarithm by jw_sample")(sampled(lambda x: math.log(x[0]), jw.RECTANGULAR,
                                                     lambda found: found.deviation))


# The simple carburetor: textbook examples as profiles. See simple.c.

GAMMA, AIR_J_KG_K, AIR_CP = 1.4, 287.0, 1005.0


def example_setup(example):
    with jw.profile_load(FOLDER / "simple" / "engines" / f"example-{example:g}.yaml", FOLDER / "simple") as profile:
        return jw.profile_setup(profile)


def solve_full(example, pressure_pa, temperature_k):
    setup = example_setup(example)
    return jw.mixture_at(setup, jw.air_from_humidity(pressure_pa, temperature_k, 0.0), setup.range[jw.FULL])


row("afr of a profile by jw_mixture_at")(lambda **example: solve_full(**example).afr)


@row("throat velocity of a profile by jw_mixture_at")
def simple_velocity(example, pressure_pa, temperature_k):
    ratio = solve_full(example, pressure_pa, temperature_k).path.throat_steady_pa / pressure_pa
    return math.sqrt(2 * AIR_CP * temperature_k * (1 - ratio ** ((GAMMA - 1) / GAMMA)))


def meter(setup, pressure_pa, temperature_k, air_kg_s):
    """The air path and the main fuel of the carburetor alone."""
    open_wide, air = jw.Controls(1, 0), gas(temperature_k, AIR_J_KG_K)
    fuel = jw.fuel_at(setup.fuel, temperature_k)
    path = jw.carburetor_air(setup.carburetor, open_wide, air, pressure_pa, air_kg_s, 1)
    ends = jw.FuelEnds(path=path, ambient_pa=pressure_pa, manifold_pa=path.plate_pa, controls=open_wide, main_gain=1,
                       fuel=jw.LiquidFlow(fuel.density_kg_m3, fuel.viscosity_m2_s), air=air)
    return path, jw.carburetor_fuel(setup.carburetor, ends).main.fuel_kg_s


@row("afr of a profile by jw_carburetor_air and jw_carburetor_fuel")
def simple_afr_at_drop(example, pressure_pa, temperature_k, drop_pa):
    setup = example_setup(example)
    throat = setup.carburetor.throat
    area_m2 = throat.coefficient * jw.orifice_area(jw.Orifice(diameter_m=throat.bore_m))
    air_kg_s = gas_flow(area_m2, temperature_k, AIR_J_KG_K, pressure_pa, pressure_pa - drop_pa)
    _, fuel_kg_s = meter(setup, pressure_pa, temperature_k, air_kg_s)
    return air_kg_s / fuel_kg_s / jw.compressibility_factor(1 - drop_pa / pressure_pa, GAMMA)


@row("start of fuel by jw_carburetor_air and jw_carburetor_fuel")
def simple_start(example, pressure_pa, temperature_k):
    setup, dry_kg_s, wet_kg_s = example_setup(example), 0.0, 0.02
    for _ in range(50):
        air_kg_s = 0.5 * (dry_kg_s + wet_kg_s)
        path, fuel_kg_s = meter(setup, pressure_pa, temperature_k, air_kg_s)
        dry_kg_s, wet_kg_s = (dry_kg_s, air_kg_s) if fuel_kg_s > 0 else (air_kg_s, wet_kg_s)
    return math.sqrt(2 * (pressure_pa - path.throat_pa) * AIR_J_KG_K * temperature_k / pressure_pa)


# ---- running the rows ----


def tables():
    """Units in SI and rows in all, from published.c."""
    text = (FOLDER / "published.c").read_text()

    def pairs(table):
        body = re.search(rf"\}} {table}\[\] = \{{(.*?)\n\}};", text, re.S)[1]
        return re.findall(r'\{"([^"]+)", ([-\d.e/ ]+)\}', body)

    units = {name: np.divide(*map(float, (si + "/1").split("/")[:2])) for name, si in pairs("units")}
    return units, sum(int(count) for _, count in pairs("files"))


def value_of(text):
    numbers = [float(word) for word in text.split()]
    return numbers if len(numbers) > 1 else numbers[0]


def judged(cells, units):
    """Whether a row holds."""
    inputs = {name: value_of(value) for name, value in (item.split("=") for item in cells["inputs"].split(";"))}
    found = np.asarray(ROWS[cells["function"]](**inputs)) / units[cells["unit"]]
    expected = np.asarray(value_of(cells["expected"]))
    kind, size = cells["tolerance"].split()
    allowed = float(size) * (np.abs(expected) if kind == "rel" else 1.0)
    good = found.shape == expected.shape and bool(np.all(np.abs(found - expected) <= allowed))
    if not good:
        print(f"{cells['id']}: {found} {cells['unit']}, expected {expected}, {cells['tolerance']} ({cells['source']})")
    return good


def main():
    warnings.simplefilter("ignore", jw.StatusWarning)
    units, expected = tables()
    cells = [row for file in sorted(FOLDER.glob("*.csv")) for row in csv.DictReader(file.open())]
    unknown = sorted({row["function"] for row in cells} - set(ROWS))
    for name in unknown:
        print(f"no row of published.py works out '{name}'")
    passed = sum(judged(row, units) for row in cells if row["function"] in ROWS)
    print(f"{passed} of {len(cells)} rows pass, {expected} expected")
    return 0 if passed == len(cells) == expected else 1


sys.exit(main())
