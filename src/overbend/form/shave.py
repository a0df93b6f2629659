"""What to shave off a form that is made, so that its face becomes the one asked for now.

Both faces are laid together at the reference end, where they touch and run the same way. What
lies between them is measured square to the face as it is, towards the form's body: above zero it
comes off, below zero wood is missing there.
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

__all__ = ["LEAST", "Shave", "ShavePlace", "laid_together", "relaid", "shave"]

LEAST = 0.2
"""A difference thinner than this is not worth shaving [mm]. Our choice: a pencil line is wider."""

_STATIONS = 4.0  # mm between stations
_STEPS = 60
_STEEPEST = math.cos(math.radians(75.0))  # faces that cross at more are not compared
_ROUNDS = 15  # of laying a face anew
_STILL = 0.01  # mm moved in a round: the face lies still
_CLOSE = 1e-9  # mm
_SETTLED = 1e-6  # mm


@dataclass(frozen=True)
class ShavePlace:
    """One place of the table.

    Parameters
    ----------
    name : of a named station, "reference end", "trim", "end of face", or "".
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
    """

    old: Face
    new: Face
    reference: End
    s: Floats
    along: Floats
    depth: Floats
    places: tuple[ShavePlace, ...]

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
    def at_trim(self) -> tuple[float, float]:
        """Depth at the trim marks of the reference end and of the other end [mm]."""
        ends = np.array([0.0, self.old.glued.length])
        near, far = _depths(self.old, self.new, ends[:: -1 if self.reference == "end" else 1])
        return float(near), float(far)

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
    ('shave', 7.98)
    """
    if old.side != new.side:
        raise CurveError(
            "two faces of bodies on different sides", allowed="faces of the same half of a form"
        )
    laid = laid_together(old, new, reference)
    found = _compared(old, laid, reference, spacing, names or {})
    if found is None:
        raise CurveError(
            "the form as measured and the form asked for lie too far apart to compare",
            allowed="faces that lie nowhere steeper than 75 degrees to each other",
            todo="check what was measured on the form, or build a new one",
        )
    return found


def _compared(
    old: Face, new: Face, reference: End, spacing: float, names: Mapping[str, float]
) -> Shave | None:
    """Difference of two faces as they lie; None where they cannot be compared."""
    s = old.samples(_STATIONS)
    depth = _depths(old, new, s)
    if not np.isfinite(depth).all():
        return None
    places = _places(old, new, s, reference, spacing, names)
    return Shave(old, new, reference, s, _along(old, s, reference), depth, places)


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


# -- laying the face anew -----------------------------------------------------------------


def relaid(
    found: Shave, *, spacing: float = 50.0, names: Mapping[str, float] | None = None
) -> Shave | None:
    """Lay the new face so that nothing is missing and as little as can be has to come off.

    The new face is set back at the reference end's trim mark and turned about it; how a form
    lies on the bench does not matter to the wood.

    Parameters
    ----------
    found : the two faces laid together at the reference end.
    spacing, names : of the table, as for :func:`shave`.

    Returns
    -------
    Shave or None
        None when no such place is found.

    Notes
    -----
    Least greatest depth as a linear programme in the small move, solved again from where it led
    until the face lies still.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> old, new = (Face(chain(arc(r, 300.0 / r)), 8.0, 60.0, 1.0) for r in (380.0, 400.0))
    >>> flat = shave(old, new)
    >>> laid = relaid(flat)
    >>> flat.kind, round(flat.missing[0], 1), laid.kind, round(laid.most[0], 1)
    ('add', 8.0, 'shave', 2.8)
    """
    old, face = found.old, found.new
    at = old.glued.length if found.reference == "end" else 0.0
    pivot, way, depth = old.point(at), old.inward(at), found.depth
    reach = float(np.hypot(*(old.point(found.s) - pivot).T).max())
    for _ in range(_ROUNDS):
        move = _least_move(old, found.s, depth, pivot, way)
        if move is None:
            return None
        face = _moved(face, pivot, way, *move)
        depth = _depths(old, face, found.s)
        if not np.isfinite(depth).all():
            return None
        if depth.min() > -_SETTLED and max(abs(move[0]), abs(move[1]) * reach) < _STILL:
            return _compared(old, face, found.reference, spacing, names or {})
    return None


def _least_move(
    old: Face, s: Floats, depth: Floats, pivot: Floats, way: Floats
) -> tuple[float, float] | None:
    """Way back [mm] and turn [rad] that leave no depth below zero and the greatest least."""
    from scipy.optimize import linprog

    normal, arm = old.inward(s), old.point(s) - pivot
    back = normal @ way
    turn = normal[:, 1] * arm[:, 0] - normal[:, 0] * arm[:, 1]
    none, ones = np.zeros_like(s), np.ones_like(s)
    size = max(float(np.abs(turn).max()), 1.0)  # so that both unknowns are millimetres
    rows = np.stack([-back, -turn / size, none], axis=1), np.stack([back, turn / size, -ones], 1)
    solved = linprog(
        [0.0, 0.0, 1.0],
        A_ub=np.concatenate(rows),
        b_ub=np.concatenate([depth, -depth]),
        bounds=[(None, None), (None, None), (0.0, None)],
    )
    if not solved.success or solved.x is None:
        return None
    return float(solved.x[0]), float(solved.x[1]) / size


def _moved(face: Face, pivot: Floats, way: Floats, back: float, turn: float) -> Face:
    """A face turned about a point and set back along a way."""
    x, y = pivot
    glued = face.glued.moved(-float(x), -float(y)).moved(turn=turn)
    dx, dy = pivot + back * way
    return replace(face, glued=glued.moved(float(dx), float(dy)))


# -- table --------------------------------------------------------------------------------


def _places(
    old: Face, new: Face, s: Floats, reference: End, spacing: float, names: Mapping[str, float]
) -> tuple[ShavePlace, ...]:
    """Even steps between the trim marks, the named stations, and both ends of the face."""
    length = old.along(old.glued.length)
    steps = np.arange(0.0, length, spacing)
    if length - steps[-1] < 0.2 * spacing and len(steps) > 1:
        steps = steps[:-1]
    wanted = [("reference end", 0.0), *(("", float(a)) for a in steps[1:]), ("trim", length)]
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
