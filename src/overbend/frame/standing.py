"""Parts that stand in a plane of the piece or between two places, those first that bear others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

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
from overbend.frame.places import OwnPlace, Placed, Spot, Where, find_station, further, spot_point
from overbend.frame.probe import way_out
from overbend.frame.solid import Body, Ends

__all__ = ["Item", "RowOf", "Spanning", "Standing", "place_all"]

_UPRIGHT = 0.999  # cosine from which a line counts as upright


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
        pose = pose.shifted(spot_point(how.on, done).point)
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


def _spanning(
    item: Item, how: Spanning, done: Mapping[str, Placed]
) -> tuple[tuple[Body, ...], Row | None]:
    a, b = spot_point(how.start, done), spot_point(how.end, done)
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
    bodies = tuple(_between(item, how, further(a, d), further(b, d)) for d in even.offsets)
    return bodies, even


def _between(item: Item, how: Spanning, a: Where, b: Where) -> Body:
    if item.line is not None:
        return _laid_between(item, item.line, how, a, b)
    return _straight_between(item, how, a, b)


def _frame(how: Spanning, a: Where, b: Where) -> tuple[Floats, Floats, Floats, float]:
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


def _straight_between(item: Item, how: Spanning, a: Where, b: Where) -> Body:
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


def _shoulder(where: Where, way: Floats, span: float) -> tuple[float, Floats | None]:
    """Distance from a spot to the face the line leaves through, and the cut there."""
    body = where.body
    if body is None or where.free:
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


def _laid_between(item: Item, line: MidLine, how: Spanning, a: Where, b: Where) -> Body:
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
