# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: crosscheck.py LIST_PROGRAM

Compares every conversion of the library with GNU units. Exits 77, a skip, where that is not installed.
"""
import shutil
import subprocess
import sys

TOLERANCE = 1e-14  # relative: both sides compute from exact definitions

# how GNU units writes a unit, where it differs
SPELLING = {
    "": "1", "%": "percent", "thou": "mil", "h": "hour", "deg": "degree", "rad": "radian", "gf": "gram force",
    "kg/h": "kg/hour", "lb/h": "lb/hour", "l/h": "l/hour",
    # a count of turns, which GNU units takes for an angle of 2 pi
    "1/s": "rev/s", "1/min": "rev/min",
}
SCALES = {"C": "tempC({})", "F": "tempF({})"}
DEGREES = {"C": "degC", "F": "degF"}


def converted(have, want):
    result = subprocess.run(["units", "-t", "-1", "-o", "%.17g", have, want], capture_output=True, text=True)
    if result.returncode:
        raise ValueError(f"units cannot convert {have} to {want}: {result.stdout}")
    return float(result.stdout)


def reference(si, name, number):
    """The number of that unit in SI, by GNU units."""
    if si == "K" and name in SCALES:
        return converted(SCALES[name].format(number), "K")
    return number * converted(SPELLING.get(name, name), SPELLING.get(si, si))


def main():
    if not shutil.which("units"):
        print("SKIPPED: GNU units is not installed, so no conversion was compared with it")
        return 77
    rows = [line.split("\t") for line in subprocess.run(
        [sys.argv[1]], check=True, capture_output=True, text=True).stdout.splitlines()]
    largest, faults = 0.0, 0
    for si, name, one, zero in rows:
        one, zero = float(one), float(zero)
        if si == "K" and name in DEGREES and zero == 0:  # a difference of temperature
            expected_one, expected_zero = converted(DEGREES[name], "K"), 0.0
        else:
            expected_one, expected_zero = reference(si, name, 1), reference(si, name, 0)
        error = max(abs(one / expected_one - 1), abs(zero - expected_zero) / abs(expected_one))
        largest = max(largest, error)
        if error > TOLERANCE:
            faults += 1
            print(f"1 {name} = {one!r} {si}, GNU units says {expected_one!r} (0: {zero!r}, {expected_zero!r})")
    print(f"{len(rows)} units compared with GNU units, largest relative difference {largest:.1e}")
    return 1 if faults or len(rows) < 60 else 0


sys.exit(main())
