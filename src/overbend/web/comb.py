"""The comb: how tightly the governing strip bends, drawn as teeth on the curve itself.

A tooth stands on the outside of the bend and is as long as the strip's own curvature on the
form, the same numbers as in the strip under the drawing. The line beside it is the limit of
that strip: while every tooth stays under it, the strip holds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from overbend.curve import Floats
from overbend.plan import BentPlan
from overbend.web.grip import Lever
from overbend.web.scene import Pane

__all__ = ["comb", "comb_lines", "lever_of"]

Whole: TypeAlias = NDArray[np.intp]

_TOOTH = 9.0  # mm on the sheet of a tooth at the limit
_GAP = 2.2  # mm on the sheet between the part and its comb
_LEVER = 10.5  # mm on the sheet, of the levers at the ends
_LONGEST = 2.0  # limits: a longer tooth is cut off there
_TEETH = 61


def lever_of(part: BentPlan, scale: float) -> Lever:
    """How far from the curve the handles that do not lie on it stand.

    Parameters
    ----------
    part : the part.
    scale : millimetres on the sheet per millimetre.
    """
    holds = 1.0 / part.risk.strain.verdict.tightest
    return Lever(_LEVER / scale, 0.5 * part.depth + _GAP / scale, _TOOTH / scale / holds)


@dataclass(frozen=True)
class _Lines:
    """Lines of a comb in the drawn frame [mm], and stretches that bend one way."""

    foot: Floats
    tip: Floats
    limit: Floats
    runs: list[Whole]


def comb(part: BentPlan, pane: Pane) -> dict[str, Any]:
    """Draw the comb.

    Parameters
    ----------
    part : the part.
    pane : the sheet with the part of the model it shows.

    Returns
    -------
    dict
        ``teeth``, ``edge`` and ``limit``, paths on the sheet [mm, y down].
    """
    lines = _lines_of(part, pane.scale)
    foot, tip, limit = map(pane.on_sheet, (lines.foot, lines.tip, lines.limit))
    return {
        "teeth": _lines(np.hstack([foot, tip])[::4]),
        "edge": "".join(_path(tip[run]) for run in lines.runs),
        "limit": "".join(_path(limit[run]) for run in lines.runs),
    }


def comb_lines(part: BentPlan, scale: float) -> list[Floats]:
    """Return the comb as lines that texts keep clear of, each of shape (points, 2) [mm].

    Parameters
    ----------
    part : the part.
    scale : millimetres on the sheet per millimetre.
    """
    lines = _lines_of(part, scale)
    found = []
    for run in lines.runs:
        teeth = np.stack([lines.foot[run], lines.tip[run]], axis=1)[::4].reshape(-1, 2)
        found += [lines.tip[run], lines.limit[run], teeth]
    return found


def _lines_of(part: BentPlan, scale: float) -> _Lines:
    strain, lever = part.risk.strain, lever_of(part, scale)
    verdict = strain.verdict
    share = np.linspace(0.0, 1.0, 4 * (_TEETH - 1) + 1)
    form = strain.stations / float(strain.stations[-1])
    kappa = np.interp(share, form, strain.kappa[verdict.ply])
    sign = _sides(kappa)
    curve = part.target.curve
    flip = np.array([1.0, -1.0 if part.target.mirrored else 1.0])
    s = share * curve.length
    point, out = curve.point(s), -sign[:, None] * curve.normal(s)
    long = np.minimum(np.abs(kappa) * verdict.tightest, _LONGEST) / verdict.tightest
    most = np.full_like(s, lever.per / verdict.tightest)
    foot, tip, limit = (
        (point + (lever.gap + height)[:, None] * out) * flip
        for height in (np.zeros_like(s), lever.per * long, most)
    )
    runs = np.split(np.arange(len(s)), np.flatnonzero(np.diff(sign)) + 1)
    return _Lines(foot, tip, limit, [run for run in runs if len(run) > 1])


def _sides(kappa: Floats) -> Floats:
    """Which way the part bends, straight stretches as their neighbours do."""
    sign = np.sign(np.where(np.abs(kappa) < 1e-9, 0.0, kappa))
    bent = np.flatnonzero(sign)
    if not len(bent):
        return np.ones_like(kappa)
    before = np.searchsorted(bent, np.arange(len(sign)), side="right") - 1
    return np.asarray(sign[bent[np.maximum(before, 0)]])


def _path(points: Floats) -> str:
    return "M" + ("L%.2f %.2f" * len(points) % tuple(points.ravel().tolist()))[1:]


def _lines(ends: Floats) -> str:
    """Straight lines from rows of both ends."""
    return "M%.2f %.2fL%.2f %.2f" * len(ends) % tuple(ends.ravel().tolist())
