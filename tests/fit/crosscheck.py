# SPDX-License-Identifier: GPL-3.0-or-later
"""Usage: crosscheck.py RESIDUALS_PROGRAM PROFILE

The same readings fitted by scipy.optimize.least_squares, which must end where the library ends: within a thousandth of a
standard uncertainty, with the same covariance and the same chi-squared. Exits 77, a skip, without SciPy.
"""
import subprocess
import sys

try:
    import numpy
    from scipy.optimize import least_squares
except ImportError:
    print("SKIP: SciPy is not installed, so no fit was compared with it")
    sys.exit(77)


def main():
    with subprocess.Popen(sys.argv[1:3], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as program:
        ours = numpy.array(program.stdout.readline().split(), dtype=float)
        x, covariance, chi_squared = ours[:4], ours[4:20].reshape(4, 4), ours[20]

        def residuals(at):
            print(*(f"{value:.17g}" for value in at), file=program.stdin, flush=True)
            return numpy.array(program.stdout.readline().split(), dtype=float)

        # from afar; steps wide enough for residuals that come from a root finder
        theirs = least_squares(residuals, x + [0.05, -0.08, 0.06, -0.07], x_scale=0.05, xtol=1e-12, ftol=1e-14, gtol=1e-12,
                               jac=lambda at: slopes(residuals, at))
        program.stdin.close()
    spread = numpy.sqrt(numpy.diag(covariance))
    off = numpy.abs(theirs.x - x) / spread
    apart = numpy.abs(numpy.linalg.inv(theirs.jac.T @ theirs.jac) - covariance) / numpy.outer(spread, spread)
    print(f"coefficients differ by {off.max():.1e} of their uncertainties, covariances by {apart.max():.1e}, "
          f"chi-squared {chi_squared:.9g} and {2 * theirs.cost:.9g}, {theirs.nfev} evaluations")
    agreed = off.max() < 1e-3 and apart.max() < 1e-3 and abs(2 * theirs.cost - chi_squared) < 1e-4
    return 0 if agreed and program.returncode == 0 else 1


def slopes(residuals, at, step=1e-3):
    columns = []
    for i in range(len(at)):
        shift = numpy.zeros(len(at))
        shift[i] = step
        columns.append((residuals(at + shift) - residuals(at - shift)) / (2 * step))
    return numpy.array(columns).T


sys.exit(main())
