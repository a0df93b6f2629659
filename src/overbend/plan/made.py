"""What has been made already: inputs that later changes are solved forward from."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from overbend.curve import Curve
from overbend.form import made as as_made
from overbend.project import MadeForm, MadeStrips, MadeTrial, Project

__all__ = ["MadeThings", "form_as_made", "made_for"]


@dataclass(frozen=True)
class MadeThings:
    """What was made for one part; of several of a kind the file's last one holds.

    Parameters
    ----------
    form : the form, as measured.
    strips : milled strips, by line of the part's plies counted from 1.
    trial : the trial bend.
    """

    form: MadeForm | None = None
    strips: dict[int, MadeStrips] = field(default_factory=dict)
    trial: MadeTrial | None = None

    @property
    def thickness(self) -> dict[int, float]:
        """Mean thickness measured, by line of the part's plies [mm]."""
        return {line: strips.mean for line, strips in self.strips.items()}


def made_for(part: str, project: Project) -> MadeThings:
    """Gather what was made for a part.

    Parameters
    ----------
    part : name of the part.
    project : holds everything that was made.
    """
    mine = [made for made in project.made.values() if made.part == part]
    form = [m for m in mine if isinstance(m, MadeForm)]
    strips = {m.ply: m for m in mine if isinstance(m, MadeStrips)}
    trial = [m for m in mine if isinstance(m, MadeTrial) and not m.broken]
    return MadeThings(form[-1] if form else None, strips, trial[-1] if trial else None)


def form_as_made(measured: MadeForm, planned: Curve, d: float) -> as_made.MadeForm:
    """Middle line of the part on a form that was made.

    Parameters
    ----------
    measured : chord and rise, or points of its face.
    planned : middle line the form would be drawn for today.
    d : distance of the face from the middle line, positive to the left [mm].

    Raises
    ------
    CurveError
        When the measurements fit no form for this part.
    """
    if measured.points is None:
        chord, rise = measured.chord or 0.0, measured.rise or 0.0
        return as_made.made_from_chord(planned, d, chord, rise)
    return as_made.made_from_points(planned, d, np.array(measured.points))
