"""Cells of a quarter rectangle, fine at the faces.

Both axes are lines of symmetry, so a quarter is enough. Cells run from the centre outwards;
the outermost four or so fill the face layer exactly, so that the layer's mean needs no
interpolation. Lengths are metres here and in `conduction`, for heat is in watts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from overbend.curve import Floats
from overbend.steam.section import Section

__all__ = ["CELLS", "EVEN_CELLS", "Mesh", "even_mesh", "graded_edges", "quarter_mesh", "slab_mesh"]

_LAYER_GROWTH = 1.4
CELLS = 12
"""Cells across half the thickness where the face layer matters; a test shows what more change."""

EVEN_CELLS = 9
"""Cells across half a side where only the core and the mean matter."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """A quarter of a section in nx by ny cells, x (width) running fastest.

    Parameters
    ----------
    nx, ny : cells across the half width and the half thickness.
    volume : area of each cell, shape (nx ny,) [m2].
    east, north : conductance between neighbours per unit conductivity, shapes (ny, nx - 1)
        and (ny - 1, nx) [-].
    face : cell behind each stretch of open face, shape (m,).
    area : length of each stretch of face, shape (m,) [m].
    gap : distance from cell centre to face, shape (m,) [m].
    mean, layer, core, skin : weights, shape (nx ny,), that give the mean over the section, the
        mean over the convex face layer, the value at the centre, and the value of the cell
        behind the middle of the broad face.
    skin_gap : distance from that cell's centre to the face [m].
    """

    nx: int
    ny: int
    volume: Floats
    east: Floats
    north: Floats
    face: NDArray[np.intp]
    area: Floats
    gap: Floats
    mean: Floats
    layer: Floats
    core: Floats
    skin: Floats
    skin_gap: float

    def band(self) -> Floats:
        """Matrix that gives each cell's inflow from potentials, per unit conductivity.

        In LAPACK band storage, nx above and below, with nx more rows for its factors on top.
        """
        nx, n = self.nx, self.nx * self.ny
        east = np.zeros((self.ny, nx))
        east[:, :-1] = self.east
        north = np.zeros((self.ny, nx))
        north[:-1] = self.north
        e, u = east.ravel(), north.ravel()
        store = np.zeros((3 * nx + 1, n))
        middle = 2 * nx
        store[middle] = -e - u
        store[middle, 1:] -= e[:-1]
        store[middle, nx:] -= u[:-nx]
        store[middle - 1, 1:] += e[:-1]
        store[middle + 1, :-1] += e[:-1]
        store[middle - nx, nx:] += u[:-nx]
        store[middle + nx, :-nx] += u[:-nx]
        return store


def _growth(first: float, count: int, total: float) -> float:
    """Ratio q for which first (q + q^2 + ... + q^count) = total, by bisection."""
    low, high = 1e-3, 1e3
    for _ in range(60):
        q = math.sqrt(low * high)
        terms = count if q == 1.0 else q * (q**count - 1.0) / (q - 1.0)
        if first * terms > total:
            high = q
        else:
            low = q
    return q


def graded_edges(half: float, layer: float, cells: int) -> Floats:
    """Cell edges from the centre (0) to the face (half), one edge at half - layer.

    Parameters
    ----------
    half : half the side.
    layer : depth of the face layer, below half.
    cells : number of cells, at least 4; a third of them lie in the layer.

    Returns
    -------
    Edges, shape (cells + 1,), increasing.

    Examples
    --------
    >>> e = graded_edges(12.5, 1.0, 9)
    >>> float(round(e[6], 9)), float(e[0]), float(e[-1])
    (11.5, 0.0, 12.5)
    """
    outer = max(cells // 3, 2)
    sizes = _LAYER_GROWTH ** np.arange(outer)
    sizes *= layer / sizes.sum()
    q = _growth(float(sizes[-1]), cells - outer, half - layer)
    inner = sizes[-1] * q ** np.arange(1, cells - outer + 1)
    inner *= (half - layer) / inner.sum()
    depth = np.concatenate([[0.0], np.cumsum(np.concatenate([sizes, inner]))])
    edges = half - depth[::-1]
    edges[0] = 0.0
    return edges


def _middle_weights(centres: Floats) -> Floats:
    """Weights for the value at 0 of an even function known at cell centres."""
    a, b = centres[0] ** 2, centres[1] ** 2
    weights = np.zeros(len(centres))
    weights[:2] = b / (b - a), -a / (b - a)
    return weights


def _assemble(ex: Floats, ey: Floats, layer: float, closed_side: bool) -> Mesh:
    dx, dy = np.diff(ex), np.diff(ey)
    xc, yc = 0.5 * (ex[1:] + ex[:-1]), 0.5 * (ey[1:] + ey[:-1])
    nx, ny = len(dx), len(dy)
    index = np.arange(nx * ny).reshape(ny, nx)
    in_layer = dy * (yc > ey[-1] - layer)
    middle_x = _middle_weights(xc) if nx > 1 else np.ones(1)
    broad = (index[-1], dx, np.full(nx, 0.5 * dy[-1]))
    narrow = (index[:, -1], dy, np.full(ny, 0.5 * dx[-1]))
    faces = [broad] if closed_side else [narrow, broad]
    return Mesh(
        nx=nx,
        ny=ny,
        volume=np.outer(dy, dx).ravel(),
        east=dy[:, None] / np.diff(xc),
        north=dx / np.diff(yc)[:, None],
        face=np.concatenate([f[0] for f in faces]),
        area=np.concatenate([f[1] for f in faces]),
        gap=np.concatenate([f[2] for f in faces]),
        mean=np.outer(dy / dy.sum(), dx / dx.sum()).ravel(),
        layer=np.outer(in_layer / in_layer.sum(), dx / dx.sum()).ravel(),
        core=np.outer(_middle_weights(yc), middle_x).ravel(),
        skin=np.outer(np.arange(ny) == ny - 1, middle_x).ravel(),
        skin_gap=float(0.5 * dy[-1]),
    )


@lru_cache(maxsize=512)
def quarter_mesh(section: Section, layer: float | None = None, cells: int = CELLS) -> Mesh:
    """Mesh of a quarter of a section, all four faces open, fine at the faces.

    Parameters
    ----------
    section : the rectangle [mm].
    layer : depth of the convex face layer [mm]; None takes that of the section.
    cells : cells across the half thickness, at least 6; the half width has two thirds of them.
    """
    depth = (section.layer if layer is None else layer) / 1e3
    half_x, half_y = section.width / 2e3, section.thickness / 2e3
    ex = graded_edges(half_x, min(depth, half_x / 5.0), max(4, 2 * cells // 3))
    return _assemble(ex, graded_edges(half_y, depth, cells), depth, closed_side=False)


@lru_cache(maxsize=512)
def even_mesh(section: Section, cells: int = EVEN_CELLS) -> Mesh:
    """Mesh of a quarter of a section for its core and mean: a third of the cells in a third."""
    half_x, half_y = section.width / 2e3, section.thickness / 2e3
    ex, ey = (graded_edges(half, half / 3.0, cells) for half in (half_x, half_y))
    return _assemble(ex, ey, half_y / 3.0, closed_side=False)


@lru_cache(maxsize=128)
def slab_mesh(thickness: float, cells: int = 18) -> Mesh:
    """Mesh of half a slab of a thickness [mm], open on both broad faces only."""
    half = thickness / 2e3
    edges = graded_edges(half, half / 3.0, cells)
    return _assemble(np.array([0.0, 1.0]), edges, half / 3.0, closed_side=True)
