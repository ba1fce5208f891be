# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: check.py [--update]

The engines that come along differ: no two share more than a third of their values, and together they exercise every circuit
and option. Which of them exercises what is the table of profiles/README.md; --update writes it there.
"""
import itertools
import pathlib
import re
import sys

import yaml

ROOT = pathlib.Path(__file__).resolve().parents[2]
README = ROOT / "profiles/README.md"
BUNDLED = ROOT / "tests/support/bundled.h"  # the engines that the other tests run over
ALIKE = 1 / 3                               # of the values of the shorter of two files, at most
WORDS = {"profile", "name", "about"}        # no numbers of the engine
HEAD = "| circuit or option | engines |\n| --- | --- |\n"
TABLE = re.compile(re.escape(HEAD) + r"(?:\|.*\n)*")


def has(path, *values, standard=None):
    """Whether the file states the path; with values: whether one of them holds, `standard` where it is left out."""
    def holds(values_of):
        if values:
            return values_of.get(path, standard) in values
        return any(key == path or key.startswith((path + ".", path + "[")) for key in values_of)
    return holds


def both(one, other):
    return lambda values: one(values) and other(values)


def lacks(one):
    return lambda values: not one(values)


def several(path):
    return lambda values: int(values.get(path, "1")) > 1


FLOATS = has("carburetor.kind", "constant_depression")
OPTIONS = [
    ("constant depression", FLOATS),
    ("its slide referred to the airbox", both(FLOATS, has("carburetor.slide.reference", "airbox", standard="airbox"))),
    ("its slide referred to the atmosphere", has("carburetor.slide.reference", "atmosphere")),
    ("piston slide", has("carburetor.kind", "piston_slide")),
    ("fixed venturi", has("carburetor.kind", "fixed_venturi")),
    ("four-stroke", has("engine.cycle", "four_stroke")),
    ("two-stroke", has("engine.cycle", "two_stroke")),
    ("several cylinders on a carburetor", several("engine.cylinders")),
    ("several carburetors", several("engine.carburetors")),
    ("bowl vented to the atmosphere", has("carburetor.bowl.vent", "atmosphere")),
    ("bowl vented to the airbox", has("carburetor.bowl.vent", "airbox")),
    ("homogeneous emulsion", has("carburetor.emulsion", "homogeneous", standard="homogeneous")),
    ("emulsion with slip", has("carburetor.emulsion", "slip")),
    ("fuel screw", has("carburetor.pilot.screw", "fuel", standard="fuel")),
    ("air screw", has("carburetor.pilot.screw", "air")),
    ("transfer ports", has("carburetor.pilot.ports")),
    ("pilot fed from the main well", has("carburetor.pilot.fed_from", "main_well")),
    ("metering rod", has("carburetor.rod")),
    ("power jet", has("carburetor.power_jet")),
    ("accelerator pump", has("carburetor.pump")),
    ("enrichener", has("carburetor.enrichener")),
    ("choke plate", has("carburetor.choke")),
    ("timer of enrichener or choke", has("carburetor.timer")),
    ("supply by gravity", both(has("supply"), lacks(has("supply.pump_pressure")))),
    ("supply by a pump", has("supply.pump_pressure")),
]


def values(tree, path=""):
    """Each value of a file, as it is written, by its key path."""
    if isinstance(tree, dict):
        inner = [(f"{path}.{key}" if path else key, below) for key, below in tree.items()]
    elif isinstance(tree, list):
        inner = [(f"{path}[{index}]", below) for index, below in enumerate(tree)]
    else:
        return {path: tree}
    return {key: value for at, below in inner for key, value in values(below, at).items()}


def load(file):
    tree = yaml.load(file.read_text(encoding="utf-8"), yaml.BaseLoader)
    return values({key: below for key, below in tree.items() if key not in WORDS})


def alike(engines):
    for (one, a), (other, b) in itertools.combinations(engines.items(), 2):
        shared = sorted(key for key in a.keys() & b.keys() if a[key] == b[key])
        if len(shared) > ALIKE * min(len(a), len(b)):
            yield f"{one} and {other} share {len(shared)} values, expected at most a third: {' '.join(shared)}"


def table(engines):
    rows = [(option, [name for name, stated in engines.items() if holds(stated)]) for option, holds in OPTIONS]
    unused = [f"no engine has: {option}" for option, names in rows if not names]
    return HEAD + "".join(f"| {option} | {', '.join(names)} |\n" for option, names in rows), unused


def listed():
    return set(re.findall(r'"([^"]+)"', re.search(r"bundled_names\[\] = \{(.*?)\};", BUNDLED.read_text(), re.S)[1]))


def main():
    engines = {file.stem: load(file) for file in sorted((ROOT / "profiles/engines").glob("*.yaml"))}
    rows, faults = table(engines)
    text = README.read_text(encoding="utf-8")
    if "--update" in sys.argv[1:]:
        README.write_text(TABLE.sub(lambda _: rows, text), encoding="utf-8")
    elif rows not in text:
        faults.append("the table of profiles/README.md is not that of the files: run with --update, read the diff")
    faults += alike(engines)
    faults += [f"{name} is not in both profiles/engines and bundled_names" for name in listed() ^ engines.keys()]
    print("\n".join(faults) or f"{len(engines)} engines, {len(OPTIONS)} circuits and options")
    return bool(faults)


sys.exit(main())
