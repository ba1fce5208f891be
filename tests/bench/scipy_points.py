# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: scipy_points.py BENCH [--quick]

The points of the bench's engine (constant depression, fuel screw, two circuits) solved again from the equations, written
down here a second time, by scipy.optimize.brentq; phi must agree with the library's. Prints both times of one run, and
their ratio, as JSON. Sources of the equations: README.
"""
import json
import math
import subprocess
import sys
import time

try:
    from scipy.optimize import brentq
except ImportError:
    print("SKIP: scipy is not installed")
    sys.exit(77)

AGREEMENT = 2e-8  # of phi
GRAVITY = 9.80665
CRITICAL = (2 / 2.4) ** 3.5


def circle(diameter):
    return math.pi / 4 * diameter * diameter


def nozzle(area, upstream, downstream, rt):
    ratio = max(downstream / upstream, CRITICAL)
    return area * upstream / math.sqrt(rt) * math.sqrt(7 * max(ratio ** (10 / 7) - ratio ** (12 / 7), 0.0))


def coefficient(reynolds, length_ratio):
    ratio = max(length_ratio, 2.0)
    held = min(ratio, 30.0)
    bump = 0.005 * held / (1 + 7.5 * math.log10(0.00015 * reynolds) ** 2)
    return 1 / (1 / (0.827 - 0.0085 * held) + 20 / reynolds * (1 + 2.25 * ratio) - bump)


class Jet:
    def __init__(self, s, name):
        self.diameter, self.length, self.cd = (s[f"{name}.{k}"] for k in ("diameter_m", "length_m", "coefficient"))
        self.area = circle(self.diameter)
        self.usual_area = self.area * (self.cd / 0.75 if self.cd else 1)  # of the usual bore that passes as much

    def cd_at(self, drop, density, viscosity):
        reynolds = self.diameter * math.sqrt(2 * drop / density) / viscosity
        return self.cd or coefficient(reynolds, self.length / self.diameter)

    def liquid(self, drop, density, viscosity):
        if drop <= 0 or self.area == 0:
            return 0.0
        return self.cd_at(drop, density, viscosity) * self.area * math.sqrt(2 * density * drop)

    def gas(self, upstream, downstream, rt, viscosity):
        if upstream <= downstream or self.area == 0:
            return 0.0
        density = upstream / rt
        cd = self.cd_at(upstream - downstream, density, viscosity / density)
        return nozzle(cd * self.area, upstream, downstream, rt)


def emulsion(area, quality, liquid_density, rt, upstream, downstream):
    """Homogeneous, frozen, isothermal; choking at the greatest flux."""
    gas, liquid = quality * rt, (1 - quality) / liquid_density
    if gas == 0:
        return area * math.sqrt(2 * (upstream - downstream) / liquid)

    def half_speed_squared(p):
        return gas * math.log(upstream / p) + liquid * (upstream - p)

    def beyond_sonic(p):
        return 2 * half_speed_squared(p) * gas - (gas + liquid * p) ** 2

    p = downstream
    if beyond_sonic(p) > 0:
        p = brentq(beyond_sonic, downstream, upstream, xtol=1e-9, rtol=1e-14)
    return area * math.sqrt(2 * half_speed_squared(p)) / (gas / p + liquid)


class Engine:
    def __init__(self, told):
        self.s = told["setup"]
        self.temperature, self.gas_constant, self.viscosity = told["gas"]
        self.rt = self.temperature * self.gas_constant
        self.ambient, self.dry, self.density = told["pressure_pa"], told["dry"], told["density_kg_m3"]
        self.fuel_density, self.fuel_viscosity, self.stoichiometric = told["fuel"]
        s = self.s
        self.bore = s["carburetor.throat.bore_m"]
        self.jets = {(c, j): Jet(s, f"carburetor.{c}.{j}") for c in ("main", "pilot") for j in ("fuel_jet", "air_jet")}
        self.swept = s["cylinders"] * circle(s["engine.bore_m"]) * s["engine.stroke_m"]

    def demand(self, pressure, point):
        s = self.s
        r = s["engine.compression_ratio"]
        exhaust = self.ambient + s["engine.exhaust_back_pa"]
        factor = r / (r - 1) - (exhaust / pressure + 0.4) / (1.4 * (r - 1))
        density = pressure / (self.gas_constant * (self.temperature + s["engine.manifold_heating_k"]))
        per_s = point["speed"] * 2 / s["strokes"]
        return max(factor, 0.0) * s["coefficient.air"] * point["ve"] * density * self.swept * per_s

    def angle(self, point):
        idle = self.s["carburetor.plate.idle_rad"]
        return idle + point["throttle"] * (math.pi / 2 - idle)

    def plate(self, point):
        """Bore less the union of tilted plate and shaft, Cd included."""
        s = self.s
        bore, a = s["carburetor.plate.bore_m"], s["carburetor.plate.shaft_m"] / s["carburetor.plate.bore_m"]
        ratio = math.cos(self.angle(point)) / math.cos(s["carburetor.plate.closed_rad"])
        shaft = 2 / math.pi * (a * math.sqrt(1 - a * a) + math.asin(a))
        free = 1 - shaft
        if ratio > a:
            beside = a * math.sqrt(1 - (a / ratio) ** 2) + ratio * math.asin(a / ratio)
            free = max(1 - ratio + 2 / math.pi * beside - shaft, 0.0)
        return s["carburetor.plate.coefficient"] * circle(bore) * free

    def pulse(self, point):
        s = self.s
        duty = s["cylinders"] * s["engine.intake_duration_rad"] / (s["strokes"] * math.pi)
        assert duty < 1, "one draught at a time is written down here"
        frequency = 2 * math.pi * s["cylinders"] * point["speed"] * 2 / s["strokes"]
        sound = math.sqrt(1.4 * self.rt)
        x = frequency * s["engine.manifold_volume_m3"] / (self.plate(point) * sound)
        return 1 + (math.pi ** 2 / (8 * duty) - 1) / (1 + x * x), frequency

    def throat_area(self, lift):
        radius = self.bore / 2
        below = radius - lift
        segment = radius * radius * math.acos(below / radius) - below * math.sqrt(radius * radius - below * below)
        return min(segment + self.s["carburetor.slide.base_area_m2"], circle(self.bore))

    def floating(self, lift):
        s = self.s
        force = s["carburetor.slide.mass_kg"] * GRAVITY + s["carburetor.slide.spring_closed_n"]
        return (force + s["carburetor.slide.spring_rate_n_m"] * lift) / circle(s["carburetor.slide.diaphragm_m"])

    def path(self, flow, gain):
        """Pressures from filter to plate, the slide afloat; the diaphragm is vented to the airbox."""
        s = self.s
        cd = s["carburetor.throat.coefficient"]
        loss = s["carburetor.intake.loss_pa"] / s["carburetor.intake.loss_flow_kg_s"] ** 2 * 1.2 / (self.ambient / self.rt)
        mouth = self.ambient - loss * flow * flow

        def excess(lift):
            return nozzle(cd * self.throat_area(lift), mouth, mouth - self.floating(lift) / gain, self.rt) - flow

        if excess(0) >= 0:
            lift = 0.0
        elif excess(self.bore) <= 0:
            lift = self.bore
        else:
            lift = brentq(excess, 0, self.bore, xtol=1e-13, rtol=1e-13)
        steady = self.floating(lift) / gain
        if lift in (0.0, self.bore):
            area = cd * self.throat_area(lift)
            steady = brentq(lambda d: nozzle(area, mouth, mouth - d, self.rt) - flow, 0, mouth * (1 - CRITICAL),
                            xtol=1e-10, rtol=1e-13)
        return mouth, steady, mouth - (1 - s["carburetor.throat.recovery"]) * gain * steady, lift

    def air(self, point):
        gain, frequency = self.pulse(point)
        area = self.plate(point) / math.sqrt(gain)
        leak = 0.6 * circle(self.s["leak_m"])
        most = 0.98 * nozzle(self.s["carburetor.throat.coefficient"] * circle(self.bore), self.ambient, 0, self.rt)

        def surplus(pressure):
            need = self.demand(pressure, point) - nozzle(leak, self.ambient, pressure, self.rt)
            plate = self.path(min(max(need, 0.0), 0.99 * most), gain)[2]
            through = nozzle(area, plate, pressure, self.rt) if plate > pressure else 0.0
            return through - need

        pressure = brentq(surplus, 0.01 * self.ambient, self.ambient, xtol=1e-7, rtol=1e-14)
        need = self.demand(pressure, point) - nozzle(leak, self.ambient, pressure, self.rt)
        return pressure, need, nozzle(leak, self.ambient, pressure, self.rt), gain, frequency

    def main_gain(self, gain, frequency):
        s = self.s
        jet = s["carburetor.main.fuel_coefficient"] * self.jets["main", "fuel_jet"].usual_area
        bleed = self.jets["main", "air_jet"].usual_area
        column = circle(s["carburetor.main_column_bore_m"])
        constant = s["carburetor.main_column_m"] / column * jet
        constant *= math.sqrt(0.5 * self.fuel_density / self.floating(self.bore / 2))
        x = (frequency * constant) ** 2
        return 1 + (gain - 1) * jet / (jet + bleed) * x / (1 + x)

    def circuit(self, name, box, outlets):
        """Fuel and air of a circuit; outlets as (Cd A, pressure)."""
        s = self.s
        depth = s[f"carburetor.{name}.bleed_depth_m"] + s["carburetor.bowl.level_error_m"]
        height = s[f"carburetor.{name}.outlet_height_m"] - s["carburetor.bowl.level_error_m"]
        scale = s[f"carburetor.{name}.fuel_coefficient"] * s[f"coefficient.{name}"]
        fuel_jet, air_jet = self.jets[name, "fuel_jet"], self.jets[name, "air_jet"]
        top = self.bowl + self.fuel_density * GRAVITY * depth
        head = self.fuel_density * GRAVITY * max(depth + height, 0.0)
        fall = 0.95 * head if air_jet.area else 0.0
        outlets = [o for o in outlets if o[0] > 0]

        def flows(well):
            inside = well - head
            if fall:
                inside += fall * min(max((box - well) / (2 * fall), 0.0), 1.0)
            fuel = scale * fuel_jet.liquid(top - well, self.fuel_density, self.fuel_viscosity)
            air = air_jet.gas(box, well, self.rt, self.viscosity)
            air += sum(nozzle(a, p, inside, self.rt) for a, p in outlets if p > inside)
            quality = air / (fuel + air) if fuel + air else 1.0
            out = sum(emulsion(a, quality, self.fuel_density, self.rt, inside, p) for a, p in outlets if p < inside)
            return fuel, air, out

        def imbalance(well):
            fuel, air, out = flows(well)
            return (fuel + air - out) / (fuel + air + out) if fuel + air + out else 0.0

        high = max(top, box, *(p + head for _, p in outlets))
        low = min(p for _, p in outlets)
        well = brentq(imbalance, low, high, xtol=1e-9, rtol=1e-14)
        return flows(well)[:2]

    def main_outlet(self, lift):
        s = self.s
        into = max(lift + s["carburetor.needle.raised_m"] - s["carburetor.needle.straight_length_m"], 0.0)
        thick = s["carburetor.needle.straight_m"] - 2 * math.tan(s["carburetor.needle.taper_rad"] / 2) * into
        ring = circle(s["carburetor.needle.jet_m"]) - circle(max(thick, s["carburetor.needle.tip_m"]))
        return s["carburetor.needle.coefficient"] * s["coefficient.needle"] * ring

    def pilot_outlets(self, point, plate, manifold):
        s = self.s
        half = s["carburetor.screw.cone_rad"] / 2
        hole = s["carburetor.screw.hole_m"]
        lift = min(s["carburetor.screw.turns"] * s["carburetor.screw.pitch_m"], hole / math.sin(2 * half))
        gap = math.pi * lift * math.sin(half) * (hole - lift * math.sin(half) * math.cos(half))
        cd = s["carburetor.screw.coefficient"]
        outlets = [(cd * s["carburetor.screw.open_area"] * min(gap, circle(hole)), manifold)]
        closed = s["carburetor.plate.closed_rad"]
        edge = s["carburetor.plate.bore_m"] / 2 / math.cos(closed) * (math.sin(self.angle(point)) - math.sin(closed))
        for i in range(s["ports"]):
            diameter, position = s[f"port{i}"]
            x = min(max(2 * (edge - position) / diameter, -1.0), 1.0)
            share = 0.5 + (x * math.sqrt(1 - x * x) + math.asin(x)) / math.pi
            area = cd * s["carburetor.screw.ports_open_area"] * circle(diameter)
            outlets += [(share * area, manifold), ((1 - share) * area, plate)]
        return outlets

    def phi(self, point):
        manifold, flow, leak, gain, frequency = self.air(point)
        box, steady, plate, lift = self.path(flow, gain)
        self.bowl = self.ambient
        nozzle_pa = box - self.main_gain(gain, frequency) * steady
        main = self.circuit("main", box, [(self.main_outlet(lift), nozzle_pa)])
        pilot = self.circuit("pilot", box, self.pilot_outlets(point, plate, manifold))
        air = (flow + leak + main[1] + pilot[1]) * self.dry
        return self.stoichiometric * (main[0] + pilot[0]) / air, manifold


def main():
    command = [sys.argv[1], "--describe", *sys.argv[2:]]
    told = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    engine = Engine(told)
    worst = 0.0
    for point in told["points"]:
        phi, manifold = engine.phi(point)
        worst = max(worst, abs(phi / point["phi"] - 1))
        print(f"throttle {point['throttle']:.2f}: phi {phi:.10f}, library {point['phi']:.10f}, "
              f"manifold {manifold:.5f} Pa, library {point['manifold_pa']:.5f} Pa", file=sys.stderr)
    rounds, best = (1, math.inf) if "--quick" in sys.argv else (10, math.inf)
    for _ in range(rounds):
        start = time.process_time()
        for point in told["points"]:
            engine.phi(point)
        best = min(best, (time.process_time() - start) / len(told["points"]))
    print(json.dumps({"point_us": told["point_us"], "scipy_point_us": best * 1e6,
                      "scipy_ratio": best * 1e6 / told["point_us"], "largest_phi_difference": worst}, indent="\t"))
    return 0 if worst <= AGREEMENT else 1


sys.exit(main())
