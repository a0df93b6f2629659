"""Where along the bend clamps go.

Pressure is taken to spread at 45 degrees from a clamp through caul and stack, so clamps
stand no further apart than twice that thickness (common practice, no source), than one
clamp's force covers, and than the bend turns 20 degrees (so that no clamp line leans more
than 10 degrees from the square to the face it presses; assumed). For want of force they
are not set closer than 30 mm, from both edges in turn (assumed). Where holes or jaws would
run into each other the spacing opens again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overbend.curve import Curve, Floats
from overbend.form.spec import FormSpec, Loads

__all__ = ["CLOSEST", "JAW", "TURN_BETWEEN", "Pitch", "pitch_for", "stations"]

TURN_BETWEEN = math.radians(20.0)  # bend between neighbouring clamps at most
JAW = 20.0  # mm between clamp lines at a back, clamps set from both edges; common practice
CLOSEST = 30.0  # mm: clamps are not set closer for want of force; assumed
_OPENEST = 0.2  # share of the spacing left at the seats below which it counts as this
_GRID = 2.0  # mm


@dataclass(frozen=True)
class Pitch:
    """Spacing of clamps along the mid-depth line.

    Parameters
    ----------
    widest : on straight wood [mm].
    governs : "spread", "force", "closest" (force asks for less than clamps are set at) or
        "asked".
    spread : what the spread of pressure alone allows [mm].
    covered : what one clamp's force presses at the pressure wanted [mm]; None when its
        force is not known.
    """

    widest: float
    governs: str
    spread: float
    covered: float | None = None


def pitch_for(spec: FormSpec, loads: Loads, stack: float, width: float, outer: float) -> Pitch:
    """Widest spacing of clamps.

    Parameters
    ----------
    spec : a clamp spacing asked for goes before what is worked out.
    loads : pressure, and a clamp's force where known.
    stack, width : of the wood [mm].
    outer : thickness of what the clamps press on: cauls, or a second form's body [mm].

    Examples
    --------
    >>> pitch_for(FormSpec(), Loads(), 22.0, 50.0, 18.0)
    Pitch(widest=80.0, governs='spread', spread=80.0, covered=None)
    >>> pitch_for(FormSpec(), Loads(pressure=1.0, clamp_force=3000.0), 22.0, 50.0, 18.0)
    Pitch(widest=60.0, governs='force', spread=80.0, covered=60.0)
    """
    spread = 2.0 * (outer + stack)
    force = loads.clamp_force
    covered = None if force is None else force / (loads.pressure * width)
    if spec.clamp_spacing is not None:
        return Pitch(spec.clamp_spacing, "asked", spread, covered)
    if covered is None or covered >= spread:
        return Pitch(spread, "spread", spread, covered)
    if covered < CLOSEST < spread:
        return Pitch(CLOSEST, "closest", spread, covered)
    return Pitch(covered, "force", spread, covered)


def stations(
    glued: Curve, ends: tuple[float, float], pitch: float, rows: Sequence[tuple[float, float]]
) -> Floats:
    """Arc lengths of clamps, closest where the bend is tightest.

    The number of clamps per length is ``1 / a(s)``, a the spacing allowed there; one
    stands at each end and the others divide the running sum of that evenly.

    Parameters
    ----------
    glued : mid-depth line between the finished ends.
    ends : arc lengths of the first and last clamp [mm], may lie on the straight run-outs.
    pitch : widest spacing [mm].
    rows : for each row of holes or jaws its distance from mid-depth, positive to the left,
        and how far its members have to be apart [mm].

    Returns
    -------
    Floats
        At least one station [mm]; one in the middle when there is no room for two.

    Examples
    --------
    >>> from overbend.curve import arc, chain, line
    >>> hook = chain(line(200.0), arc(150.0, math.pi / 2), line(200.0))
    >>> np.diff(stations(hook, (0.0, hook.length), 80.0, [(-60.0, 20.0)])).round().tolist()
    [76.0, 76.0, 67.0, 50.0, 50.0, 50.0, 50.0, 67.0, 76.0, 76.0]
    """
    first, last = ends
    if not last - first > max(apart for _, apart in rows):
        return np.array([0.5 * (first + last)])
    count = max(2, math.ceil((last - first) / _GRID) + 1)
    s = np.linspace(first, last, count)
    kappa = np.zeros(count)
    inside = (s >= 0.0) & (s <= glued.length)
    kappa[inside] = glued.kappa(s[inside])
    wanted = np.minimum(pitch, TURN_BETWEEN / np.maximum(np.abs(kappa), 1e-9))
    floor = np.max([_room(kappa, seat, apart) for seat, apart in rows], axis=0)
    per_length = 1.0 / np.maximum(wanted, floor)
    steps = 0.5 * (per_length[1:] + per_length[:-1]) * np.diff(s)
    running = np.concatenate([[0.0], np.cumsum(steps)])
    gaps = max(1, math.ceil(running[-1] - 1e-6))
    if (np.maximum(wanted, floor) * running[-1] / gaps < floor).any():
        gaps = max(1, math.floor(running[-1]))
    return np.interp(np.linspace(0.0, running[-1], gaps + 1), running, s)


def _room(kappa: Floats, seat: float, apart: float) -> Floats:
    """Spacing at mid-depth that keeps seats `apart`, measured straight across [mm]."""
    share = np.maximum(1.0 - kappa * seat, _OPENEST)
    half = np.minimum(0.5 * apart * np.abs(kappa) / share, 1.0)
    return np.asarray(apart / share / np.sinc(np.arcsin(half) / np.pi))
