# SPDX-License-Identifier: GPL-3.0-or-later
"""Draws lambda over speed and throttle, a map for each altitude.

Usage: lambda_map.py PROFILE PICTURE [ALTITUDE_M ...]

PROFILE is an engine's YAML file, PICTURE a .png, .svg or .pdf to write. Without altitudes it draws 0 and 2000 m.
"""
import sys
import warnings

import matplotlib

matplotlib.use("Agg")  # draws into a file, without a screen

import jetwright as jw
import matplotlib.pyplot as plt
import numpy as np

LEVELS = np.arange(0.7, 1.325, 0.05)


def air_at(altitude_m):
    """Dry air of the standard atmosphere."""
    level = jw.standard_atmosphere(altitude_m)
    return jw.air_from_humidity(level.pressure_pa, level.temperature_k, 0.0)


def lambda_map(setup, air, speed_rev_s, throttle):
    """Lambda at each throttle (rows) and speed (columns); nan where no fuel flows."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", jw.StatusWarning)  # a map holds corners that nobody drives in
        mixtures, statuses = jw.mixture_map(setup, air, speed_rev_s, throttle[:, None])
    with np.errstate(divide="ignore"):
        return np.where(statuses & (jw.W_NO_FUEL | jw.W_NO_DEMAND), np.nan, 1 / mixtures.phi)


def draw(axes, setup, altitude_m):
    usual = np.array([(point.speed_rev_s, point.throttle) for point in setup.range])
    speed_rev_s = np.linspace(usual[:, 0].min(), 1.1 * usual[:, 0].max(), 90)
    throttle = np.linspace(0.0, 1.0, 60)
    lambdas = lambda_map(setup, air_at(altitude_m), speed_rev_s, throttle)
    filled = axes.contourf(60 * speed_rev_s, 100 * throttle, lambdas, LEVELS, cmap="RdBu", extend="both")
    axes.contour(60 * speed_rev_s, 100 * throttle, lambdas, [1.0], colors="black", linewidths=1)
    axes.plot(60 * usual[:, 0], 100 * usual[:, 1], "ko", markersize=4)
    for kind, (speed, opening) in zip(jw.Range, usual):
        axes.annotate(jw.range_name(kind).replace("_", " "), (60 * speed, 100 * opening), xytext=(4, 3),
                      textcoords="offset points", fontsize=7)
    axes.set(title=f"{altitude_m:g} m", xlabel="engine speed, rpm")
    return filled


def main(profile_path, picture, altitudes_m):
    with jw.profile_load(profile_path) as profile:
        setup, name = jw.profile_setup(profile), jw.profile_name(profile)
    size = 1 + 4.5 * len(altitudes_m), 4.5
    figure, panels = plt.subplots(1, len(altitudes_m), figsize=size, sharey=True, squeeze=False, layout="constrained")
    for axes, altitude_m in zip(panels[0], altitudes_m):
        filled = draw(axes, setup, altitude_m)
    panels[0][0].set_ylabel("throttle, %")
    figure.colorbar(filled, ax=panels, label="lambda: red rich, blue lean, the line is 1")
    figure.suptitle(f"{name}; dots: the usual point of each range")
    figure.savefig(picture, dpi=120)


if __name__ == "__main__":
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2], [float(altitude) for altitude in sys.argv[3:]] or [0.0, 2000.0])
