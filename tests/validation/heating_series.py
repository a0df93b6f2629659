"""Heating times against the exact product of two slab series.

Source: H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd ed., sections 3.11 and
5.6 (from memory; the series are elementary and are checked here against their own start). A
rectangle with constant properties, an even start and one film on all faces cools and heats as
the product of two slabs: ``theta = sum 2 sin z / (z + sin z cos z) cos(z x/L) exp(-z^2 F)`` with
``z tan z = Bi``.

Tolerance: 0.5 % of the time at which the core reaches a target. The package's mesh alone errs by
up to 0.4 % at its usual number of cells. The heat capacity is held constant here because the
series allow no other; the last test measures what its rise with temperature is worth.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from overbend.steam.conduction import FilmExchange, HeatStore, march
from overbend.steam.heating import heat
from overbend.steam.mesh import even_mesh
from overbend.steam.section import Section
from overbend.wood.thermal import ThermalWood

START, STEAM = 20.0, 100.0
WOODS = [ThermalWood(0.56, 20.0), ThermalWood(0.38, 8.0)]
SECTIONS = [(50, 3), (25, 25), (50, 27), (20, 60), (90, 1.5)]
CASES = [(w, t, film) for w, t in SECTIONS for film in (150.0, 300.0, math.inf)]


def roots(biot, count=60):
    if math.isinf(biot):
        return (np.arange(count) + 0.5) * np.pi
    return np.array(
        [
            brentq(lambda z: z * np.sin(z) - biot * np.cos(z), n * np.pi + 1e-12, (n + 0.5) * np.pi)
            for n in range(count)
        ]
    )


def slab_middle(fourier, z):
    weights = 2.0 * np.sin(z) / (z + np.sin(z) * np.cos(z))
    return float((weights * np.exp(-z * z * fourier)).sum())


def exact(width, thickness, film, wood, target):
    """Seconds until the centre reaches a target, properties held at 60 C."""
    alpha, k = wood.diffusivity(60.0), wood.conductivity
    half = 0.5 * width, 0.5 * thickness
    z = [roots(film * h / 1e3 / k) for h in half]
    left = (STEAM - target) / (STEAM - START)

    def short(seconds):
        parts = (slab_middle(alpha * seconds / h**2, zs) for h, zs in zip(half, z, strict=True))
        return math.prod(parts) - left

    return brentq(short, 0.1, 1e5, xtol=1e-9)


def computed(width, thickness, film, wood, targets):
    """The package's mesh and time stepping with the heat capacity held at 60 C."""
    section = Section(width, thickness)
    mesh, k = even_mesh(section), wood.conductivity
    store = HeatStore(wood.density, wood.heat_capacity(60.0), 0.0)
    exchange = FilmExchange(1.0 / (1.0 / film + mesh.gap / k), STEAM)
    history = march(
        mesh,
        k,
        store,
        exchange,
        START,
        lambda p: mesh.core @ p > max(targets) + 0.5,
        tolerance=0.15,
    )
    return [history.trace(mesh.core).when(t) for t in targets]


def test_the_series_begin_at_the_start():
    for biot in (0.4, 5.0, math.inf):
        assert slab_middle(2e-3, roots(biot, 200)) == pytest.approx(1.0, abs=2e-3)


@pytest.mark.parametrize("wood", WOODS, ids=["G0.56-M20", "G0.38-M8"])
@pytest.mark.parametrize("case", CASES, ids=str)
def test_core_times_within_half_a_per_cent(case, wood):
    width, thickness, film = case
    targets = (60.0, 90.0, 95.0)
    times = computed(width, thickness, film, wood, targets)
    for target, seconds in zip(targets, times, strict=True):
        assert seconds == pytest.approx(exact(width, thickness, film, wood, target), rel=5e-3)


@pytest.mark.parametrize("case", [(50, 3, 300.0), (25, 25, 300.0), (50, 27, math.inf)], ids=str)
def test_a_rising_heat_capacity_costs_a_few_per_cent_in_steam(case):
    width, thickness, film = case
    curve = heat(Section(width, thickness), WOODS[0], steam=STEAM, film=film, until=90.0)
    ratio = curve.time_to_core(90.0) / exact(width, thickness, film, WOODS[0], 90.0)
    assert 1.02 < ratio < 1.06
