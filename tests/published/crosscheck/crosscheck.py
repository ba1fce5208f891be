# SPDX-License-Identifier: GPL-3.0-or-later
"""Compares what the library computes with a packaged reference.

usage: crosscheck.py REFERENCE PROGRAM    (fluids, iapws or units; PROGRAM prints the library's values)
exit 0 agreed, 1 disagreed, 77 skipped: the package is missing
"""
import functools
import shutil
import subprocess
import sys

SKIP = 77


def fluids_checks():
    from math import pi

    import fluids
    from fluids.flow_meter import nozzle_expansibility, orifice_expansibility
    from fluids.friction import Churchill_1977
    from fluids.two_phase_voidage import McAdams, homogeneous
    level = fluids.ATMOSPHERE_1976

    def pipe_drop(bore, kg_s):
        """Not by fluids' own wrapper, which leaves Churchill's formula for 64/Re in laminar flow: 1e-6 near its end."""
        speed = kg_s / (742.3 * pi / 4 * bore**2)
        friction = Churchill_1977(fluids.Reynolds(V=speed, D=bore, nu=0.55e-6), 0.0)
        return fluids.dP_from_K(fluids.K_from_f(friction, 0.43, bore), 742.3, speed)
    # R/M of the 1976 standard lies 7e-7 above that of ISO 2533: as much in the density at the ground, and
    # 7e-7 |ln(p/p0)|, 1.1e-6 at 11 km, in the pressure.
    return {
        'geometric_temperature': (lambda z: level(z).T, 1e-9),
        'geometric_pressure': (lambda z: level(z).P, 1.2e-6),
        'geometric_density': (lambda z: level(z).rho, 1.2e-6),
        'geometric_viscosity': (lambda z: level(z).mu, 1e-9),
        'critical_ratio': (lambda gamma: fluids.P_critical_flow(1.0, gamma), 1e-12),
        'orifice_expansibility': (lambda b, r: orifice_expansibility(1.0, b, 1.0, r, 1.4), 1e-12),
        'nozzle_expansibility': (lambda b, r: nozzle_expansibility(1.0, b, 1.0, r, 1.4), 1e-12),
        'friction_factor': (lambda re: Churchill_1977(re, 0.0), 1e-12),
        'pipe_drop': (pipe_drop, 1e-12),
        'void_fraction': (lambda x, liquid, gas: homogeneous(x, liquid, gas), 1e-12),
        'mixture_viscosity': (lambda x: McAdams(x, 4.1e-4, 1.8e-5), 1e-12),
    }


def iapws_checks():
    from iapws import HumidAir
    from iapws.iapws97 import _PSat_T

    @functools.cache
    def humid(p, t, vapour):
        return HumidAir(T=t, P=p * 1e-6, xa=1.0 - vapour)
    return {
        'saturation_pressure': (lambda t: _PSat_T(t) * 1e6, 1e-4),
        'moist_density': (lambda p, t, vapour: humid(p, t, vapour).rho, 5e-5),
        'steamy_density': (lambda p, t, vapour: humid(p, t, vapour).rho, 4e-4),  # as air.h says
        'dry_fraction': (lambda p, t, vapour: 1.0 - humid(p, t, vapour).W, 5e-6),
    }


def units_checks():
    if not shutil.which('units'):
        raise ImportError('the program units')

    def convert(function, unit):
        def value(h):
            command = ['units', '-t', '-d', '15', f'{function}({h:.17g} m)', unit]
            return float(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
        return value
    return {
        'geopotential_temperature': (convert('stdatmTH', 'K'), 1e-9),
        'geopotential_pressure': (convert('stdatmPH', 'Pa'), 1e-6),
    }


REFERENCES = {'fluids': fluids_checks, 'iapws': iapws_checks, 'units': units_checks}


def library_values(program):
    """Quantity -> list of (inputs, value)."""
    values = {}
    for line in subprocess.run([program], capture_output=True, text=True, check=True).stdout.splitlines():
        quantity, *numbers = line.split()
        *inputs, value = map(float, numbers)
        values.setdefault(quantity, []).append((inputs, value))
    return values


def compare(quantity, points, reference, tolerance):
    worst, where = 0.0, None
    for inputs, value in points:
        difference = abs(value / reference(*inputs) - 1.0)
        if difference != difference:  # a NaN, which no maximum may swallow
            difference = float('inf')
        if difference > worst:
            worst, where = difference, inputs
    good = worst <= tolerance
    print(f'{quantity:25} {len(points):4} points, largest difference {worst:.2e} of {tolerance:.1e}'
          f'{"" if good else "  FAILED"} at {where}')
    return good


def main(name, program):
    try:
        checks = REFERENCES[name]()
    except ImportError as missing:
        print(f'SKIP: {name} is not installed ({missing}); NOTHING WAS COMPARED')
        return SKIP
    values = library_values(program)
    results = [compare(quantity, values[quantity], *check) for quantity, check in checks.items()]
    print(f'{sum(results)} passed, {len(results) - sum(results)} failed')
    return 0 if all(results) else 1


if __name__ == '__main__':
    if len(sys.argv) != 3 or sys.argv[1] not in REFERENCES:
        sys.exit(__doc__)
    sys.exit(main(*sys.argv[1:]))
