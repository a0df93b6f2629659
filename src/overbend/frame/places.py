"""Places on parts: by station, by length, by height, by distance from an end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np

from overbend.curve import Floats
from overbend.errors import FrameError
from overbend.frame.midline import MidLine
from overbend.frame.placement import AXES, Row
from overbend.frame.probe import find_root
from overbend.frame.solid import Body

__all__ = ["Face", "OwnPlace", "Placed", "Spot", "Where", "find_station", "further", "spot_point"]

Face: TypeAlias = Literal["middle", "left", "right", "outside", "inside"]


@dataclass(frozen=True)
class OwnPlace:
    """A place along a middle line, by exactly one of these.

    Parameters
    ----------
    station : name of a station.
    at : distance from the start of the line [mm].
    from_end : distance from its end [mm].
    share : part of its length, 0 to 1.
    height : height of the middle line above the floor [mm]; only on a part that stands.
    nth : which of several places of that height, counted from the start.
    """

    station: str | None = None
    at: float | None = None
    from_end: float | None = None
    share: float | None = None
    height: float | None = None
    nth: int = 1


@dataclass(frozen=True)
class Spot:
    """A point in the piece: on another part, or given by its coordinates.

    Parameters
    ----------
    part : the other part's name, or the id of one of its instances; "" for a fixed point.
    place : where along it.
    face : which face, seen along its line as drawn; "outside" is the convex one at the
        tightest place.
    off : beyond that face, away from the part [mm]; for "middle", to the left of the line.
    across : across the part's plane [mm].
    point : the fixed point, used when `part` is "" [mm].
    shift : moves the point off the part, in the piece's axes [mm]; what ends there is free.
    """

    part: str = ""
    place: OwnPlace = OwnPlace(share=0.5)
    face: Face = "middle"
    off: float = 0.0
    across: float = 0.0
    point: tuple[float, float, float] = (0.0, 0.0, 0.0)
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Placed:
    """A part's instances.

    Parameters
    ----------
    name : of the part.
    bodies : in the order of their ids.
    drawn : those that stand as drawn, before mirroring.
    row : their spacing, if they stand in a row.
    """

    name: str
    bodies: tuple[Body, ...]
    drawn: tuple[Body, ...]
    row: Row | None = None


@dataclass(frozen=True, eq=False)
class Where:
    """A spot resolved: the point, the part it is on, the station there."""

    point: Floats
    body: Body | None = None
    s: float = 0.0
    spot: Spot = field(default_factory=Spot)

    @property
    def free(self) -> bool:
        """Whether nothing is there for an end to stop at."""
        return self.body is None or any(self.spot.shift)

    @property
    def along(self) -> Floats:
        """Direction of the part there; upright for a fixed point."""
        return np.array(AXES["z"]) if self.body is None else self.body.tangent(self.s)


# -- finding a place ----------------------------------------------------------------------


def find_station(
    place: OwnPlace,
    line: MidLine,
    name: str,
    height_at: Callable[[Floats], Floats] | None = None,
) -> float:
    """Arc length of a place along a middle line [mm].

    Parameters
    ----------
    place : how the place is given.
    line : the middle line.
    name : of the part, for messages.
    height_at : height above the floor of stations; None where the part does not stand yet.

    Raises
    ------
    FrameError
        A station there is none of, a place off the end, a height the part does not reach.

    Examples
    --------
    >>> from overbend.frame.midline import straight_line
    >>> find_station(OwnPlace(from_end=30.0), straight_line(400.0), "rail")
    370.0
    """
    length = line.length
    if place.station is not None:
        stations = line.curve.stations
        if place.station not in stations:
            raise FrameError(
                f"{name} has no station {place.station!r}",
                allowed=", ".join(map(repr, stations)) or "none: its curve names no station",
            )
        return float(stations[place.station])
    if place.height is not None:
        if height_at is None:
            raise FrameError("a height on the part itself", allowed="a station or a distance")
        return _at_height(place, line, name, height_at)
    if place.from_end is not None:
        return _checked(length - place.from_end, line, name)
    if place.share is not None:
        return _checked(length * place.share, line, name)
    return _checked(0.0 if place.at is None else place.at, line, name)


def _checked(s: float, line: MidLine, name: str) -> float:
    if not -1e-6 <= s <= line.length + 1e-6:
        raise FrameError(
            f"a place {s:.6g} mm along {name} lies off its end",
            allowed=f"0 to {line.length:.6g} mm",
            todo="move the place, or lengthen the part",
        )
    return min(max(s, 0.0), line.length)


def _at_height(
    place: OwnPlace, line: MidLine, name: str, height_at: Callable[[Floats], Floats]
) -> float:
    """Station of a height, the nth from the start."""
    wanted = float(place.height or 0.0)
    s = np.array([0.0, line.length]) if line.straight else line.samples[0]
    off = height_at(s) - wanted
    below = off <= 0.0
    found = np.flatnonzero(below[:-1] != below[1:])
    if place.nth > len(found):
        low, high = (off + wanted).min(), (off + wanted).max()
        times = f" {place.nth} times" if place.nth > 1 else ""
        raise FrameError(
            f"{name} does not pass a height of {wanted:.6g} mm{times}",
            allowed=f"a height from {low:.6g} to {high:.6g} mm",
        )
    k = int(found[place.nth - 1])
    return find_root(
        lambda at: float(height_at(np.array([at]))[0]) - wanted,
        (float(s[k]), float(off[k])),
        (float(s[k + 1]), float(off[k + 1])),
    )


def spot_point(spot: Spot, done: Mapping[str, Placed]) -> Where:
    """Find a spot among the parts that stand already.

    Parameters
    ----------
    spot : what was asked.
    done : placed parts by name.

    Raises
    ------
    FrameError
        As `find_station`; a part named that there are several of.
    """
    if not spot.part:
        return Where(np.array(spot.point, float), spot=spot)
    body = _body_of(spot.part, done)
    s = find_station(spot.place, body.line, body.id, lambda at: body.point(at)[:, 2])
    return _on(body, s, spot)


def _on(body: Body, s: float, spot: Spot) -> Where:
    """Point at a station, on a face or off it."""
    side = {"left": 1.0, "right": -1.0, "middle": 0.0}.get(spot.face)
    if side is None:
        outside = -1.0 if body.curve.tightest[1] >= 0.0 else 1.0
        side = outside if spot.face == "outside" else -outside
    z = side * 0.5 * body.depth + (side or 1.0) * spot.off
    point = body.point(s, z, spot.across) + np.array(spot.shift)
    return Where(point, body, s, spot)


def _body_of(part: str, done: Mapping[str, Placed]) -> Body:
    """Instance a spot names; of a mirrored part its name alone means the one drawn."""
    if part in done:
        drawn = done[part].drawn
        if len(drawn) == 1:
            return drawn[0]
        ids = [body.id for body in done[part].bodies]
        raise FrameError(f"there are {len(ids)} of {part!r}", allowed=f"one of {', '.join(ids)}")
    bodies = {b.id: b for placed in done.values() for b in placed.bodies}
    if part not in bodies:
        ids = [b for b in bodies if b.split("/")[0] == part.split("/")[0]]
        raise FrameError(f"there is no {part!r}", allowed=", ".join(ids))
    return bodies[part]


def further(where: Where, d: float) -> Where:
    """Return the same kind of spot, d further along the part it is on [mm]."""
    body = where.body
    if body is None:
        return where
    return _on(body, _checked(where.s + d, body.line, body.id), where.spot)
