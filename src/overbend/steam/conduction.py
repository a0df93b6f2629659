"""Conduction in a section, in time: the kernel under heating, cooling and drying.

A quantity u (heat per volume, or moisture) flows down a potential p (temperature, or the
integral of diffusivity over moisture): ``du/dt = div(k grad p)``, with the flux out of each
face a function of the potential in the cell behind it. The space is finite volumes, which
loses nothing between cells; the time is a Rosenbrock method of third order, L-stable, with
its steps chosen by its own error estimate.

References
----------
Sandu, Verwer, Blom, Spee, Carmichael and Potra, "Benchmarking stiff ODE solvers for
atmospheric chemistry problems II: Rosenbrock solvers", Atmospheric Environment 31 (1997)
3459-3472: method RODAS3 (coefficients from memory; the tests measure its order).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from overbend.curve import Floats
from overbend.steam.mesh import Mesh
from overbend.steam.trace import Trace

__all__ = ["Exchange", "FilmExchange", "HeatStore", "History", "Store", "march"]

_GAMMA = 0.5
_GROW, _SHRINK, _CARE = 5.0, 0.2, 0.9


class Store(Protocol):
    """How much of the quantity a potential stands for."""

    def amount(self, p: Floats) -> Floats:
        """Quantity per volume at potential p."""

    def potential(self, u: Floats) -> Floats:
        """Potential at quantity u."""

    def slope(self, p: Floats) -> Floats:
        """Change of potential per quantity, dp/du, at p."""


class Exchange(Protocol):
    """What leaves the faces."""

    def out(self, p: Floats) -> Floats:
        """Flux out of each stretch of face for the potential p behind it."""

    def slope(self, p: Floats) -> Floats:
        """d(flux)/dp."""


@dataclass(frozen=True)
class HeatStore:
    """Heat in wood with ``cp = c0 + c1 T``, counted from 0 deg C.

    Parameters
    ----------
    density : [kg/m3].
    c0, c1 : [J/(kg K)], [J/(kg K^2)].
    """

    density: float
    c0: float
    c1: float

    def amount(self, p: Floats) -> Floats:
        """Heat per volume at temperature p [J/m3]."""
        return self.density * p * (self.c0 + 0.5 * self.c1 * p)

    def potential(self, u: Floats) -> Floats:
        """Temperature [deg C] at heat u."""
        q = u / self.density
        return 2.0 * q / (self.c0 + np.sqrt(self.c0 * self.c0 + 2.0 * self.c1 * q))

    def slope(self, p: Floats) -> Floats:
        """Degrees per heat [K m3/J]."""
        return 1.0 / (self.density * (self.c0 + self.c1 * p))


@dataclass(frozen=True, eq=False)
class FilmExchange:
    """Faces behind a film to surroundings of one temperature.

    Parameters
    ----------
    conductance : from cell centre through the film, one for each stretch [W/(m2 K)].
    outside : potential outside.
    """

    conductance: Floats
    outside: float

    def out(self, p: Floats) -> Floats:
        """Flux out."""
        return self.conductance * (p - self.outside)

    def slope(self, p: Floats) -> Floats:  # noqa: ARG002 - the law is a straight line
        """Derivative of the flux."""
        return self.conductance


@dataclass(frozen=True, eq=False)
class History:
    """Potentials in every cell at the times the steps ended.

    Parameters
    ----------
    mesh : the cells.
    times : shape (n,) [s].
    potentials, rates : shape (n, cells), and their change per second.
    """

    mesh: Mesh
    times: Floats
    potentials: Floats
    rates: Floats

    def trace(self, weights: Floats) -> Trace:
        """Weighted sum over the cells, as a trace."""
        return Trace(self.times, self.potentials @ weights, self.rates @ weights)


class _Problem:
    """Right-hand side and matrix of du/dt for one section."""

    def __init__(self, mesh: Mesh, k: float, store: Store, exchange: Exchange) -> None:
        from scipy.linalg import blas, lapack

        self.mesh, self.store, self.exchange = mesh, store, exchange
        self._multiply, self._factor, self._back = blas.dgbmv, lapack.dgbtrf, lapack.dgbtrs
        self._band = k * mesh.band()
        self._rows = np.asfortranarray(self._band[mesh.nx :])
        self._n = len(mesh.volume)

    def gain(self, p: Floats) -> Floats:
        """Gain of every cell, per length, at potentials p."""
        mesh, nx = self.mesh, self.mesh.nx
        lost = np.bincount(mesh.face, mesh.area * self.exchange.out(p[mesh.face]), self._n)
        inward = self._multiply(self._n, self._n, nx, nx, 1.0, self._rows, p)
        return np.asarray(inward - lost)

    def negative_jacobian(self, p: Floats, slope: Floats) -> Floats:
        """Band of -d(gain)/du at potentials p, for dp/du `slope`."""
        mesh = self.mesh
        lost = np.bincount(mesh.face, mesh.area * self.exchange.slope(p[mesh.face]), self._n)
        matrix = self._band * -slope
        matrix[2 * mesh.nx] += lost * slope
        return matrix

    def step(self, u: Floats, gain: Floats, minus_j: Floats, h: float) -> tuple[Floats, Floats]:
        """One Rosenbrock step of length h from u, whose gain is given: new u and its error."""
        v, nx, store = self.mesh.volume, self.mesh.nx, self.store
        matrix = minus_j.copy()
        matrix[2 * nx] += v / (_GAMMA * h)
        factors, pivots, _ = self._factor(matrix, nx, nx, overwrite_ab=1)

        def solve(right: Floats) -> Floats:
            return np.asarray(self._back(factors, nx, nx, right, pivots)[0])

        share = v / h
        k1 = solve(gain)
        k2 = solve(gain + 4.0 * share * k1)
        before = share * (k1 - k2)
        half = u + 2.0 * k1
        k3 = solve(self.gain(store.potential(half)) + before)
        half += k3
        k4 = solve(self.gain(store.potential(half)) + before - (8.0 / 3.0) * share * k3)
        return half + k4, k4


def march(
    mesh: Mesh,
    conductivity: float,
    store: Store,
    exchange: Exchange,
    start: float,
    done: Callable[[Floats], bool],
    *,
    tolerance: float = 0.05,
    limit: float = 1e9,
) -> History:
    """Follow a section from an even start until `done`.

    Parameters
    ----------
    mesh : cells.
    conductivity : k between cells.
    store : quantity against potential.
    exchange : flux out of the faces.
    start : potential everywhere at the start.
    done : told the potentials after each step; True ends the march.
    tolerance : error allowed in one step, in any cell, in units of the potential.
    limit : time at which to stop in any case [s].

    Returns
    -------
    The history.
    """
    problem = _Problem(mesh, conductivity, store, exchange)
    p = np.full(len(mesh.volume), float(start))
    t, u, slope, gain = 0.0, store.amount(p), store.slope(p), problem.gain(p)
    h = 0.5 * float(mesh.gap.min() ** 2 / (conductivity * slope.max()))
    times, states, rates = [t], [p], [slope * gain / mesh.volume]
    while t < limit and not done(p):
        minus_j = problem.negative_jacobian(p, slope)
        accepted = False
        while not accepted:
            new, error = problem.step(u, gain, minus_j, h)
            size = float(np.abs(error * slope).max()) / tolerance
            accepted = size <= 1.0
            t += h * accepted
            h *= min(_GROW, max(_SHRINK, _CARE * (size + 1e-9) ** (-1.0 / 3.0)))
        u, p = new, store.potential(new)
        slope, gain = store.slope(p), problem.gain(p)
        times.append(t)
        states.append(p)
        rates.append(slope * gain / mesh.volume)
    return History(mesh, np.array(times), np.array(states), np.array(rates))
