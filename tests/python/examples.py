# SPDX-License-Identifier: GPL-3.0-or-later
"""The README's lines run, and the example draws a map that holds what the point solver says."""
import contextlib
import io
import os
import pathlib
import re
import sys
import tempfile
import warnings

import support

try:
    import matplotlib
except ImportError:
    print("SKIP matplotlib is not installed")
    sys.exit(77)

import jetwright as jw
import numpy as np

sys.path.insert(0, str(support.ROOT / "bindings/python/examples"))
import lambda_map


def readme_prints():
    """What the README's example prints."""
    (lines,) = re.findall(r"```python\n(.*?)```", (support.ROOT / "bindings/python/README.md").read_text(), re.S)
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed), warnings.catch_warnings():
        warnings.simplefilter("ignore", jw.StatusWarning)
        exec(lines, {})
    return [float(number) for number in re.findall(r": (\d\.\d\d)$", printed.getvalue(), re.M)]


def picture_starts(altitudes, ending):
    with tempfile.TemporaryDirectory() as folder:
        picture = pathlib.Path(folder, "map" + ending)
        lambda_map.main(support.PROFILES / "engines/courier-150.yaml", picture, altitudes)
        return picture.read_bytes()


def map_is_the_solvers():
    with jw.profile_load(support.PROFILES / "engines/courier-150.yaml") as profile:
        setup = jw.profile_setup(profile)
    air, usual = lambda_map.air_at(1000.0), setup.range[jw.FULL]
    drawn = lambda_map.lambda_map(setup, air, np.array([usual.speed_rev_s]), np.array([usual.throttle]))
    return abs(drawn[0, 0] * jw.mixture_at(setup, air, usual).phi - 1) < 2e-8


def main():
    os.chdir(support.ROOT)
    half, leanest = readme_prints()
    checks = {
        "the README's lambdas are those of an engine": 0.7 < half < 1.1 <= leanest,
        "a PNG is one": picture_starts([0.0, 2000.0], ".png").startswith(b"\x89PNG"),
        "an SVG names its panels": b"<!-- 3000 m -->" in picture_starts([3000.0], ".svg"),
        "the map is the solver's": map_is_the_solvers(),
        "no screen is needed": matplotlib.get_backend().lower() == "agg",
    }
    print("\n".join(f"{'ok' if good else 'FAILED'}: {check}" for check, good in checks.items()))
    return 0 if all(checks.values()) else 1


sys.exit(main())
