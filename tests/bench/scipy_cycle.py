# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: scipy_cycle.py CYCLE_BENCH [--quick]

The gas of a four-stroke single over the crank angle, its equations written down here a second time and integrated by
scipy.integrate.solve_ivp from another start; what it draws, and the states that the library tells, must be the library's.
Then the main circuit's fuel column between the bowl and the pressures at the nozzle.
Prints both times and their ratio as JSON.
"""
import json
import math
import subprocess
import sys
import time

try:
    import numpy as np
    from scipy.integrate import solve_ivp
    from scipy.optimize import brentq
except ImportError:
    print("SKIP: scipy is not installed")
    sys.exit(77)

AGREEMENT = 1e-6
FUEL_AGREEMENT = 1e-3  # the library steps its fuel columns by 4 degrees
LEAST_FUEL = 1e-6  # kg/s
GRAVITY, BLED_LIQUID, BACK_COEFFICIENT, LAND_M, LEAST_VOLUME = 9.80665, 0.05, 0.75, 4e-3, 20e-9
GAMMA = 1.4
CHOKED_Q = 5 / 6
CHOKED = math.sqrt(7 * CHOKED_Q**5 * (1 - CHOKED_Q))
SMOOTH_PA = 100.0
HEAT = 2.9e6 * 0.55
PORT_COEFFICIENT, SEAT_SHARE = 0.75, 0.75
EXHAUST_K, EXHAUST_PORT_M = 800.0, 0.05


def circle(diameter):
    return math.pi / 4 * diameter * diameter


def pressure_ahead(area, rt, behind, flow):
    """Of an isentropic nozzle; (1 - q)/q^2 = x has one root between 0 and 1."""
    driven = flow * math.sqrt(rt) / area
    x = (driven / behind) ** 2 / 7
    q = (math.sqrt(1 + 4 * x) - 1) / (2 * x) if x > 1e-9 else 1 - x
    return driven / CHOKED if q < CHOKED_Q else behind * q**-3.5


def throat_drop(area, rt, ahead, flow):
    """By bisection and Newton in q."""
    scaled = flow * math.sqrt(rt) / (area * ahead)
    if scaled >= CHOKED:
        return ahead * (1 - CHOKED_Q**3.5) + ahead * (scaled / CHOKED - 1)
    target, low, high = scaled * scaled, CHOKED_Q, 1.0
    q = 1 - target / 7
    for _ in range(60):
        excess = 7 * q**5 * (1 - q) - target
        low, high = (q, high) if excess > 0 else (low, q)
        slope = 35 * q**4 - 42 * q**5
        step = q - excess / slope if slope else low
        step = step if low <= step <= high else (low + high) / 2
        if abs(step - q) < 1e-16:
            break
        q = step
    return ahead * (1 - q**3.5)


class Cycle:
    """Unknowns: pressure, mass, burnt mass of inlet and cylinder; flows of inlet valve, exhaust valve, plate; sums."""

    def __init__(self, s):
        self.s = s
        self.turning = 2 * math.pi * s["speed_rev_s"]
        self.period = 4 * math.pi / self.turning
        self.r = s["air.gas_constant_j_kg_k"]
        self.rt = self.r * s["air.temperature_k"]
        bore, stroke = s["engine.bore_m"], s["engine.stroke_m"]
        self.swept = circle(bore) * stroke
        self.clearance = self.swept / (s["engine.compression_ratio"] - 1)
        self.inlet_m3 = s["engine.manifold_volume_m3"]
        self.rod = s["engine.breathing.rod_ratio"]
        self.exhaust = (s["exhaust_pa"], self.r * EXHAUST_K)
        throat = circle(s["carburetor.throat.bore_m"])
        ahead = s["engine.breathing.ahead_m"] or 1.5 * s["carburetor.throat.bore_m"]
        self.ahead = ahead / throat
        self.behind = (s["carburetor.throat.bore_m"] + self.inlet_m3 / throat / 2) / throat
        self.runner = s["engine.breathing.runner_m"] / circle(s["engine.breathing.runner_bore_m"])
        self.port = EXHAUST_PORT_M / circle(bore / 2)
        self.relaxation = s["relaxation_rad"] / self.turning
        self.window = {}
        for name, bottom in (("inlet", 4 * math.pi), ("exhaust", 3 * math.pi)):
            opens, closes, size, lift = (s[f"engine.breathing.{name}.{k}"] for k in ("opens_rad", "closes_rad", "size_m", "lift_m"))
            self.window[name] = (bottom - opens, opens + math.pi + closes, size, lift, opens)

    def volume(self, angle):
        root = math.sqrt(self.rod**2 - math.sin(angle) ** 2)
        way = (1 - math.cos(angle) + self.rod - root) / 2
        slope = math.sin(angle) * (1 + math.cos(angle) / root) / 2
        return self.clearance + self.swept * way, self.swept * slope * self.turning

    def area(self, name, angle):
        start, length, size, greatest, opens = self.window[name]
        since = (angle - start) % (4 * math.pi)
        if since >= length:
            return 0.0
        lift = greatest * math.sin(math.pi * since / length)
        if name == "inlet" and self.s["cam"]:
            angles, lifts = zip(*self.s["cam"])
            lift = float(np.interp(since - opens, angles, lifts))
        curtain, seat = math.pi * size * lift, SEAT_SHARE * circle(size)
        return PORT_COEFFICIENT * curtain * seat / math.hypot(curtain, seat)

    def column(self, inertance, area, ahead, behind, flow, relaxation):
        (p1, rt1), (p2, rt2) = ahead, behind
        area = max(area, 1e-12)
        if flow < 0:
            return -self.column(inertance, area, behind, ahead, -flow, relaxation)
        drop = pressure_ahead(area, rt1, p2, flow) - p2
        stiff = math.sqrt(0.5 * math.sqrt((p1 - p2) ** 2 + drop * drop + SMOOTH_PA**2) * (rt1 + rt2) / (p1 + p2)) / area
        return (p1 - p2 - drop) / math.hypot(inertance, relaxation * stiff)

    def rates_or_nan(self, t, y):
        """A trial step that strays is taken back."""
        try:
            return self.rates(t, y)
        except (ValueError, OverflowError, ZeroDivisionError):
            return np.full(len(y), np.nan)

    def rates(self, t, y):
        s = self.s
        angle = self.turning * t
        pm, mm, bm, pc, mc, bc, inlet, outlet, plate = y[:9]
        volume, growth = self.volume(angle)
        at_inlet, at_cylinder = (pm, pm * self.inlet_m3 / mm), (pc, pc * volume / mc)
        d = np.zeros(len(y))
        lost = throat_drop(s["throat_m2"], self.rt, s["box_pa"], abs(plate))
        sign = 1 if plate >= 0 else -1
        recovery = s["carburetor.throat.recovery"]
        d[8] = self.column(self.ahead + self.behind, s["plate_m2"], (s["box_pa"] - sign * (1 - recovery) * lost, self.rt),
                           at_inlet, plate, 4 * self.relaxation)
        nozzle = s["box_pa"] - self.ahead * d[8] - (lost if plate >= 0 else recovery * lost)
        area = self.area("inlet", angle)
        if area > 0:
            d[6] = self.column(self.runner, area, at_inlet, at_cylinder, inlet, self.relaxation)
        else:
            inlet = 0.0
        area = self.area("exhaust", angle)
        if area > 0:
            d[7] = self.column(self.port, area, at_cylinder, self.exhaust, outlet, self.relaxation)
        else:
            outlet = 0.0
        rt_plate = self.rt if plate >= 0 else at_inlet[1]
        burnt = bm / mm if plate < 0 else 0.0
        heat = self.r * s["engine.manifold_heating_k"] if inlet >= 0 else 0.0
        rt_inlet = at_inlet[1] if inlet >= 0 else at_cylinder[1]
        inlet_burnt = bm / mm if inlet >= 0 else bc / mc
        rt_outlet = at_cylinder[1] if outlet >= 0 else self.exhaust[1]
        outlet_burnt = bc / mc if outlet >= 0 else 1.0
        d[0] = GAMMA * (plate * rt_plate - inlet * rt_inlet) / self.inlet_m3
        d[1] = plate - inlet
        d[2] = plate * burnt - inlet * inlet_burnt
        d[3] = GAMMA * (inlet * (rt_inlet + heat) - outlet * rt_outlet - pc * growth) / volume
        d[4] = inlet - outlet
        d[5] = inlet * inlet_burnt - outlet * outlet_burnt
        d[9] = plate
        d[10] = s["box_pa"] - nozzle
        return d

    def start(self):
        ambient = self.s["air.pressure_pa"]
        cylinder = ambient * self.clearance / (self.r * 900)
        return np.array([0.8 * ambient, 0.8 * ambient * self.inlet_m3 / self.rt, 0, ambient, cylinder, cylinder, 0, 0, 0, 0, 0])

    def run(self, y, relative):
        """One cycle, stopped at each opening, closing and at firing."""
        stops = []
        for index, name in ((6, "inlet"), (7, "exhaust")):
            start, length = self.window[name][:2]
            stops += [(start % (4 * math.pi), "opens", index), ((start + length) % (4 * math.pi), "closes", index)]
        stops = sorted(stops + [(2 * math.pi, "fires", 0)]) + [(4 * math.pi, "ends", 0)]
        mass, flow = self.s["air.density_kg_m3"] * self.swept, self.s["air.density_kg_m3"] * self.swept / self.period
        scale = np.array([1e5, mass, mass, 1e5, mass, mass, flow, flow, flow, mass, 1e5 * self.period])
        y, t, told = y.copy(), 0.0, {}
        y[9:] = 0
        for angle, kind, index in stops:
            end = angle / self.turning
            y = solve_ivp(self.rates_or_nan, (t, end), y, method="DOP853", rtol=relative, atol=relative * scale,
                          first_step=min(1e-7, end - t)).y[:, -1]
            t = end
            if kind == "closes":
                y[index] = 0
            if kind == "closes" and index == 6:
                told = {"manifold_closing_pa": y[0], "residual": y[5] / y[4]}
            if kind == "fires":
                y[3] += (GAMMA - 1) * HEAT * (y[4] - y[5]) / self.clearance
                y[5] = y[4]
        told.update(air_kg_s=y[9] / self.period, nozzle_pa=self.s["box_pa"] - y[10] / self.period)
        return y, told

    def periodic(self, relative, settled):
        y = self.start()
        for cycles in range(1, 100):
            before = y[:6].copy()
            y, told = self.run(y, relative)
            if np.max(np.abs(y[:6] - before) / (np.abs(before) + 1e-12)) < settled:
                return told, cycles
        sys.exit("scipy did not settle")


class MainColumn:
    """Fuel of the main circuit between the bowl (open to the air) and the nozzle: flow through the jet, flow out of the
    well, fuel that the well holds."""

    def __init__(self, s):
        self.s, self.rt = s, s["air.gas_constant_j_kg_k"] * s["air.temperature_k"]
        self.density, self.viscosity = s["fuel.density_kg_m3"], s["fuel.viscosity_m2_s"]
        self.period = 2 / s["speed_rev_s"]
        get = lambda part, key: s[f"carburetor.main.{part}.{key}"]
        self.jet, self.bleed = ([get(p, k) for k in ("diameter_m", "length_m", "coefficient")] for p in ("fuel_jet", "air_jet"))
        self.factor = s["carburetor.main.fuel_coefficient"] * s["coefficient.main"]
        self.inertance = s["carburetor.main_column_m"] / circle(s["carburetor.main_column_bore_m"]) + self.jet[1] / circle(self.jet[0])
        depth = s["carburetor.main.bleed_depth_m"]
        self.feed = s["air.pressure_pa"] + self.density * GRAVITY * depth
        self.liquid_head = self.density * GRAVITY * (s["carburetor.main.outlet_height_m"] + depth)
        self.bled_head = BLED_LIQUID * self.liquid_head
        self.nozzle = np.array(s["nozzle"])
        height, bore = s["carburetor.main.outlet_height_m"] + depth, circle(s["carburetor.main_column_bore_m"])
        self.bore, self.volume = bore, max(height * bore, LEAST_VOLUME)
        self.out_inertance = height / bore + LAND_M / s["annulus_m2"]
        self.gas_density = s["box_pa"] / self.rt
        parts = math.ceil(self.period / 180 / 0.5e-3)
        self.step = self.period / 180 / parts

    def cd(self, jet, drop, density, viscosity):
        diameter, length, stated = jet
        if stated:
            return stated
        reynolds, ratio = diameter * math.sqrt(2 * drop / density) / viscosity, max(length / diameter, 2)
        bump = 0.005 * ratio / (1 + 7.5 * math.log10(0.00015 * reynolds) ** 2)
        return 1 / (1 / (0.827 - 0.0085 * ratio) + 20 / reynolds * (1 + 2.25 * ratio) - bump)

    def jet_drop(self, flow):
        if flow <= 0:
            return 0.0
        passed = lambda drop: self.factor * self.cd(self.jet, drop, self.density, self.viscosity) * circle(self.jet[0]) * math.sqrt(2 * self.density * drop)
        return brentq(lambda drop: passed(drop) - flow, 1e-9, 1e6, xtol=1e-9)

    def gas(self, area, ahead, behind):
        ratio = max(behind / ahead, CHOKED_Q**3.5)
        return area * ahead / math.sqrt(self.rt) * math.sqrt(7 * max(ratio ** (10 / 7) - ratio ** (12 / 7), 0))

    def emulsion(self, area, quality, ahead, behind):
        gas, liquid = quality * self.rt, (1 - quality) / self.density
        if gas <= 0:
            return area * math.sqrt(2 * (ahead - behind) / liquid)
        share = liquid * ahead / gas
        speed = lambda r: -math.log(r) + share * (1 - r)  # half its square
        sonic = lambda r: 0.5 * (1 + share * r) ** 2
        ratio = behind / ahead
        if speed(ratio) > sonic(ratio):
            ratio = brentq(lambda r: speed(r) - sonic(r), 1e-6, 1)
        return area * math.sqrt(2 * gas * speed(ratio)) / (gas / (ratio * ahead) + liquid)

    def behind_air_jet(self, flow):
        air, area = self.s["box_pa"], circle(self.bleed[0])
        if flow < 0:
            return pressure_ahead(BACK_COEFFICIENT * area, self.rt, air, -flow)
        density = self.gas_density
        passed = lambda drop: self.gas(self.cd(self.bleed, drop, density, self.s["air.viscosity_pa_s"] / density) * area, air, air - drop)
        if flow < 1e-12:
            return air
        return air - brentq(lambda drop: passed(drop) - flow, 1e-12, 0.45 * air, xtol=1e-9)

    def loss(self, quality, drop, outside, comes_back):
        drop, area = min(max(abs(drop), 50.0), 0.9 * outside), self.s["annulus_m2"]
        flow = self.gas(area, outside, outside - drop) if comes_back else self.emulsion(area, quality, outside + drop, outside)
        return drop / flow**2

    def rates(self, t, y):
        place = (t % self.period) / self.period * (len(self.nozzle) - 1)
        nozzle = float(np.interp(place, np.arange(len(self.nozzle)), self.nozzle))
        flow, out, liquid = max(y[0], 0.0), y[1], max(y[2], 0.0)
        gas = self.gas_density * max(self.volume - liquid / self.density, 0.0)
        quality = gas / (gas + liquid)
        leaves = max(out, 0.0) * (1 - quality)
        behind = self.behind_air_jet(out - leaves + self.gas_density * (leaves - flow) / self.density)
        well = behind + GRAVITY * self.density * max(liquid / self.density - self.volume, 0.0) / self.bore
        air, fall = self.s["box_pa"], self.liquid_head - self.bled_head
        head = self.liquid_head - fall * min(max((air - well) / (2 * fall), 0), 1)
        driving = well - head - nozzle
        loss = self.loss(quality, driving, nozzle, out < 0)
        resistance = loss * abs(out) + abs(air - behind) / (abs(out) + 1e-9)
        out_rate = (driving - loss * out * abs(out)) / math.hypot(self.out_inertance, self.step * resistance)
        rate = (self.feed - well - self.jet_drop(flow)) / self.inertance
        return [rate if flow > 0 or rate > 0 else 0.0, out_rate, flow - leaves, flow]

    def mean(self):
        y = np.array([self.s["main_kg_s"] * 0.8, self.s["main_kg_s"], 0.2 * self.density * self.volume, 0.0])
        absolute = np.array([1e-10, 1e-10, 1e-6 * self.density * self.volume, 1e-12])
        for _ in range(100):
            before = y.copy()
            y[3] = 0.0
            y = solve_ivp(self.rates, (0, self.period), y, rtol=1e-5, atol=absolute, max_step=self.period / 180).y[:, -1]
            scale = [y[3] / self.period, y[3] / self.period, self.density * self.volume]
            if np.max(np.abs(y[:3] - before[:3]) / scale) < 3e-5:
                return y[3] / self.period
        sys.exit("scipy's fuel did not settle")


def main():
    quick = ["--quick"] if "--quick" in sys.argv[2:] else []
    cases = json.loads(subprocess.run([sys.argv[1], *quick], check=True, capture_output=True, text=True).stdout)
    answer, failed = [], False
    for s in cases[:1] if quick else cases:
        told, _ = Cycle(s).periodic(1e-10, 1e-8)
        differs = {key: told[key] / s[key] - 1 for key in told}
        failed |= not all(abs(d) <= AGREEMENT for d in differs.values())
        if s["main_kg_s"] > LEAST_FUEL:
            differs["main_kg_s"] = MainColumn(s).mean() / s["main_kg_s"] - 1
            failed |= not abs(differs["main_kg_s"]) <= FUEL_AGREEMENT
        begun = time.process_time()
        _, cycles = Cycle(s).periodic(1e-5, 1e-5)
        seconds = time.process_time() - begun
        answer.append({"engine": s["engine"], "range": s["range"], "differs": differs, "scipy_cycles": cycles,
                       "scipy_gas_ms": 1e3 * seconds, "library_ms": s["usual_ms"], "ratio": 1e3 * seconds / s["usual_ms"]})
    print(json.dumps(answer, indent=1))
    sys.exit("scipy does not agree" if failed else 0)


main()
