"""What to shave off a form that is made, so that its face becomes the one asked for now.

Both faces are laid together at the reference end, where they touch and run the same way.
What is in between is measured square to the face as it is, into the form's body::

                          the face as it is
        --------------------------------------------------
          \\\\\\\\ take off, > 0         / missing, < 0
            \\--------------------\\____/-----------
                          the face asked for            body of the form below
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from overbend.curve import Floats
from overbend.errors import CurveError
from overbend.form.face import Face
from overbend.form.spec import End

__all__ = ["LEAST", "Shave", "ShavePlace", "laid_together", "shave"]

LEAST = 0.2
"""A difference thinner than this is not worth shaving [mm]. Our choice: a pencil line is wider."""

_STATIONS = 4.0  # mm between stations
_STEPS = 60
_STEEPEST = math.cos(math.radians(75.0))  # faces that cross at more are not compared
_SLOWEST = 0.2  # cosine between the way back and the face's normal, below which going back is vain
_BACKS = 12  # rounds to find how far back
_CLOSE = 1e-9  # mm


@dataclass(frozen=True)
class ShavePlace:
    """One place of the table.

    Parameters
    ----------
    name : of a named station, or "".
    s : place on the mid-depth line of the wood as the form is [mm].
    along : along the face as it is, from the trim mark at the reference end [mm].
    depth : to take off [mm]; below zero: missing.
    """

    name: str
    s: float
    along: float
    depth: float


@dataclass(frozen=True, eq=False)
class Shave:
    """The difference between a face as it is and the one asked for.

    Parameters
    ----------
    old : the face as it is.
    new : the face asked for, laid on it at the reference end.
    reference : that end.
    s : places along the whole face, run-outs included, shape (n,) [mm].
    along : the same along the face as it is, from the trim mark at the reference end, shape (n,).
    depth : to take off there, square to the face as it is; below zero: missing, shape (n,) [mm].
    places : what is tabled, from the reference end.
    back : how far the new face has to be set back at the reference end so that nothing is
        missing any more [mm]; 0 when nothing is; None when going back is no help.
    back_most : greatest depth to take off then [mm].
    """

    old: Face
    new: Face
    reference: End
    s: Floats
    along: Floats
    depth: Floats
    places: tuple[ShavePlace, ...]
    back: float | None
    back_most: float

    @property
    def most(self) -> tuple[float, float]:
        """Greatest depth to take off, 0 or more, and where along the face [mm]."""
        i = int(self.depth.argmax())
        return max(float(self.depth[i]), 0.0), float(self.along[i])

    @property
    def missing(self) -> tuple[float, float]:
        """Greatest depth that is missing, 0 or more, and where along the face [mm]."""
        i = int(self.depth.argmin())
        return max(-float(self.depth[i]), 0.0), float(self.along[i])

    @property
    def kind(self) -> Literal["nothing", "shave", "add"]:
        """``nothing`` worth while, ``shave``, or ``add``: wood is missing somewhere."""
        if self.missing[0] >= LEAST:
            return "add"
        return "shave" if self.most[0] >= LEAST else "nothing"


def laid_together(old: Face, new: Face, reference: End = "start") -> Face:
    """Return the new face moved so that it touches the old at the reference end.

    Parameters
    ----------
    old, new : faces with their bodies on the same side.
    reference : end of the part at which they run into each other.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> old, new = (Face(chain(arc(r, 1.0)), 8.0, 60.0, 1.0) for r in (400.0, 390.0))
    >>> laid_together(old, new).point(0.0).tolist() == old.point(0.0).tolist()
    True
    """
    at_old, at_new = (f.glued.length if reference == "end" else 0.0 for f in (old, new))
    turn = float(old.glued.angle(at_old) - new.glued.angle(at_new))
    turned = replace(new, glued=new.glued.moved(turn=math.remainder(turn, math.tau)))
    dx, dy = old.point(at_old) - turned.point(at_new)
    return replace(turned, glued=turned.glued.moved(float(dx), float(dy)))


def shave(
    old: Face,
    new: Face,
    reference: End = "start",
    *,
    spacing: float = 50.0,
    names: Mapping[str, float] | None = None,
) -> Shave:
    """Work out what to take off a face so that it becomes another one.

    Parameters
    ----------
    old : the face as it is, from what was measured on the form.
    new : the face asked for, wherever it lies.
    reference : end of the part at which the two are laid together.
    spacing : of the table along the face as it is [mm].
    names : stations to table too, as arc lengths of the new face's mid-depth line [mm].

    Returns
    -------
    Shave
        Faces that are the same, however they lie, leave nothing to shave.

    Raises
    ------
    CurveError
        Bodies on different sides, or faces so far apart that one cannot be shaved from the other.

    Notes
    -----
    At each place of the old face the new one is met square to the old, by Newton's method from
    the same material point, to 1e-9 mm.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> old, new = (Face(chain(arc(r, 300.0 / r)), 8.0, 60.0, 1.0) for r in (400.0, 380.0))
    >>> found = shave(old, new)
    >>> found.kind, round(found.most[0], 2)
    ('shave', 8.65)
    """
    if old.side != new.side:
        raise CurveError(
            "two faces of bodies on different sides", allowed="faces of the same half of a form"
        )
    laid = laid_together(old, new, reference)
    s = old.samples(_STATIONS)
    depth = _depths(old, laid, s)
    if not np.isfinite(depth).all():
        raise CurveError(
            "the form as measured and the form asked for lie too far apart to compare",
            allowed="faces that lie nowhere steeper than 75 degrees to each other",
            todo="check what was measured on the form, or build a new one",
        )
    back, most = _set_back(old, laid, s, depth, reference)
    places = _places(old, laid, s, reference, spacing, names or {})
    return Shave(old, laid, reference, s, _along(old, s, reference), depth, places, back, most)


def _along(face: Face, s: Floats, reference: End) -> Floats:
    """Distance along the face from the trim mark at the reference end [mm]."""
    along = face.line.along(s + face.reach) - face.line.along(face.reach)
    if reference == "end":
        return np.asarray(face.along(face.glued.length) - along)
    return np.asarray(along)


# -- distance between the faces -----------------------------------------------------------


def _depths(old: Face, new: Face, s: Floats) -> Floats:
    """Depth of the new face under the old, square to the old; NaN where it is not met [mm]."""
    at, normal, tangent = old.point(s), old.inward(s), old.tangent(s)
    longer = replace(new, reach=new.reach + old.reach + 0.5 * old.glued.length)
    u, (low, high) = _same_material(old, new, s), longer.span
    f = np.full(s.shape, math.inf)
    for _ in range(_STEPS):
        gap = longer.point(u) - at
        f = (gap * tangent).sum(axis=-1)
        if np.abs(f).max() < _CLOSE:
            break
        base = longer.line.base
        speed = 1.0 - base.kappa(u + longer.reach) * longer.d
        slope = speed * (longer.tangent(u) * tangent).sum(axis=-1)
        step = f / np.where(np.abs(slope) < 0.05, 0.05, slope)
        u = np.clip(u - np.clip(step, -20.0, 20.0), low, high)
    gap = longer.point(u) - at
    square = (longer.tangent(u) * tangent).sum(axis=-1) > _STEEPEST
    met = square & (np.abs(f) < 1e-6)
    return np.where(met, (gap * normal).sum(axis=-1), math.nan)


def _same_material(old: Face, new: Face, s: Floats) -> Floats:
    """Places on the new face's line of the same points of the wood [mm]."""
    a, b = old.glued.length, new.glued.length
    return np.where(s < 0.0, s, np.where(s > a, b + s - a, s * (b / a)))


def _set_back(
    old: Face, new: Face, s: Floats, depth: Floats, reference: End
) -> tuple[float | None, float]:
    """How far back the new face has to go so that nothing is missing, and what comes off then."""
    at = old.glued.length if reference == "end" else 0.0
    way = old.inward(at)
    gain = old.inward(s) @ way
    back = 0.0
    for _ in range(_BACKS):
        short = depth < -_CLOSE
        if not short.any():
            return back, float(depth.max())
        if gain[short].min() < _SLOWEST:
            break
        back += float((-depth[short] / gain[short]).max())
        moved = replace(new, glued=new.glued.moved(*(back * way).tolist()))
        depth = _depths(old, moved, s)
        if not np.isfinite(depth).all():
            break
    return None, 0.0


# -- table --------------------------------------------------------------------------------


def _places(
    old: Face, new: Face, s: Floats, reference: End, spacing: float, names: Mapping[str, float]
) -> tuple[ShavePlace, ...]:
    """Even steps between the trim marks, the named stations, and both ends of the face."""
    length = old.along(old.glued.length)
    steps = np.arange(0.0, length, spacing)
    if length - steps[-1] < 0.2 * spacing and len(steps) > 1:
        steps = steps[:-1]
    wanted = [("", float(a)) for a in (*steps, length)]
    share = old.glued.length / new.glued.length
    for name, place in names.items():
        wanted.append((name, float(_along(old, np.array([place * share]), reference)[0])))
    along = _along(old, s, reference)
    ends = along.min(), along.max()
    wanted += [("end of face", float(a)) for a in ends]
    order = np.argsort(along)
    at = np.interp([a for _, a in wanted], along[order], s[order])
    true, depth = _along(old, at, reference), _depths(old, new, at)
    rows = [
        ShavePlace(name, float(where), float(a), float(d))
        for (name, _), where, a, d in zip(wanted, at, true, depth, strict=True)
    ]
    return tuple(sorted(rows, key=lambda row: row.along))
