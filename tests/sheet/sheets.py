# SPDX-License-Identifier: GPL-3.0-or-later
"""The job sheets that the tests look at, and the program that writes them."""
import os
import pathlib
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
PROGRAM = sys.argv[1]

SCOOTER = ["rejet", "courier-150", "--bore", "61mm", "--altitude", "1600m", "--temperature", "30C", "--jets", "metric-steps"]
# One and two faults, a visit after another, nothing wrong; few changes and many, any bore, no jet large enough, nothing
# to do; a road, and places; all ranges and one point.
SHEETS = [
    ["explain", "stood-five-months"],
    ["explain", "two-faults-at-once"],
    ["explain", "one-fault-after-another"],
    ["explain", "courier-150", "--seen", "runs_well@full"],
    SCOOTER,
    [*SCOOTER, "--filter", "open", "--fuel", "e10", "--main-jet", "1.225mm", "--readings", "courier-150-road"],
    ["rejet", "kart-125", "--premix", "1:25", "--exhaust", "freer", "--bowl-vent", "airbox"],
    ["rejet", "trail-250", "--fuel", "e85", "--jets", "metric-steps"],
    ["rejet", "courier-150"],
    ["rejet", "pump-200", "--plan", "0m:3000m", "--jets", "metric-steps"],
    ["rejet", "trail-250", "--plan", "harbour 0m 25C, valley 800m winter, high pass 2400m 5C 40%", "--jets", "metric-steps"],
    ["mixture", "trail-250"],
    ["mixture", "estate-1100", "--cycle", "--supply"],
    ["mixture", "moped-50", "--speed", "4000rpm", "--throttle", "50%"],
]


def run(*arguments):
    environment = {**os.environ, "JETWRIGHT_PROFILES": str(ROOT / "profiles")}
    return subprocess.run([PROGRAM, *arguments], cwd=ROOT, env=environment, capture_output=True, text=True)
