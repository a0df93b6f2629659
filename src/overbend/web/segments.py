"""Changing what a curve is made of: segments and points added, split and taken out.

Every change is one step of the history and leaves comments, expressions and layout as they
are. A change after which the curve cannot be drawn is refused.
"""

from __future__ import annotations

import math
import re
from collections.abc import MutableSequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, TypeAlias

import numpy as np
import tomlkit
from tomlkit.items import AoT, Comment, Table, Whitespace

from overbend.curve import Curve
from overbend.errors import ProjectError
from overbend.project import Loaded, build_curve, dump, read
from overbend.project.shapes import CurveTable, Easement, Segment
from overbend.web.words import words

__all__ = ["KINDS", "Drawn", "SegmentKind", "carries_on", "inline", "nearest", "tail_of", "written"]

SegmentKind = Literal["line", "arc", "easement"]
KINDS: tuple[SegmentKind, ...] = ("line", "arc", "easement")
"""Kinds of segment, in the order they are offered."""

TomlValue: TypeAlias = Any
_FEW = 1e-7  # 1/mm: less than this is drawn straight, a radius of 10 km


def nearest(curve: Curve, x: float, y: float) -> float:
    """Arc length of the place of a curve that is nearest to a point [mm].

    Examples
    --------
    >>> from overbend.curve import Piece
    >>> round(nearest(Curve((Piece(100.0, 0.0, 0.0),)), 40.02, 7.0), 2)
    40.02
    """
    s, span = curve.even_grid(401), curve.length / 400.0
    for _ in range(4):
        gaps = np.hypot(*(curve.point(s) - [x, y]).T)
        best = float(s[int(gaps.argmin())])
        s = np.clip(best + np.linspace(-span, span, 41), 0.0, curve.length)
        span /= 20.0
    return best


def written(mm: float, units: str) -> int | float:
    """A length as a bare number of the file's unit, to 0.01 mm or 0.0001 in.

    Examples
    --------
    >>> written(450.0, "mm"), written(28.575, "in")
    (450, 1.125)
    """
    value = round(mm / 25.4, 4) if units == "in" else round(mm, 2)
    return int(value) if float(value).is_integer() else value


@dataclass(frozen=True)
class Drawn:
    """A curve table of a project, ready to be changed.

    Parameters
    ----------
    loaded : the project as read.
    name : of the curve table.

    Raises
    ------
    ProjectError
        From every change that asks for what there is not.
    """

    loaded: Loaded
    name: str

    @property
    def table(self) -> CurveTable:
        """The curve table as read."""
        found = self.loaded.project.curve.get(self.name)
        if found is None:
            raise ProjectError(words("curve.none"))
        return found

    @cached_property
    def curve(self) -> Curve:
        """The curve that is drawn."""
        return build_curve(self.name, self.loaded.project, self.loaded.folder)

    # -- segments ----------------------------------------------------------------------
    def with_segment(self, index: int, kind: SegmentKind, *, before: bool = False) -> str:
        """Text with a new segment after or before another.

        A line or easement gets an eighth of the curve's length; an arc carries on the arc
        beside it, or turns by 30 degrees the way the curve turns.
        """
        segments = self._segment(index)
        at = index if before else index + 1
        fresh = self._fresh(kind, segments, at)
        document, holder = self._list("segment")
        _insert(holder, at, fresh)
        return self._checked(document)

    def split(self, index: int, share: float = 0.5) -> str:
        """Text with a segment cut in two; the curve stays as it is, its name goes to the second."""
        segment = self._segment(index)[index]
        share = min(max(share, 0.02), 0.98)
        document, holder = self._list("segment")
        said = holder[index]
        second = self._cut(said, segment, index, share)
        if "name" in said:
            second["name"] = said.pop("name")
        _insert(holder, index + 1, second)
        return self._checked(document)

    def without_segment(self, index: int) -> str:
        """Text with a segment taken out."""
        segments = self._segment(index)
        if len(segments) == 1:
            raise ProjectError(words("curve.last"), todo=words("curve.last.todo"))
        document, holder = self._list("segment")
        _remove(holder, index)
        if 0 < index < len(segments) - 1:
            self._meet(holder, index, segments[index - 1], segments[index + 1])
        return self._checked(document)

    def _segment(self, index: int) -> tuple[Segment, ...]:
        """Segments of the curve, when there is one of that number."""
        segments = self.table.segment
        if segments is None or not 0 <= index < len(segments):
            raise ProjectError(words("curve.none"))
        return segments

    def _fresh(self, kind: SegmentKind, segments: tuple[Segment, ...], at: int) -> Table:
        size = self._even(self.curve.length / 8.0)
        made = tomlkit.table()
        if kind == "line":
            made["line"] = size
        elif kind == "arc":
            made["arc"] = inline(self._new_arc(segments, at))
        else:
            ends: dict[str, object] = {"length": size}
            s = float(self.curve.knots[at])
            if at > 0 and segments[at - 1].easement is not None:
                ends["from_radius"] = self._radius(float(self.curve.kappa(max(s - 1e-6, 0.0))))
            if at < len(segments) and segments[at].easement is not None:
                ends["to_radius"] = self._radius(float(self.curve.kappa(s)))
            made["easement"] = inline(ends)
        return made

    def _new_arc(self, segments: tuple[Segment, ...], at: int) -> dict[str, object]:
        beside = [segments[i].arc for i in (at - 1, at) if 0 <= i < len(segments)]
        known = next((arc for arc in beside if arc is not None), None)
        if known is not None:
            angle = math.copysign(15.0, known.angle)
            return {"radius": self.written(known.radius), "angle": f"{angle:g} deg"}
        angle = math.copysign(30.0, self.curve.turn or 1.0)
        return {"radius": self._even(self.curve.length / 2.0), "angle": f"{angle:g} deg"}

    def _cut(self, said: TomlValue, segment: Segment, index: int, share: float) -> Table:
        """Shorten a segment of the file to a share of itself and return the rest."""
        rest = tomlkit.table()
        if segment.line is not None:
            said["line"], rest["line"] = self._shared(said["line"], segment.line, share)
        elif segment.arc is not None:
            arc = said["arc"]
            first, second = _turned(arc["angle"], segment.arc.angle, share)
            rest["arc"] = inline({"radius": arc["radius"], "angle": second})
            arc["angle"] = first
        elif segment.easement is not None:
            easement = said["easement"]
            s = float(self.curve.knots[index]) + share * segment.easement.length
            between = self._radius(float(self.curve.kappa(s)))
            first, second = self._shared(easement["length"], segment.easement.length, share)
            ends = {"length": second, "from_radius": between}
            if "to_radius" in easement:
                ends["to_radius"] = easement["to_radius"]
            rest["easement"] = inline(ends)
            easement["length"], easement["to_radius"] = first, between
        return rest

    def _shared(self, said: object, core: float, share: float) -> tuple[object, object]:
        """A length as two; an expression stays in the second, less the first."""
        first = self.written(self._round(core * share, 64))
        if isinstance(said, str) and said.lstrip().startswith("="):
            unit = self.loaded.project.units
            return first, f"= {_whole(said)} - {first} {unit}"
        return first, self.written(core - self._round(core * share, 64))

    def _meet(self, holder: TomlValue, index: int, before: Segment, after: Segment) -> None:
        """Say with what radius two easements meet when neither did."""
        first, second = before.easement, after.easement
        if first is None or second is None:
            return
        if first.to_radius is None and second.from_radius is None:
            s = float(self.curve.knots[index])
            kappa = float(self.curve.kappa(max(s - 1e-6, 0.0)))
            holder[index - 1]["easement"]["to_radius"] = self._radius(kappa)

    # -- points ------------------------------------------------------------------------
    def with_point(self, s: float) -> str:
        """Text with a point more, on the curve at an arc length."""
        knots = self._point_places()
        after = int(np.searchsorted(knots, s))
        if float(np.abs(knots - s).min()) < 1.0:
            raise ProjectError(words("curve.point.there"))
        place = [self.written(self._round(float(v))) for v in self.curve.point(s)]
        document, holder = self._list("through")
        holder.insert(min(max(after, 1), len(knots) - 1), place)
        return self._checked(document)

    def after_point(self, index: int) -> str:
        """Text with a point halfway along to the next one; beyond the last, straight on."""
        knots = self._point_places()
        if not 0 <= index < len(knots):
            raise ProjectError(words("curve.none"))
        if index < len(knots) - 1:
            return self.with_point(0.5 * float(knots[index] + knots[index + 1]))
        further = 0.5 * float(knots[-1] - knots[-2])
        end = self.curve.point(self.curve.length) + further * self.curve.tangent(self.curve.length)
        document, holder = self._list("through")
        holder.append([self.written(self._round(float(v))) for v in end])
        return self._checked(document)

    def without_point(self, index: int) -> str:
        """Text with a point taken out."""
        knots = self._point_places()
        if len(knots) <= 2:
            raise ProjectError(words("curve.two"), todo=words("curve.last.todo"))
        if not 0 <= index < len(knots):
            raise ProjectError(words("curve.none"))
        document, holder = self._list("through")
        del holder[index]
        return self._checked(document)

    def _point_places(self) -> np.ndarray[Any, np.dtype[np.float64]]:
        """Arc lengths of the points."""
        points = self.table.through
        if points is None:
            raise ProjectError(words("curve.none"))
        return np.array([self.curve.stations[f"p{i + 1}"] for i in range(len(points))])

    def at(self, x: float, y: float) -> str:
        """Text with a point more at the nearest place, or the segment there cut in two."""
        s = nearest(self.curve, x, y)
        if self.table.through is not None:
            return self.with_point(s)
        if self.table.segment is None:
            raise ProjectError(words("curve.file"), todo=words("curve.file.todo"))
        knots = self.curve.knots
        index = min(int(np.searchsorted(knots, s, side="right")) - 1, len(knots) - 2)
        return self.split(index, float((s - knots[index]) / (knots[index + 1] - knots[index])))

    # -- stations ----------------------------------------------------------------------
    def with_station(self, name: str, share: float = 0.5) -> str:
        """Text with a named place more, at a share of the length."""
        if not name.strip():
            raise ProjectError(words("curve.unnamed"), todo=words("curve.unnamed.todo"))
        if name in self.curve.stations:
            raise ProjectError(words("curve.named", name=name), todo=words("curve.unnamed.todo"))
        document = tomlkit.parse(self.loaded.text)
        holder: Any = document["curve"][self.name]
        place = self.written(self._round(self.curve.length * share, 64))
        if "stations" in holder:
            holder["stations"][name] = place
        else:
            holder["stations"] = inline({name: place})
        return self._checked(document)

    # -- writing -----------------------------------------------------------------------
    def written(self, mm: float) -> int | float:
        """A length as a bare number of the file's unit."""
        return written(mm, self.loaded.project.units)

    def _round(self, mm: float, parts: int = 256) -> float:
        """Length to a tenth of a millimetre, or to a part of an inch."""
        grain = 25.4 / parts if self.loaded.project.units == "in" else 0.1
        return round(mm / grain) * grain

    def _even(self, mm: float) -> int | float:
        """A round length near another, as written."""
        inches = self.loaded.project.units == "in"
        grain = (25.4 if mm > 250 else 12.7) if inches else (10.0 if mm > 50 else 5.0)
        return self.written(max(round(mm / grain), 1) * grain)

    def _radius(self, kappa: float) -> int | float | str:
        """A curvature as the signed radius of an easement's end."""
        return "straight" if abs(kappa) < _FEW else self.written(1.0 / kappa)

    def _list(self, key: str) -> tuple[tomlkit.TOMLDocument, Any]:
        """A fresh document and one of the curve's lists in it."""
        document = tomlkit.parse(self.loaded.text)
        return document, document["curve"][self.name][key]

    def _checked(self, document: tomlkit.TOMLDocument) -> str:
        """Text of a document whose curve can be drawn."""
        text = dump(document)
        loaded = read(text, self.loaded.folder / "piece.toml")
        build_curve(self.name, loaded.project, self.loaded.folder)
        return text


def carries_on(segments: tuple[Segment, ...], index: int, key: str) -> bool:
    """Whether an end of an easement carries on from a neighbour."""
    easement: Easement | None = segments[index].easement
    if easement is None or getattr(easement, key) is not None:
        return False
    beside = index - 1 if key == "from_radius" else index + 1
    return 0 <= beside < len(segments)


def _turned(said: object, core: float, share: float) -> tuple[object, object]:
    """An angle as two; an expression stays in the second, less the first."""
    first = round(math.degrees(core) * share, 1) or math.copysign(0.1, core)
    rest = round(math.degrees(core) - first, 6)
    if isinstance(said, str) and said.lstrip().startswith("="):
        return f"{first:g} deg", f"= {_whole(said)} {-first:+g} deg"
    if isinstance(said, str):
        return f"{first:g} deg", f"{rest:g} deg"
    return first, rest


def _whole(said: str) -> str:
    """An expression as one term of another."""
    inner = said.strip().lstrip("=").strip()
    return inner if re.fullmatch(r"\w+", inner) else f"({inner})"


def inline(values: dict[str, Any]) -> TomlValue:
    """A table on one line, spaced as in the examples."""
    pairs = [f"{tomlkit.key(k).as_string()} = {_said(v)}" for k, v in values.items()]
    return tomlkit.parse(f"x = {{ {', '.join(pairs)} }}\n")["x"]


def _said(value: object) -> str:
    """A value as it stands in a file."""
    return str(tomlkit.item(value).as_string())


def _insert(holder: MutableSequence[Any], at: int, table: Table) -> None:
    """Put a segment into the list; what trails the one before stays behind the new one."""
    if not isinstance(holder, AoT):
        holder.insert(at, inline(dict(table)))
        return
    tail = tail_of(holder[at - 1]) if at else []
    for item in tail or [tomlkit.nl()]:
        table.add(item)
    if tail:
        holder[at - 1].add(tomlkit.nl())
    holder.insert(at, table)


def _remove(holder: MutableSequence[Any], index: int) -> None:
    """Take a segment out of the list; comments that trail it stay."""
    if isinstance(holder, AoT) and index:
        tail = tail_of(holder[index])
        if any(isinstance(item, Comment) for item in tail):
            for item in tail[1:] if isinstance(tail[0], Whitespace) else tail:
                holder[index - 1].add(item)
    del holder[index]


def tail_of(table: Table) -> list[Any]:
    """Take blank lines and comments off the end of a table."""
    body = table.value.body
    tail: list[Any] = []
    while body and body[-1][0] is None and isinstance(body[-1][1], Comment | Whitespace):
        tail.insert(0, body.pop()[1])
    return tail
