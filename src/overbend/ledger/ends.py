"""How much of its bend a part has lost, from the straight distance between its ends.

A part of a project need not be one arc, so chord and rise give no radius. But its line on the
form is known, and when every place loses the same share of its bend, the distance between the
trim marks says which share that is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from overbend.curve import Curve
from overbend.errors import TrialError
from overbend.ledger.evidence import radius_after
from overbend.ledger.measured import LENGTH_ERROR
from overbend.ledger.records import Measurement, Trial

__all__ = ["Ends", "measured_by_ends"]

_FIRST, _LAST, _STEPS = -0.05, 0.6, 260
# Shares of the bend that are looked through. Nearer to straight, marks on the round face come
# together again, so that one distance would stand for two shapes.
_SLACK = 3.0  # errors by which a part may come off tighter than its form


@dataclass(frozen=True)
class Ends:
    """The trim marks of a part on its form.

    Parameters
    ----------
    curve : middle line on the form, from mark to mark.
    offset : of the measured face from it, positive to the left [mm].

    Examples
    --------
    A half circle of 400 mm, measured on its hollow face, and the same when a tenth is lost:

    >>> from overbend.curve import Piece
    >>> half = Ends(Curve((Piece(400.0 * math.pi, 1 / 400.0, 1 / 400.0),)), 10.0)
    >>> round(half.chord(0.0), 3), round(half.chord(0.1), 1)
    (780.0, 858.2)
    """

    curve: Curve
    offset: float

    def chord(self, lost: float) -> float:
        """Distance between the marks once a share of the bend is lost [mm]."""
        keep = 1.0 - lost
        pieces = tuple(
            replace(p, kappa0=keep * p.kappa0, kappa1=keep * p.kappa1) for p in self.curve.pieces
        )
        line = Curve(pieces)
        ends = np.array([0.0, line.length])
        a, b = line.point(ends) + self.offset * line.normal(ends)
        return float(np.hypot(*(b - a)))

    def lost(self, chord: float) -> tuple[float, float]:
        """Share of the bend that a distance between the marks shows, and its error per mm.

        Raises
        ------
        TrialError
            When no share gives that distance, or two do.

        Examples
        --------
        >>> from overbend.curve import Piece
        >>> half = Ends(Curve((Piece(400.0 * math.pi, 1 / 400.0, 1 / 400.0),)), 10.0)
        >>> round(half.lost(half.chord(0.07))[0], 6)
        0.07
        """
        shares = np.linspace(_FIRST, _LAST, _STEPS)
        gaps = np.array([self.chord(s) for s in shares]) - chord
        crossed = np.flatnonzero(np.signbit(gaps[1:]) != np.signbit(gaps[:-1]))
        if len(crossed) != 1:
            raise self._refused(chord, len(crossed))
        from scipy.optimize import brentq

        k = int(crossed[0])
        lost = float(brentq(lambda s: self.chord(s) - chord, shares[k], shares[k + 1]))
        slope = abs(self.chord(lost + 1e-4) - self.chord(lost - 1e-4)) / 2e-4
        return lost, 1.0 / max(slope, 1e-9)

    def _refused(self, chord: float, found: int) -> TrialError:
        on_form, open_ = self.chord(0.0), self.chord(_LAST)
        if found:
            return TrialError(
                f"a distance of {chord:.5g} mm between the trim marks, which fits two shapes",
                allowed="a part whose ends move apart steadily as it opens",
                todo="measure a radius, or chord and rise over its tightest stretch",
            )
        low, high = sorted((on_form, open_))
        return TrialError(
            f"a distance of {chord:.5g} mm between the trim marks",
            allowed=f"{low:.5g} mm as on the form, to {high:.5g} mm with {100 * _LAST:.0f} % lost",
            todo="measure from trim mark to trim mark, on the face that lay on the form",
        )


def measured_by_ends(trial: Trial, ends: Ends, chord: float, after_hours: float) -> Measurement:
    """Measurement of a trial bend from the distance between its trim marks.

    It is kept as the radius to which the trial's own form radius would have opened by the same
    share, with the error that half a millimetre in the distance makes.

    Parameters
    ----------
    trial : what was bent, `form_radius` that of its tightest place.
    ends : its trim marks on the form.
    chord : distance between them after release, on the face that lay on the form [mm].
    after_hours : time from release to measuring [h].

    Raises
    ------
    TrialError
        When the distance fits no shape of the part.

    Examples
    --------
    >>> from overbend.curve import Piece
    >>> bent = Trial(species="white-ash", treatment="steam", thickness=20.0, form_radius=390.0)
    >>> half = Ends(Curve((Piece(400.0 * math.pi, 1 / 400.0, 1 / 400.0),)), 10.0)
    >>> told = measured_by_ends(bent, half, half.chord(0.0589), 24.0)
    >>> round(told.radius, 1), round(told.error, 2)
    (415.0, 0.29)
    """
    lost, per_mm = ends.lost(chord)
    step = LENGTH_ERROR * per_mm
    if lost < -_SLACK * step:
        raise ends._refused(chord, 0)
    radius = radius_after(trial, lost)
    if not math.isfinite(radius):
        raise ends._refused(chord, 0)
    near = radius_after(trial, lost - step)
    return Measurement(after_hours=after_hours, radius=radius, error=max(radius - near, 0.01))
