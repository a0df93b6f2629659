"""Positions of curves, and fair curves, against independent computations.

Sources
-------
- mpmath (arbitrary-precision quadrature, 30 digits) of x = int cos theta, y = int sin theta,
  theta integrated by hand from the curvature of each piece.
- Fresnel integrals of scipy.special for a pure clothoid: Abramowitz, M. and Stegun, I. A.
  (1964), Handbook of Mathematical Functions, eq. 7.3.1 and 7.3.2.
- The fair curve in the limit of small slopes: minimising the integral of (y''')^2 subject to
  y(x_i) = y_i gives the natural quintic spline (de Boor, C., 1978, A Practical Guide to
  Splines, ch. V), here scipy.interpolate.make_interp_spline with y''' = y'''' = 0 at the ends.
- The same minimum sought by scipy's SLSQP from the same conditions but with other
  integration (Simpson) and numerical derivatives.

Tolerances
----------
- Positions: the aim is 1e-6 mm over 3 m; asserted is 1e-9 mm, ten times the rounding of some
  hundred added steps of 3 m (3000 x 2.2e-16 x 100 = 7e-11).
- Small slopes: curvature is linear on 12 cells a span, so that its course within a cell is
  met to (1/12)^2, 0.7 %; asserted is 1 % of the greatest curvature or height. The slope of
  1e-4 adds less than 1e-7.
- SLSQP: it stops at 1e-12 of the cost; costs agree to 1e-6, places to 0.01 mm on 500 mm.
"""

import math

import mpmath as mp
import numpy as np
import pytest
from scipy.interpolate import make_interp_spline
from scipy.optimize import minimize
from scipy.special import fresnel

from overbend.curve import arc, chain, easement, line, through

mp.mp.dps = 30

CURVES = {
    "clothoid": chain(easement(3000, -1 / 900, 1 / 250), start=(3, -8), heading=0.21),
    "tight clothoid": chain(easement(3000, 1 / 60, -1 / 45)),
    "arcs": chain(arc(700, 0.9), arc(310, -2.2), arc(95, 4.0), arc(1308, 1.0), heading=-1.3),
    "flat arcs": chain(*(arc(1e7 * (i + 1), 1e-4 / (i + 1)) for i in range(3))),
    "mixed": chain(
        line(412.5),
        easement(600, 0, 1 / 420),
        arc(420, 0.8),
        easement(777, 1 / 420, -1 / 333),
        easement(333, -1 / 333, -1 / 80),
        line(541.5),
        start=(17.3, -42.1),
        heading=2.71,
    ),
}


def exact_point(curve, s):
    """Position at s by mpmath, headings integrated exactly piece by piece."""
    x, y, theta, left = mp.mpf(curve.start[0]), mp.mpf(curve.start[1]), mp.mpf(curve.heading), s
    for p in curve.pieces:
        run = mp.mpf(min(left, p.length))
        k, slope = mp.mpf(p.kappa0), (mp.mpf(p.kappa1) - mp.mpf(p.kappa0)) / mp.mpf(p.length)

        def heading(u, theta=theta, k=k, slope=slope):
            return theta + k * u + slope * u * u / 2

        cuts = mp.linspace(0, run, 1 + max(1, math.ceil(abs(p.turn) + p.length / 200)))
        x += mp.quad(lambda u, h=heading: mp.cos(h(u)), cuts)
        y += mp.quad(lambda u, h=heading: mp.sin(h(u)), cuts)
        theta, left = heading(run), left - p.length
        if left <= 0:
            break
    return float(x), float(y)


@pytest.mark.parametrize("name", CURVES)
def test_positions_against_arbitrary_precision(name):
    curve = CURVES[name]
    places = [0.137 * curve.length, 0.5501 * curve.length, curve.length]
    gaps = [np.abs(curve.point(s) - exact_point(curve, s)).max() for s in places]
    assert max(gaps) < 1e-9


@pytest.mark.parametrize(("length", "kappa"), [(3000.0, 1 / 180), (2999.0, -1 / 1500)])
def test_a_clothoid_from_straight_against_fresnel_integrals(length, kappa):
    curve = chain(easement(length, 0.0, kappa))
    s = np.linspace(0.0, length, 41)
    unit = math.sqrt(math.pi * length / abs(kappa))
    sine, cosine = fresnel(s / unit)
    oracle = unit * np.column_stack([cosine, math.copysign(1.0, kappa) * sine])
    assert np.abs(curve.point(s) - oracle).max() < 1e-9


def test_an_offset_against_arbitrary_precision():
    curve, d, s = CURVES["mixed"], -47.0, 1999.0
    theta = float(curve.angle(s))
    x, y = exact_point(curve, s)
    oracle = (x - d * math.sin(theta), y + d * math.cos(theta))
    assert np.abs(curve.offset(d).point(s) - oracle).max() < 1e-9


@pytest.mark.parametrize("held", [False, True])
def test_a_fair_curve_of_small_slope_is_the_natural_quintic_spline(held):
    x = np.array([0.0, 90.0, 210.0, 260.0, 430.0, 500.0, 640.0])
    y = 1e-4 * np.array([0.0, 31.0, -12.0, 44.0, 80.0, 10.0, 25.0])
    slopes = (3e-5, -6e-5) if held else (None, None)
    curve = through(np.column_stack([x, y]), *slopes)
    free = [(3, 0.0), (4, 0.0)]
    ends = [[(1, h), (3, 0.0)] if held else free for h in slopes]
    spline = make_interp_spline(x, y, k=5, bc_type=tuple(ends))
    at = curve.point(curve.even_grid(400))
    bend = curve.kappa(curve.even_grid(400))
    assert np.abs(at[:, 1] - spline(at[:, 0])).max() < 0.01 * np.abs(y).max()
    oracle = spline(at[:, 0], 2)
    assert np.abs(bend - oracle).max() < 0.01 * np.abs(oracle).max()


CELLS = 12


def laid(x, count):
    """Headings, curvatures and lengths of a flat list of unknowns; places by Simpson's rule."""
    heading, kappa, length = x[0], x[1:-count], x[-count:]
    rows = np.stack([kappa[i * CELLS : (i + 1) * CELLS + 1] for i in range(count)])
    place, out = np.zeros(2), []
    fine = np.linspace(0.0, 1.0, CELLS * 8 + 1)
    weight = np.ones(fine.size)
    weight[1:-1:2], weight[2:-1:2] = 4.0, 2.0
    weight /= 3.0 * (fine.size - 1)
    for k, run in zip(rows, length, strict=True):
        bend = np.interp(fine, np.linspace(0, 1, CELLS + 1), k)
        # exact for curvature that is linear between these places
        turned = (
            run * np.concatenate([[0], np.cumsum((bend[1:] + bend[:-1]) / 2)]) / (fine.size - 1)
        )
        angle = heading + turned
        place = place + run * np.array([weight @ np.cos(angle), weight @ np.sin(angle)])
        heading = angle[-1]
        out.append(place)
    return rows, length, np.array(out)


def test_a_fair_curve_against_a_general_optimiser():
    points = np.array([(0.0, 0.0), (130.0, 35.0), (270.0, 20.0), (430.0, 110.0)])
    curve = through(points)
    scale = 500.0
    unit = points / scale
    chord = np.hypot(*np.diff(unit, axis=0).T)

    def cost(x):
        rows, length, _ = laid(x, 3)
        return float((length**2 / chord**3 * CELLS * (np.diff(rows) ** 2).sum(axis=1)).sum())

    def miss(x):
        return (laid(x, 3)[2] - unit[1:]).ravel()

    bearing = np.arctan2(*np.diff(unit, axis=0)[0][::-1])
    start = np.concatenate([[bearing], np.zeros(3 * CELLS + 1), chord])
    found = minimize(cost, start, method="SLSQP", constraints={"type": "eq", "fun": miss},
                     options={"maxiter": 1000, "ftol": 1e-12})  # fmt: skip
    assert found.success
    ours = np.concatenate(
        [
            [curve.heading],
            scale * np.append([p.kappa0 for p in curve.pieces], curve.pieces[-1].kappa1),
            np.diff(list(curve.stations.values())) / scale,
        ]
    )
    assert np.abs(miss(ours)).max() * scale < 1e-3
    assert cost(ours) == pytest.approx(found.fun, rel=1e-6)
    assert ours[0] == pytest.approx(found.x[0], abs=1e-4)
    assert ours[-3:] * scale == pytest.approx(found.x[-3:] * scale, abs=0.01)
