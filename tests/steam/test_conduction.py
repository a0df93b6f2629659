"""The kernel in time: order of the method, conservation, curved heat capacity."""

import numpy as np
import pytest

from overbend.steam.conduction import FilmExchange, HeatStore, march
from overbend.steam.mesh import even_mesh, slab_mesh
from overbend.steam.section import Section
from overbend.steam.trace import Trace

STORE = HeatStore(density=700.0, c0=1600.0, c1=6.0)
K = 0.17


def never(p):
    return False


def heat_up(mesh, tolerance, seconds, film=300.0):
    exchange = FilmExchange(1.0 / (1.0 / film + mesh.gap / K), 100.0)
    return march(mesh, K, STORE, exchange, 20.0, never, tolerance=tolerance, limit=seconds)


def test_the_stated_heat_capacity_is_what_is_stored():
    T = np.array([-5.0, 0.0, 20.0, 98.0])
    u = STORE.amount(T)
    assert STORE.potential(u) == pytest.approx(T)
    step = 1e-4
    rise = (STORE.amount(T + step) - STORE.amount(T - step)) / (2 * step)
    assert 1.0 / STORE.slope(T) == pytest.approx(rise)


def test_the_error_falls_faster_than_the_number_of_steps_grows():
    mesh, at = slab_mesh(20.0), 200.0
    found = []
    for tolerance in (1.0, 0.03, 0.001):
        history = heat_up(mesh, tolerance, 400.0)
        found.append((len(history.times), float(history.trace(mesh.mean).at(at))))
    best = float(heat_up(mesh, 1e-5, 400.0).trace(mesh.mean).at(at))
    (n0, _), (n1, v1), (n2, v2) = found
    assert abs(v1 - best) < 0.02
    order = np.log(abs(v1 - best) / abs(v2 - best)) / np.log(n2 / n1)
    assert n0 < n1 < n2
    assert order > 2.3


def test_what_comes_through_the_faces_is_what_is_stored():
    mesh = even_mesh(Section(40.0, 18.0))
    history = heat_up(mesh, 0.02, 900.0)
    through = 1.0 / (1.0 / 300.0 + mesh.gap / K) * mesh.area
    flow = Trace(
        history.times,
        (100.0 - history.potentials[:, mesh.face]) @ through,
        -history.rates[:, mesh.face] @ through,
    )
    stored = STORE.amount(history.potentials) @ mesh.volume
    assert flow.integral()[-1] == pytest.approx(stored[-1] - stored[0], rel=2e-3)


def test_nothing_happens_at_rest():
    mesh = even_mesh(Section(40.0, 18.0))
    exchange = FilmExchange(np.full(len(mesh.gap), 50.0), 20.0)
    history = march(mesh, K, STORE, exchange, 20.0, never, limit=100.0)
    assert history.potentials == pytest.approx(np.full_like(history.potentials, 20.0))
