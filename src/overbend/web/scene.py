"""The drawing that is always in view: one part as the maker drew it, with its form and band.

Everything lies in the frame of the drawn curve, x to the right and y up, so that a handle is
where the file says it is. Lines are drawn through points a pixel apart at most, which is much
quicker than fitting arcs and cannot be told from them on a screen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from overbend.curve import ArcPath, Curve, Floats
from overbend.draw.arcs import Box
from overbend.draw.drawing import Area, Drawing, Item, Layer, Pen, Stroke
from overbend.plan import BentPlan
from overbend.units import Display, format_length
from overbend.web.names import names_of
from overbend.web.pictures import page_svg
from overbend.web.words import words

__all__ = ["Pane", "bounds_of", "fitted_pane", "scene"]

_TRACK = 61
_SPACING = 2.5  # mm on the sheet between points of a line, at most
_ROOM = 12.0  # mm on the sheet kept free round the part
_FITTINGS = 3
_APART = 0.7  # mm on the sheet between two lines that can still be told apart


@dataclass(frozen=True)
class Pane:
    """The sheet on the page: its size [mm], and the part of the model it shows [mm]."""

    width: float
    height: float
    window: Box | None = None

    @property
    def scale(self) -> float:
        """Millimetres on the sheet per millimetre."""
        if self.window is None:
            return 1.0
        return self.width / (self.window[2] - self.window[0])

    def on_sheet(self, points: Floats) -> Floats:
        """Model points as places on the sheet, y down [mm]."""
        x0, _, _, y1 = self.window or (0.0, 0.0, 0.0, 0.0)
        return np.asarray((points - np.array([x0, y1])) * np.array([1.0, -1.0]) * self.scale)

    def in_model(self, x: float, y: float) -> tuple[float, float]:
        """A place on the sheet as a model point."""
        x0, _, _, y1 = self.window or (0.0, 0.0, 0.0, 0.0)
        return x0 + x / self.scale, y1 - y / self.scale


class _Bench:
    """A part's lines, taken from the bench's frame into the drawn one."""

    def __init__(self, part: BentPlan, scale: float = 0.2) -> None:
        self.part = part
        self.points = int(min(max(part.target.curve.length * scale / _SPACING, 60), 400))
        self.flip = np.array([1.0, -1.0 if part.target.mirrored else 1.0])
        self._known: dict[tuple[int, int], tuple[Floats, Floats]] = {}

    def line(self, curve: Curve, z: float = 0.0, n: int = 0) -> Floats:
        key = id(curve), n or self.points
        if key not in self._known:
            s = curve.even_grid(n or self.points)
            self._known[key] = curve.point(s), curve.normal(s)
        point, normal = self._known[key]
        return np.asarray((point + z * normal) * self.flip)

    def outline(self, curve: Curve) -> Floats:
        half = 0.5 * self.part.depth
        return np.concatenate([self.line(curve, -half), self.line(curve, half)[::-1]])

    @property
    def face(self) -> float:
        """Distance of the face that lies on the form from mid-depth [mm]."""
        return (0.5 if self.part.part.form.side == "concave" else -0.5) * self.part.depth

    def band(self) -> Floats:
        band, curve = self.part.band, self.part.released
        s = np.clip(band.s, 0.0, curve.length)
        point, normal = curve.point(s), curve.normal(s)
        low = point + (band.low + self.face)[:, None] * normal
        high = point + (band.high + self.face)[:, None] * normal
        return np.asarray(np.concatenate([low, high[::-1]]) * self.flip)


def bounds_of(part: BentPlan) -> Box:
    """Smallest box round the part at rest and on its form, in the drawn frame [mm]."""
    bench = _Bench(part)
    points = np.concatenate(
        [bench.outline(part.target.curve), bench.line(part.glued, bench.face), bench.band()]
    )
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def scene(
    part: BentPlan, pane: Pane, display: Display, keep: Sequence[Floats] = ()
) -> dict[str, Any]:
    """Draw the part for the page.

    Parameters
    ----------
    part : the part.
    pane : the sheet; without a window one is fitted round the part.
    display : the reader's units.
    keep : lines over the drawing that its texts keep clear of, such as handles [mm].

    Returns
    -------
    dict
        ``svg``; ``track``, places along the part on the sheet from the reference end;
        ``window`` and ``scale``.
    """
    pane = fitted_pane(part, pane, display)
    bench = _Bench(part, pane.scale)
    own = [bench.outline(part.target.curve), bench.line(part.glued, bench.face)]
    names = names_of(part, pane.scale, display, pane.window, [*own, *keep])
    items = [*_lines(part, bench, pane.scale), *names]
    title = words("scene.title", part=part.name)
    drawing = Drawing(tuple(items), title, _about(part, display))
    track = pane.on_sheet(bench.line(part.target.curve, n=_TRACK))
    return {
        "svg": page_svg(drawing, pane.scale, window=pane.window),
        "track": np.round(track, 2).tolist(),
        "window": pane.window,
        "scale": pane.scale,
    }


def fitted_pane(part: BentPlan, pane: Pane, display: Display) -> Pane:
    """Return a sheet with a window that leaves room for the texts beside the part.

    Parameters
    ----------
    part : the part.
    pane : the sheet; with a window it stays as it is.
    display : the reader's units.
    """
    if pane.window is not None:
        return pane
    box = bounds_of(part)
    room = (_ROOM, _ROOM, _ROOM, _ROOM)
    for _ in range(_FITTINGS):  # a smaller part leaves its texts nearer to the edge
        room = _beside(part, box, _scale(box, pane, room), display)
    scale = _scale(box, pane, room)
    left, low, right, high = (r / scale for r in room)
    cx = 0.5 * (box[0] - left + box[2] + right)
    cy = 0.5 * (box[1] - low + box[3] + high)
    half = 0.5 * pane.width / scale, 0.5 * pane.height / scale
    window = (cx - half[0], cy - half[1], cx + half[0], cy + half[1])
    return Pane(pane.width, pane.height, window)


def _scale(box: Box, pane: Pane, room: Box) -> float:
    """Largest scale at which a box and the room beside it fit a sheet."""
    wide = max(pane.width - room[0] - room[2], 20.0) / max(box[2] - box[0], 1.0)
    tall = max(pane.height - room[1] - room[3], 12.0) / max(box[3] - box[1], 1.0)
    return min(wide, tall)


def _beside(part: BentPlan, box: Box, scale: float, display: Display) -> Box:
    """Room that texts take left, below, right and above of the part's box [mm on the sheet]."""
    names = Drawing(tuple(names_of(part, scale, display)))
    x0, y0, x1, y1 = names.extent(scale)
    over = (box[0] - x0, box[1] - y0, x1 - box[2], y1 - box[3])
    left, low, right, high = (max(o * scale + 3.0, _ROOM) for o in over)
    return left, low, right, high


def _about(part: BentPlan, display: Display) -> str:
    """What the drawing shows, for people who cannot see it."""
    rest, form = part.shapes["target"], part.shapes["form"]
    return words(
        "scene.about",
        chord=format_length(rest.chord, display),
        rise=format_length(rest.rise, display),
        form=format_length(form.chord, display),
    )


def _lines(part: BentPlan, bench: _Bench, scale: float) -> list[Item]:
    curve = part.target.curve
    band = ArcPath.polyline(bench.band(), closed=True)
    body = ArcPath.polyline(bench.outline(curve), closed=True)
    form = ArcPath.polyline(bench.line(part.glued, bench.face))
    return [
        Area((band,), Layer.BAND, "hatch", spacing=0.9),
        Area((body,), Layer.PART, "tint"),
        *_glue(part, bench, scale),
        Stroke(form, Layer.FORM, Pen.LONG_DASH, words("scene.form")),
        Stroke(body, Layer.TARGET, Pen.OUTLINE, words("scene.rest")),
    ]


def _glue(part: BentPlan, bench: _Bench, scale: float) -> list[Item]:
    plies = part.layup.plies
    if min(p.thickness for p in plies) * scale < _APART:
        return []
    z = np.cumsum([p.thickness for p in plies])[:-1] - part.depth / 2
    return [
        Stroke(ArcPath.polyline(bench.line(part.target.curve, float(d))), Layer.GLUE, Pen.THIN)
        for d in z
    ]
