"""Places on other parts, and parts that stand on them or between them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

import numpy as np

from overbend.curve import Floats
from overbend.errors import FrameError, OverbendError
from overbend.frame.midline import MidLine, straight_line
from overbend.frame.placement import (
    AXES,
    Fit,
    Plane,
    Pose,
    Row,
    even_row,
    instance_ids,
    plane_pose,
    turn_about,
)
from overbend.frame.probe import find_root, way_out
from overbend.frame.solid import Body, Ends

__all__ = [
    "Item",
    "OwnPlace",
    "Placed",
    "RowOf",
    "Spanning",
    "Spot",
    "Standing",
    "find_station",
    "place_all",
]

Face: TypeAlias = Literal["middle", "left", "right", "outside", "inside"]

_UPRIGHT = 0.999  # cosine from which a line counts as upright


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
    """

    part: str = ""
    place: OwnPlace = OwnPlace(share=0.5)
    face: Face = "middle"
    off: float = 0.0
    across: float = 0.0
    point: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class RowOf:
    """Several of one part in a row.

    Parameters
    ----------
    count, span, fit, centred : as for :func:`overbend.frame.placement.even_row`.
    along : "normal" to the part's plane, or a direction such as "-y"; not used between
        places, where the row follows the parts it stands on.
    """

    count: int
    span: float
    fit: Fit = "middles"
    centred: bool = False
    along: str = "normal"


@dataclass(frozen=True)
class Standing:
    """A part that stands in a plane of the piece.

    Parameters
    ----------
    plane, origin, turn, tilt, about, swing : as for
        :func:`overbend.frame.placement.plane_pose`.
    floor : whether to lift or lower it until its lowest point is on the floor.
    on : another part to stand on; the origin is then counted from there.
    own : place of the part itself that goes there; None: the curve's own origin, and for
        a part that stands on another its start.
    mirror : whether there is a second one on the other side.
    row : how many in a row.
    """

    plane: Plane
    origin: tuple[float, float, float] = (0.0, 0.0, 0.0)
    turn: float = 0.0
    tilt: float = 0.0
    about: Literal["x", "y"] | None = None
    swing: float = 0.0
    floor: bool = False
    on: Spot | None = None
    own: OwnPlace | None = None
    mirror: bool = False
    row: RowOf | None = None


@dataclass(frozen=True)
class Spanning:
    """A part between two places.

    Parameters
    ----------
    start, end : the places its start and end come to.
    lie : direction of its width: "upright", or "along" the part at its start.
    roll : turn about its own line, right-hand rule [rad].
    overhang : how far it runs past both places [mm]; None: a straight part ends at the faces
        of the two parts.
    own : a bent part's own places that go there; None: its start and end.
    mirror, row : as for :class:`Standing`.
    """

    start: Spot
    end: Spot
    lie: Literal["upright", "along"] = "upright"
    roll: float = 0.0
    overhang: float | None = None
    own: tuple[OwnPlace, OwnPlace] | None = None
    mirror: bool = False
    row: RowOf | None = None


@dataclass(frozen=True, eq=False)
class Item:
    """A part to be placed.

    Parameters
    ----------
    name : of the part.
    width, depth : across the plane of its line and in it [mm].
    how : where it goes.
    line : its middle line as drawn; None for a straight part whose length follows from the
        places it is between. A line of its own is laid between two places middle on middle.
    """

    name: str
    width: float
    depth: float
    how: Standing | Spanning
    line: MidLine | None = None


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


def place_all(items: Sequence[Item]) -> dict[str, Placed]:
    """Place every part, those first that others stand on.

    Parameters
    ----------
    items : the parts, in any order.

    Returns
    -------
    dict of str to Placed
        In the order of the items.

    Raises
    ------
    FrameError
        Parts that stand on each other in a circle, on a part there is none of, or off its
        end; rows that do not fit; a part with no room between its places.

    Examples
    --------
    >>> post = Item("post", 40.0, 40.0, Standing("side", (0.0, 250.0, 0.0), turn=np.pi / 2,
    ...             mirror=True), straight_line(450.0))
    >>> ends = [Spot(f"post/{side}", OwnPlace(height=400.0)) for side in ("left", "right")]
    >>> rail = Item("rail", 60.0, 20.0, Spanning(*ends))
    >>> place_all([rail, post])["rail"].bodies[0].length
    460.0
    """
    todo = {item.name: item for item in items}
    done: dict[str, Placed] = {}
    for item in items:
        _place_with_others(item, todo, done, ())
    return {item.name: done[item.name] for item in items}


def _place_with_others(
    item: Item, todo: Mapping[str, Item], done: dict[str, Placed], open_: tuple[str, ...]
) -> None:
    """Place a part after those it stands on."""
    if item.name in done:
        return
    if item.name in open_:
        circle = [*open_[open_.index(item.name) :], item.name]
        raise FrameError(
            f"parts stand on each other in a circle: {' -> '.join(circle)}",
            allowed="at least one part of them placed by its origin",
            todo="give one of them a place of its own",
        )
    for spot in _spots(item.how):
        if spot.part:
            other = _item_of(spot.part, todo, item.name)
            _place_with_others(other, todo, done, (*open_, item.name))
    try:
        done[item.name] = _placed(item, done)
    except OverbendError as error:
        raise error if error.where.startswith("part.") else error.at(f"part.{item.name}") from error


def _spots(how: Standing | Spanning) -> tuple[Spot, ...]:
    if isinstance(how, Spanning):
        return how.start, how.end
    return () if how.on is None else (how.on,)


def _item_of(part: str, todo: Mapping[str, Item], where: str) -> Item:
    name = part if part in todo else part.split("/")[0]
    if name not in todo:
        raise FrameError(
            f"there is no placed part {part!r}",
            f"part.{where}",
            ", ".join(todo),
            "name a part that has a place, or one of its pieces",
        )
    return todo[name]


def _placed(item: Item, done: Mapping[str, Placed]) -> Placed:
    how = item.how
    if isinstance(how, Standing):
        drawn, row = _standing(item, how, done)
    else:
        drawn, row = _spanning(item, how, done)
    ids = instance_ids(item.name, how.mirror, len(drawn))
    if not how.mirror:
        bodies = tuple(replace(b, id=i) for b, i in zip(drawn, ids, strict=True))
        return Placed(item.name, bodies, bodies, row)
    return _with_mirror_images(item.name, drawn, ids, row)


def _with_mirror_images(
    name: str, drawn: Sequence[Body], ids: Sequence[str], row: Row | None
) -> Placed:
    """Left and right ones; which is which follows from where the drawn ones stand."""
    side = float(np.mean([body.centroid[1] for body in drawn]))
    if abs(side) < 1e-6:
        raise FrameError(
            "its mirror image stands in the same place",
            allowed="a part to the left or the right of the piece's middle",
            todo="move its origin to one side, or take mirror out",
        )
    images = _mirror_images(drawn)
    left, right = (drawn, images) if side > 0.0 else (images, drawn)
    named = tuple(replace(b, id=i) for b, i in zip((*left, *right), ids, strict=True))
    half = len(drawn)
    return Placed(name, named, named[:half] if side > 0.0 else named[half:], row)


def _mirror_images(drawn: Sequence[Body]) -> tuple[Body, ...]:
    """The same parts built on the mirrored curve, on the other side of the piece."""
    shared: dict[int, MidLine] = {}
    images = []
    for body in drawn:
        line = shared.setdefault(id(body.line), MidLine(body.curve.mirrored()))
        a, b = (None if c is None else c * np.array([1.0, -1.0, 1.0]) for c in body.cuts)
        images.append(replace(body, line=line, pose=body.pose.mirrored(), cuts=(a, b),
                              mirrored=not body.mirrored))  # fmt: skip
    return tuple(images)


# -- standing in a plane ------------------------------------------------------------------


def _standing(
    item: Item, how: Standing, done: Mapping[str, Placed]
) -> tuple[tuple[Body, ...], Row | None]:
    if item.line is None:
        raise FrameError(
            "a straight part that stands in a plane has no length", todo="give its length"
        )
    pose = plane_pose(
        how.plane, how.origin, turn=how.turn, tilt=how.tilt, about=how.about, swing=how.swing
    )
    if how.on is not None:
        pose = pose.shifted(_spot_point(how.on, done).point)
    own = how.own or (OwnPlace(at=0.0) if how.on is not None else None)
    if own is not None:
        x, y = item.line.curve.point(find_station(own, item.line, item.name))
        pose = pose.shifted(-pose.way([float(x), float(y), 0.0]))
    body = Body(item.name, item.name, item.line, item.width, item.depth, pose)
    if how.floor:
        body = body.moved([0.0, 0.0, -body.extent(AXES["z"])[0]])
    return _in_a_row(body, how.row)


def _in_a_row(body: Body, row: RowOf | None) -> tuple[tuple[Body, ...], Row | None]:
    if row is None:
        return (body,), None
    if row.along == "normal":
        way, size = body.pose.rotation[:, 2], body.width
    else:
        way = np.array(AXES[row.along])
        low, high = body.extent(way)
        size = high - low
    even = even_row(row.count, row.span, size, row.fit, centred=row.centred)
    return tuple(body.moved(d * way) for d in even.offsets), even


# -- between two places -------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Where:
    """A spot resolved: the point, the part it is on, the station there."""

    point: Floats
    body: Body | None = None
    s: float = 0.0
    spot: Spot = field(default_factory=Spot)

    @property
    def along(self) -> Floats:
        """Direction of the part there; upright for a fixed point."""
        return np.array(AXES["z"]) if self.body is None else self.body.tangent(self.s)


def _spanning(
    item: Item, how: Spanning, done: Mapping[str, Placed]
) -> tuple[tuple[Body, ...], Row | None]:
    a, b = _spot_point(how.start, done), _spot_point(how.end, done)
    first = _between(item, how, a, b)
    if how.row is None:
        return (first,), None
    if a.body is None or b.body is None:
        raise FrameError(
            "a row between places follows the parts at both ends, and one of them is a point",
            allowed="places on two parts",
        )
    way = a.along
    low, high = first.extent(way)
    row = how.row
    even = even_row(row.count, row.span, high - low, row.fit, centred=row.centred)
    bodies = tuple(_between(item, how, _further(a, d), _further(b, d)) for d in even.offsets)
    return bodies, even


def _further(where: _Where, d: float) -> _Where:
    """The same kind of spot, d further along the part it is on."""
    body = where.body
    if body is None:
        return where
    return _on(body, _checked(where.s + d, body.line, body.id), where.spot)


def _between(item: Item, how: Spanning, a: _Where, b: _Where) -> Body:
    if item.line is not None:
        return _laid_between(item, item.line, how, a, b)
    return _straight_between(item, how, a, b)


def _frame(how: Spanning, a: _Where, b: _Where) -> tuple[Floats, Floats, Floats, float]:
    """Direction between two spots, left of it, its width's direction, the distance [mm]."""
    run = b.point - a.point
    span = float(np.linalg.norm(run))
    if span < 1e-6:
        raise FrameError("the two places are the same point", allowed="two places apart")
    along = run / span
    up = np.array(AXES["z"]) if how.lie == "upright" else a.along
    if abs(along @ up) > _UPRIGHT:
        up = np.array(AXES["x"])
    across = up - (up @ along) * along
    across /= np.linalg.norm(across)
    across = turn_about(along, how.roll) @ across
    return along, np.cross(across, along), across, span


def _straight_between(item: Item, how: Spanning, a: _Where, b: _Where) -> Body:
    along, left, across, span = _frame(how, a, b)
    rotation = np.stack([along, left, across], axis=1)
    if how.overhang is not None:
        start, length = -how.overhang, span + 2.0 * how.overhang
        cuts: Ends = (None, None)
    else:
        (start, cut0), (far, cut1) = _shoulder(a, along, span), _shoulder(b, -along, span)
        length = span - start - far
        cuts = (_own_way(rotation, cut0), _own_way(rotation, cut1))
    if not length > 1e-6:
        raise FrameError(
            f"there is no room between its two places: they are {span:.4g} mm apart and the "
            f"faces overlap by {-length:.4g} mm",
            allowed="two parts that stand apart",
        )
    pose = Pose(rotation, a.point + start * along)
    return Body(item.name, item.name, straight_line(length), item.width, item.depth, pose, cuts)


def _own_way(rotation: Floats, way: Floats | None) -> Floats | None:
    return None if way is None else rotation.T @ way


def _shoulder(where: _Where, way: Floats, span: float) -> tuple[float, Floats | None]:
    """Distance from a spot to the face the line leaves through, and the cut there."""
    body = where.body
    if body is None:
        level = abs(where.point[2]) < 1e-9 and abs(way[2]) > 0.2
        return 0.0, np.array([0.0, 0.0, -1.0]) if level else None
    if where.spot.face != "middle":
        return 0.0, None
    hit = way_out(body, where.point, way)
    if hit is None or hit.t > span:
        raise FrameError(
            f"the line to its other end does not leave {body.id}",
            allowed="two places on parts that stand apart",
        )
    return hit.t, -hit.normal


def _laid_between(item: Item, line: MidLine, how: Spanning, a: _Where, b: _Where) -> Body:
    """Lay the chord between a part's own places along the line between two spots.

    The middles of the two agree; what is left over goes to both ends alike.
    """
    along, left, across, _ = _frame(how, a, b)
    own = how.own or (OwnPlace(at=0.0), OwnPlace(from_end=0.0))
    s0, s1 = (find_station(place, line, item.name) for place in own)
    p, q = line.curve.point([s0, s1])
    chord = (q - p) / max(float(np.hypot(*(q - p))), 1e-9)
    flat = np.array([[chord[0], chord[1]], [-chord[1], chord[0]]])
    rotation = np.column_stack([np.stack([along, left], axis=1) @ flat, across])
    middle = np.append(0.5 * (p + q), 0.0)
    pose = Pose(rotation, 0.5 * (a.point + b.point) - rotation @ middle)
    return Body(item.name, item.name, line, item.width, item.depth, pose)


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
    s = np.linspace(0.0, line.length, 2 if line.straight else 201)
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


def _spot_point(spot: Spot, done: Mapping[str, Placed]) -> _Where:
    if not spot.part:
        return _Where(np.array(spot.point, float), spot=spot)
    body = _body_of(spot.part, done)
    s = find_station(spot.place, body.line, body.id, lambda at: body.point(at)[:, 2])
    return _on(body, s, spot)


def _on(body: Body, s: float, spot: Spot) -> _Where:
    """Point at a station, on a face or off it."""
    side = {"left": 1.0, "right": -1.0, "middle": 0.0}.get(spot.face)
    if side is None:
        outside = -1.0 if body.curve.tightest[1] >= 0.0 else 1.0
        side = outside if spot.face == "outside" else -outside
    z = side * 0.5 * body.depth + (side or 1.0) * spot.off
    return _Where(body.point(s, z, spot.across), body, s, spot)


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
