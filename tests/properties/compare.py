#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs `properties` in one thread and in eight, which must come to the same bits; further builds must come to the same values
within 1e-9."""
import argparse
import pathlib
import subprocess
import sys
import tempfile

import numpy as np

APART = 1e-9
# Below these a value is what is left of greater ones: relative to that.
LEAST = 1e-12


def run(build, count, threads, values):
    done = subprocess.run([f"{build}/tests/properties/properties", "--count", str(count), "--threads", str(threads), "--values", values],
                          stdout=subprocess.PIPE, text=True)
    if done.returncode:
        sys.exit(f"{done.stdout}{build}: ended with {done.returncode}")
    return done.stdout, np.fromfile(values)


def apart(a, b):
    """Greatest relative difference, and how many values differ at all."""
    if a.shape != b.shape:
        sys.exit("not as many values")
    gap = np.abs(a - b)
    return np.max(gap / np.maximum(np.maximum(np.abs(a), np.abs(b)), LEAST)), np.count_nonzero(gap)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("build", nargs="+", help="folder of a build")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        file = pathlib.Path(folder) / "values"
        alone, values = run(args.build[0], args.count, 1, file)
        print(alone, end="")
        together, same = run(args.build[0], args.count, 8, file)
        if alone != together or values.tobytes() != same.tobytes():
            sys.exit(f"eight threads come to other bits:\n{together}")
        for build in args.build[1:]:
            worst, differ = apart(values, run(build, args.count, 8, file)[1])
            print(f"{build}: {differ} of {len(values)} values differ, by at most {worst:.2g}")
            if not worst <= APART:
                sys.exit(f"more than {APART} apart")


main()
