# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: installed.py BUILD_DIR

The package works where `cmake --install` and pip put it: by the library that lies there, also after the folder moved.
"""
import importlib.util
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

import support

USE = """
import jetwright as jw, pathlib, sys
assert pathlib.Path(jw.__file__).is_relative_to(sys.argv[1]), jw.__file__
library = pathlib.Path(jw._library.LIBRARY._name).resolve()
assert library.is_relative_to(sys.argv[1]), library
with jw.profile_load(sys.argv[2]) as profile:
    setup = jw.profile_setup(profile)
print(f"{jw.mixture_at(setup, jw.air_from_humidity(101325.0, 288.15, 0.0), setup.range[jw.HALF]).phi:.17g}")
"""


def phi_with(package_dir, prefix):
    """What a program prints that imports the package from there."""
    place = {**os.environ, "PYTHONPATH": str(package_dir)}
    arguments = [prefix.resolve(), support.PROFILES / "engines/courier-150.yaml"]
    return subprocess.run([sys.executable, "-W", "error", "-c", USE, *arguments], env=place, cwd=prefix, check=True,
                          capture_output=True, text=True).stdout


def main():
    build, quiet = sys.argv[1], {"check": True, "stdout": subprocess.DEVNULL}
    with tempfile.TemporaryDirectory() as folder:
        there, moved, wheel = (pathlib.Path(folder, name) for name in ("there", "moved", "wheel"))
        subprocess.run(["cmake", "--install", build, "--prefix", there], **quiet)
        found = [phi_with(there / "lib/python3/dist-packages", there)]
        shutil.move(there, moved)
        found.append(phi_with(moved / "lib/python3/dist-packages", moved))
        if importlib.util.find_spec("pip") is None:
            print("SKIP pip is not installed")
            return 77
        options = ["--no-index", "--no-deps", "--target", wheel, "--config-settings", f"build-dir={build}"]
        subprocess.run([sys.executable, "-m", "pip", "install", "--quiet", *options, "bindings/python"], **quiet)
        found.append(phi_with(wheel, wheel))
    print("".join(found))
    return 0 if len(set(found)) == 1 and float(found[0]) > 0.5 else 1


sys.exit(main())
