# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: scipy_cycle.py CYCLE_BENCH [--quick]

The gas of an engine over the crank angle, four-stroke or two-stroke, of one or more cylinders, its equations written down here a second time and integrated by
scipy.integrate.solve_ivp from another start; what it draws, and the states that the library tells, must be the library's.
Then the fuel columns of main and pilot circuit between the bowl and the pressures that the library found, held against
the library's at a 64th of its usual steps; beside it what whole steps leave.
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
# What LSODA returns for one and the same start swings by 5e-6 from cycle to cycle, at a tolerance of 1e-8 too.
FUEL_AGREEMENT = {"main_kg_s": 1e-5, "pilot_kg_s": 1e-6}
MOST_CHANGED = 2.0
MAIN_OF = {"courier-150"}  # the well of trail-250 swings from cycle to cycle: followed so it hardly settles
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
    """Unknowns: pressure, mass, burnt mass of the inlet and of each cylinder's chambers (crankcase, if it draws through one,
    and cylinder); the flow of each gate and past the plate; sums. The whole cycle of all cylinders."""

    def __init__(self, s):
        self.s = s
        self.two, self.cylinders = s["strokes"] == 2, s["cylinders"]
        self.turning = 2 * math.pi * s["speed_rev_s"]
        self.turn = s["strokes"] * math.pi
        self.period = self.turn / self.turning
        self.r = s["air.gas_constant_j_kg_k"]
        self.rt = self.r * s["air.temperature_k"]
        bore, stroke = s["engine.bore_m"], s["engine.stroke_m"]
        self.swept = circle(bore) * stroke
        self.clearance = self.swept / (s["engine.compression_ratio"] - 1)
        self.crankcase = self.swept / (s["engine.crankcase_ratio"] - 1) if self.two else 0
        self.inlet_m3 = s["engine.manifold_volume_m3"]
        self.rod = s["engine.breathing.rod_ratio"]
        self.exhaust = (s["exhaust_pa"], self.r * EXHAUST_K)
        throat = circle(s["carburetor.throat.bore_m"])
        ahead = s["engine.breathing.ahead_m"] or 1.5 * s["carburetor.throat.bore_m"]
        self.ahead = ahead / throat
        self.behind = (s["carburetor.throat.bore_m"] + self.inlet_m3 / throat / 2 / self.cylinders) / throat
        runner = s["engine.breathing.runner_m"] / circle(s["engine.breathing.runner_bore_m"])
        port = EXHAUST_PORT_M / circle(bore / 2)
        self.relaxation = s["relaxation_rad"] / self.turning
        self.window = {}
        for name in ("inlet", "transfer", "exhaust"):
            opens, closes, size, lift = (s[f"engine.breathing.{name}.{k}"] for k in ("opens_rad", "closes_rad", "size_m", "lift_m"))
            if self.two:
                start, length = (2 * math.pi - opens, 2 * opens) if name == "inlet" else (opens, 2 * (math.pi - opens))
            else:
                start, length = (4 if name == "inlet" else 3) * math.pi - opens, opens + math.pi + closes
            self.window[name] = (start, length, size, lift, opens)
        # gates: window, cylinder, chamber that it leaves, chamber that it enters (none: outside), inertance
        self.gates, self.chambers = [], [(None, False)]
        for i in range(self.cylinders):
            draws = len(self.chambers)
            burns = draws + self.two
            self.chambers += [(i, True)] * self.two + [(i, False)]
            self.gates.append(("inlet", i, 0, draws, runner))
            if self.two:
                self.gates.append(("transfer", i, draws, burns, port))
            self.gates.append(("exhaust", i, burns, None, port))
        self.first_gate = 3 * len(self.chambers)
        self.plate = self.first_gate + len(self.gates)
        self.burns = {c[0]: k for k, c in enumerate(self.chambers) if c[0] is not None and not c[1]}

    def way(self, angle):
        root = math.sqrt(self.rod**2 - math.sin(angle) ** 2)
        return (1 - math.cos(angle) + self.rod - root) / 2, math.sin(angle) * (1 + math.cos(angle) / root) / 2

    def volume(self, chamber, turned):
        cylinder, below = self.chambers[chamber]
        if cylinder is None:
            return self.inlet_m3, 0.0
        way, slope = self.way(turned - self.turn * cylinder / self.cylinders)
        rate = self.swept * slope * self.turning
        return (self.crankcase + self.swept * (1 - way), -rate) if below else (self.clearance + self.swept * way, rate)

    def area(self, name, angle):
        start, length, size, greatest, opens = self.window[name]
        since = (angle - start) % self.turn
        if since >= length:
            return 0.0
        if self.two:
            past = (self.way(angle)[0] - self.way(opens)[0]) * (-1 if name == "inlet" else 1)
            return PORT_COEFFICIENT * size * self.s["engine.stroke_m"] * max(past, 0)
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
        s, y = self.s, y.tolist()
        turned = self.turning * t
        room = [self.volume(k, turned) for k in range(len(self.chambers))]
        end = [(y[3 * k], y[3 * k] * room[k][0] / y[3 * k + 1]) for k in range(len(room))]
        burnt = [y[3 * k + 2] / y[3 * k + 1] for k in range(len(room))]
        d = [0.0] * len(y)
        plate = y[self.plate]
        lost = throat_drop(s["throat_m2"], self.rt, s["box_pa"], abs(plate))
        sign = 1 if plate >= 0 else -1
        recovery = s["carburetor.throat.recovery"]
        d[self.plate] = self.column(self.ahead + self.behind, s["plate_m2"],
                                    (s["box_pa"] - sign * (1 - recovery) * lost, self.rt), end[0], plate, 4 * self.relaxation)
        nozzle = s["box_pa"] - self.ahead * d[self.plate] - (lost if plate >= 0 else recovery * lost)
        watts = [0.0] * len(room)

        def carry(chamber, flow, rt, share):
            watts[chamber] += flow * rt
            d[3 * chamber + 1] += flow
            d[3 * chamber + 2] += flow * share

        carry(0, plate, self.rt if plate >= 0 else end[0][1], 0.0 if plate >= 0 else burnt[0])
        for g, (name, cylinder, leaves, enters, inertance) in enumerate(self.gates):
            area = self.area(name, turned - self.turn * cylinder / self.cylinders)
            if not area > 0:
                continue
            flow = y[self.first_gate + g]
            behind = self.exhaust if enters is None else end[enters]
            d[self.first_gate + g] = self.column(inertance, area, end[leaves], behind, flow, self.relaxation)
            rt = end[leaves][1] if flow >= 0 else behind[1]
            share = burnt[leaves] if flow >= 0 else 1.0 if enters is None else burnt[enters]
            carry(leaves, -flow, rt, share)
            if enters is not None:
                warmed = rt + (self.r * s["engine.manifold_heating_k"] if name == "inlet" and flow >= 0 else 0.0)
                carry(enters, flow, warmed, share)
        for k, (volume, growth) in enumerate(room):
            d[3 * k] = GAMMA * (watts[k] - y[3 * k] * growth) / volume
        d[self.plate + 1] = plate
        d[self.plate + 2] = s["box_pa"] - nozzle
        return np.array(d)

    def start(self):
        ambient, y = self.s["air.pressure_pa"], np.zeros(self.plate + 3)
        for k, (cylinder, below) in enumerate(self.chambers):
            burns = cylinder is not None and not below
            pressure = ambient if burns else 0.8 * ambient
            mass = pressure * self.volume(k, 0)[0] / (self.r * 900 if burns else self.rt)
            y[3 * k : 3 * k + 3] = pressure, mass, mass if burns else 0
        return y

    def stops(self):
        stops = []
        for g, (name, cylinder, *_) in enumerate(self.gates):
            start, length = self.window[name][:2]
            for angle, kind in ((start, "opens"), (start + length, "closes")):
                stops.append(((angle + self.turn * cylinder / self.cylinders) % self.turn, kind, g))
        for cylinder in range(self.cylinders):
            at = (0 if self.two else 2 * math.pi) + self.turn * cylinder / self.cylinders
            stops.append((at % self.turn or self.turn, "fires", cylinder))
        return sorted(stops) + [(self.turn, "ends", 0)]

    def run(self, y, relative):
        """One cycle, stopped at each opening, closing and at firing."""
        mass, flow = self.s["air.density_kg_m3"] * self.swept, self.s["air.density_kg_m3"] * self.swept / self.period
        scale = np.array([1e5, mass, mass] * len(self.chambers) + [flow] * (len(self.gates) + 1) + [mass, 1e5 * self.period])
        y, t, told = y.copy(), 0.0, {}
        y[self.plate + 1 :] = 0
        for angle, kind, index in self.stops():
            end = angle / self.turning
            if end > t:
                y = solve_ivp(self.rates_or_nan, (t, end), y, method="DOP853", rtol=relative, atol=relative * scale,
                              first_step=min(1e-7, end - t)).y[:, -1]
                t = end
            if kind == "closes":
                name, cylinder, _, enters, _ = self.gates[index]
                y[self.first_gate + index] = 0
                if cylinder == 0 and name == "inlet":
                    told["manifold_closing_pa"] = y[0]
                if cylinder == 0 and name != "exhaust":
                    told["crankcase" if self.two and name == "inlet" else "residual"] = y[3 * enters + 2] / y[3 * enters + 1]
            if kind == "fires":
                k = 3 * self.burns[index]
                y[k] += (GAMMA - 1) * HEAT * (y[k + 1] - y[k + 2]) / self.clearance
                y[k + 2] = y[k + 1]
        told.pop("crankcase", None)
        told.update(air_kg_s=y[self.plate + 1] / self.period, nozzle_pa=self.s["box_pa"] - y[self.plate + 2] / self.period)
        return y, told

    def periodic(self, relative, settled):
        y = self.start()
        held = 3 * len(self.chambers)
        for cycles in range(1, 200):
            before = y[:held].copy()
            y, told = self.run(y, relative)
            if np.max(np.abs(y[:held] - before) / (np.abs(before) + 1e-12)) < settled:
                return told, cycles
        sys.exit("scipy did not settle")


class Column:
    """Fuel of one circuit between the bowl (open to the air) and its well; what moves in the well beside it, if anything.
    Unknowns: the flow through the jet, those of the well, last what passed."""

    def __init__(self, s, circuit):
        self.s, self.rt = s, s["air.gas_constant_j_kg_k"] * s["air.temperature_k"]
        self.density, self.viscosity = s["fuel.density_kg_m3"], s["fuel.viscosity_m2_s"]
        self.period = 2 / s["speed_rev_s"]
        get = lambda key: s[f"carburetor.{circuit}.{key}"]
        self.jet, self.bleed = ([get(f"{p}.{k}") for k in ("diameter_m", "length_m", "coefficient")] for p in ("fuel_jet", "air_jet"))
        self.factor = get("fuel_coefficient") * s[f"coefficient.{circuit}"]
        self.bore = circle(s["carburetor.main_column_bore_m"])  # of the columns that nobody states too
        self.inertance = s["carburetor.main_column_m"] / self.bore + self.jet[1] / circle(self.jet[0])
        self.feed = s["air.pressure_pa"] + self.density * GRAVITY * get("bleed_depth_m")
        self.height = get("outlet_height_m") + get("bleed_depth_m")
        self.liquid_head = self.density * GRAVITY * self.height
        self.bled_head = BLED_LIQUID * self.liquid_head
        self.trace = {key: np.array(s[key]) for key in ("nozzle", "manifold", "air_flow")}

    def at(self, key, t):
        trace = self.trace[key]
        return float(np.interp((t % self.period) / self.period * (len(trace) - 1), np.arange(len(trace)), trace))

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
        return brentq(lambda drop: passed(drop) - flow, 1e-30, 1e6, xtol=1e-9)

    def gas(self, area, ahead, behind):
        ratio = max(behind / ahead, CHOKED_Q**3.5)
        return area * ahead / math.sqrt(self.rt) * math.sqrt(7 * max(ratio ** (10 / 7) - ratio ** (12 / 7), 0))

    def bled_air(self, drop):
        air, viscosity = self.s["box_pa"], self.s["air.viscosity_pa_s"] * self.rt / self.s["box_pa"]
        return self.gas(self.cd(self.bleed, drop, air / self.rt, viscosity) * circle(self.bleed[0]), air, air - drop)

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

    def head(self, well):
        fall = self.liquid_head - self.bled_head
        return self.liquid_head - fall * min(max((self.s["box_pa"] - well) / (2 * fall), 0), 1)

    def flow_rate(self, well, flow):
        rate = (self.feed - well - self.jet_drop(flow)) / self.inertance
        return rate if flow > 0 or rate > 0 else 0.0

    def cycle(self, y):
        """Where it leads, and the mean flow; between told pressures the way is straight, so that each is a kink."""
        y, times = [*y, 0.0], np.linspace(0, self.period, len(self.trace["nozzle"]))
        absolute = self.relative * np.array([*self.absolute(), 1e-7])
        for start, end in zip(times, times[1:]) if self.stops_at_kinks else [(0, self.period)]:
            y = solve_ivp(self.rates, (start, end), y, method=self.method, rtol=self.relative, atol=absolute,
                          first_step=0.1 * times[1], max_step=times[1]).y[:, -1]
        return y[:-1], y[-1] / self.period

    def mean(self):
        """What stands last settles slowly: it goes where two cycles point to (Aitken)."""
        first = np.array(self.start())
        for _ in range(50):
            second, _ = self.cycle(first)
            third, mean = self.cycle(second)
            if np.max(np.abs(third - second) / self.scale(mean)) < self.settled:
                return mean
            bend = third[-1] - 2 * second[-1] + first[-1]
            aim = first[-1] - (second[-1] - first[-1]) ** 2 / bend if bend else third[-1]
            first = np.append(third[:-1], np.clip(aim, third[-1] / MOST_CHANGED, third[-1] * MOST_CHANGED))
        sys.exit("scipy's fuel did not settle")


class MainColumn(Column):
    """Its well has one outlet, the nozzle: flow out of it, fuel that it holds."""

    method = "LSODA"  # as air that flow answers within microseconds
    relative, settled, stops_at_kinks = 1e-7, 4e-6, False

    def __init__(self, s):
        super().__init__(s, "main")
        self.volume = max(self.height * self.bore, LEAST_VOLUME)
        self.out_inertance = self.height / self.bore + LAND_M / s["annulus_m2"]
        self.gas_density = s["box_pa"] / self.rt

    def behind_air_jet(self, flow):
        air = self.s["box_pa"]
        if flow < 0:
            return pressure_ahead(BACK_COEFFICIENT * circle(self.bleed[0]), self.rt, air, -flow)
        if flow < 1e-12:
            return air
        return air - brentq(lambda drop: self.bled_air(drop) - flow, 1e-12, 0.45 * air, xtol=1e-9)

    def loss(self, quality, drop, outside, comes_back):
        drop, area = min(max(abs(drop), 50.0), 0.9 * outside), self.s["annulus_m2"]
        flow = self.gas(area, outside, outside - drop) if comes_back else self.emulsion(area, quality, outside + drop, outside)
        return drop / flow**2

    def rates(self, t, y):
        nozzle = self.at("nozzle", t)
        flow, out, liquid = max(y[0], 0.0), y[1], max(y[2], 0.0)
        gas = self.gas_density * max(self.volume - liquid / self.density, 0.0)
        quality = gas / (gas + liquid)
        leaves = max(out, 0.0) * (1 - quality)
        behind = self.behind_air_jet(out - leaves + self.gas_density * (leaves - flow) / self.density)
        well = behind + GRAVITY * self.density * max(liquid / self.density - self.volume, 0.0) / self.bore
        driving = well - self.head(well) - nozzle
        loss = self.loss(quality, driving, nozzle, out < 0)
        out_rate = (driving - loss * out * abs(out)) / self.out_inertance
        return [self.flow_rate(well, flow), out_rate, flow - leaves, flow]

    def start(self):
        return self.s["main_kg_s"] * 0.8, self.s["main_kg_s"], 0.2 * self.density * self.volume

    def absolute(self):
        return 1e-5, 1e-5, 0.1 * self.density * self.volume

    def scale(self, mean):
        return np.array([mean, mean, self.density * self.volume])


class PilotColumn(Column):
    """Its well answers at once: what comes in by jet, bleed and the outlets that blow back leaves by the others, and by the
    air jet where the pulse drives it there."""

    method = "RK45"
    relative, settled, stops_at_kinks = 1e-8, 1e-7, True

    def __init__(self, s):
        super().__init__(s, "pilot")
        self.outlets = s["pilot_outlets_m2"]  # behind the screw, ports behind the plate, ports ahead of it
        self.trace["ahead"] = np.array([self.ahead(*told) for told in zip(s["nozzle"], s["air_flow"])])

    def ahead(self, nozzle, flow):
        """Under a slide as at the nozzle. Ahead of a plate the throat has recovered a part of its drop; backwards it loses all."""
        if self.s["ports_at_nozzle"]:
            return nozzle
        drop = throat_drop(self.s["throat_m2"], self.rt, self.s["box_pa"], abs(flow))
        return nozzle + (self.s["carburetor.throat.recovery"] if flow >= 0 else 1) * drop

    def pressures(self, t):
        manifold = self.at("manifold", t)
        return manifold, manifold, self.at("ahead", t)

    def excess(self, well, fuel, outside):
        """More comes into the well than leaves it."""
        inside, air = well - self.head(well), self.s["box_pa"]
        gas = self.bled_air(air - well) if well < air else 0.0
        gas += sum(self.gas(area, there, inside) for area, there in zip(self.outlets, outside) if there > inside)
        if fuel + gas <= 0:
            return -1.0
        quality = gas / (fuel + gas)
        out = sum(self.emulsion(area, quality, inside, there) for area, there in zip(self.outlets, outside) if there < inside)
        if well > air:
            out += self.emulsion(BACK_COEFFICIENT * circle(self.bleed[0]), quality, well, air)
        return fuel + gas - out

    def rates(self, t, y):
        flow, outside = max(y[0], 0.0), self.pressures(t)
        low, high = min(self.s["box_pa"], min(outside) + self.bled_head), max(self.s["box_pa"], *outside) + self.liquid_head + 1.0
        while self.excess(high, flow, outside) > 0:
            high += 1e3
        well = brentq(self.excess, low, high, args=(flow, outside), xtol=1e-6)
        return [self.flow_rate(well, flow), flow]

    def start(self):
        return (0.8 * self.s["pilot_kg_s"],)

    def absolute(self):
        return (1e-7,)

    def scale(self, mean):
        return np.array([mean])


def gas_of(s, quick):
    told, _ = Cycle(s).periodic(1e-8, 1e-6) if quick else Cycle(s).periodic(1e-10, 1e-7)
    differs = {key: told[key] / s[key] - 1 for key in told}
    begun = time.process_time()
    _, cycles = Cycle(s).periodic(1e-5, 1e-5)
    ms = 1e3 * (time.process_time() - begun)
    return differs, {"scipy_cycles": cycles, "scipy_gas_ms": ms, "library_ms": s["usual_ms"], "ratio": ms / s["usual_ms"]}


def fuel_of(s):
    """SciPy's less the library's, and whole steps' less those of parts."""
    columns = {"main_kg_s": MainColumn, "pilot_kg_s": PilotColumn} if s["strokes"] == 4 and s["cylinders"] == 1 else {}
    flows = [key for key in columns if s[key] > LEAST_FUEL and (key != "main_kg_s" or s["engine"] in MAIN_OF)]
    return {key: columns[key](s).mean() / s[key] - 1 for key in flows}, {key: s["whole_steps"][key] / s[key] - 1 for key in flows}


def main():
    quick = ["--quick"] if "--quick" in sys.argv[2:] else []
    cases = json.loads(subprocess.run([sys.argv[1], *quick], check=True, capture_output=True, text=True).stdout)
    answer, failed = [], False
    for i, s in enumerate(cases[:4] if quick else cases):
        gas, cost = gas_of(s, quick) if i < 2 or not quick else ({}, {})
        fuel, whole = fuel_of(s) if i >= 2 or not quick else ({}, {})
        failed |= not all(abs(d) <= AGREEMENT for d in gas.values()) or not all(abs(d) <= FUEL_AGREEMENT[key] for key, d in fuel.items())
        answer.append({"engine": s["engine"], "range": s["range"], "differs": {**gas, **fuel}, "whole_steps_differ": whole, **cost})
    print(json.dumps(answer, indent=1))
    sys.exit("scipy does not agree" if failed else 0)


main()
