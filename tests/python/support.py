# SPDX-License-Identifier: GPL-3.0-or-later
"""What the tests of the Python binding share."""
import pathlib
import sys

try:
    import numpy  # noqa: F401
except ImportError:
    print("SKIP numpy is not installed")
    sys.exit(77)

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROFILES = ROOT / "profiles"
