"""From the project's place and joint tables to what `frame` works with."""

from __future__ import annotations

from overbend import frame
from overbend.curve import Curve
from overbend.plan.target import Target
from overbend.project import BentPart, StraightPart
from overbend.project.joints import Joint
from overbend.project.places import Along, Between, Place, Repeat, Spot

__all__ = ["drawn_middle", "item_of", "spec_of"]


def drawn_middle(target: Target) -> Curve:
    """Middle line of a bent part as the maker drew it: the bench's own, turned back."""
    curve = target.curve.mirrored() if target.mirrored else target.curve
    return curve.reversed() if target.reversed else curve


def item_of(
    name: str, part: BentPart | StraightPart, line: frame.MidLine | None
) -> frame.Item | None:
    """Return what is to be placed; None for a part that stands nowhere.

    Parameters
    ----------
    name : of the part.
    part : as read.
    line : middle line of a bent part, as drawn; None for a straight one.
    """
    stand = part.stand
    if stand is None:
        return None
    if isinstance(part, BentPart):
        width, depth = part.width, part.depth
    else:
        width, depth = part.section
        line = None if part.length is None else frame.straight_line(part.length)
    how = _spanning(stand) if isinstance(stand, Between) else _standing(stand)
    return frame.Item(name, width, depth, how, line)


def _standing(place: Place) -> frame.Standing:
    return frame.Standing(
        plane=place.plane,
        origin=place.origin,
        turn=place.turn,
        tilt=place.tilt,
        about=place.tilt_about,
        swing=place.swing,
        floor=place.floor,
        on=None if place.on is None else _spot(place.on),
        own=None if place.own is None else _own(place.own),
        mirror=place.mirror,
        row=_row(place.repeat),
    )


def _spanning(between: Between) -> frame.Spanning:
    own = between.own
    return frame.Spanning(
        start=_spot(between.start),
        end=_spot(between.end),
        lie=between.lie,
        roll=between.roll,
        overhang=between.overhang,
        own=None if own is None else (_own(own[0]), _own(own[1])),
        mirror=between.mirror,
        row=_row(between.repeat),
    )


def _row(repeat: Repeat | None) -> frame.RowOf | None:
    if repeat is None:
        return None
    return frame.RowOf(repeat.count, repeat.span, repeat.fit, repeat.centred, repeat.along)


def _own(place: Along) -> frame.OwnPlace:
    return frame.OwnPlace(place.station, place.at, place.from_end, place.share)


def _spot(spot: Spot) -> frame.Spot:
    if spot.part is None:
        return frame.Spot(point=spot.point or (0.0, 0.0, 0.0))
    where = frame.OwnPlace(spot.station, spot.at, spot.from_end, spot.share, spot.height, spot.nth)
    return frame.Spot(spot.part, where, spot.face, spot.off, spot.across, shift=spot.shift)


_SIZES = ("thickness", "width", "length", "diameter", "count", "spacing")


def spec_of(name: str, joint: Joint, units: str) -> frame.JointSpec:
    """Return what is asked of a joint, from its table.

    Parameters
    ----------
    name : of the table.
    joint : as read.
    units : of the file, which says what tool sizes are usual.
    """
    sizes = {key: getattr(joint, key, None) for key in _SIZES}
    return frame.JointSpec(
        name,
        joint.kind,
        joint.part,
        joint.to,
        through=getattr(joint, "through", False),
        reach=joint.reach,
        system="in" if units == "in" else "mm",
        **sizes,
    )
