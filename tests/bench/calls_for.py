# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: calls_for.py PROGRAM. Holds the order of changes that README states: a second cylinder on the carburetor moves
lambda more than bore, cam or the inlet behind it do, and leaner; the jet told is wider where lambda is leaner."""
import json
import subprocess
import sys

for engine in json.loads(subprocess.check_output([sys.argv[1], "courier-150", "pump-200"])):
    changes = {c["change"]: c for c in engine["changes"]}
    second = changes["a second cylinder on the carburetor"]
    for name in ("bore 6 % wider", "inlet cam 20 degrees longer", "inlet behind the carburetor 150 mm longer"):
        assert abs(changes[name]["lambda_ratio"] - 1) < 0.05 < second["lambda_ratio"] - 1, (engine["engine"], name)
    for change in changes.values():
        leaner = change["lambda_ratio"] - 1
        if abs(leaner) > 0.005:
            assert leaner * (change["main_jet_ratio"] - 1) > 0, change
    print(engine["engine"], "holds")
