"""Full-size drawings of what joints need beside the parts: angled fillers and wedge cauls."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from overbend.curve import ArcPath
from overbend.draw.dimensions import angle, linear
from overbend.draw.drawing import Area, Drawing, Item, Label, Layer, Pen, Stroke
from overbend.draw.legible import cleared
from overbend.draw.stick_sheet import stick_drawing, stick_name
from overbend.frame import Filler, Joint, WedgeCaul
from overbend.plan.piece import Piece
from overbend.units import Display, format_angle, format_length

__all__ = ["caul_drawing", "different_fillers", "filler_drawing", "piece_templates"]

_SAME = 0.05  # mm


def different_fillers(joints: Iterable[Joint]) -> tuple[tuple[Joint, int], ...]:
    """One joint for each different filler, and how many of it there are.

    Parameters
    ----------
    joints : of the piece.
    """
    kinds: list[tuple[Joint, int]] = []
    for joint in joints:
        if joint.filler is None:
            continue
        for k, (known, count) in enumerate(kinds):
            if known.filler is not None and _alike(known.filler, joint.filler):
                kinds[k] = known, count + 1
                break
        else:
            kinds.append((joint, 1))
    return tuple(kinds)


def _alike(p: Filler, q: Filler) -> bool:
    same = len(p.x) == len(q.x) and abs(p.length - q.length) < _SAME
    return same and bool(np.abs(p.section - q.section).max() < _SAME)


def filler_drawing(joint: Joint, display: Display, count: int = 1) -> Drawing:
    """Draw the section of an angled filler at full size, with its edges and angle.

    Parameters
    ----------
    joint : a joint with a filler.
    display : how lengths are shown.
    count : how many of it are needed.
    """
    filler = joint.filler
    assert filler is not None
    outline = ArcPath.polyline(filler.section, closed=True)
    x0, x1 = float(filler.x[0]), float(filler.x[-1])
    t0, t1 = float(filler.thickness[0]), float(filler.thickness[-1])
    items: list[Item] = [
        Area((outline,), Layer.BODY, "hatch"),
        Stroke(outline, Layer.BODY, Pen.OUTLINE, "filler"),
        *linear((x0, 0.0), (x1, 0.0), format_length(x1 - x0, display), scale=1.0, offset=-9.0),
        *linear((x0, 0.0), (x0, t0), format_length(t0, display), scale=1.0, offset=9.0),
        *linear((x1, 0.0), (x1, t1), format_length(t1, display), scale=1.0, offset=-9.0),
    ]
    size = format_length(filler.length, display)
    between = format_angle(filler.angle)
    lines = [f"filler of {joint.spec.name}, {count} off, {size} long"]
    lines.append(f"faces {between} apart, thick edge to the {filler.thick_edge}")
    if abs(filler.hollow) > 0.2:
        shape = "round" if filler.hollow > 0 else "hollow"
        lines.append(f"bent side {shape} by {format_length(abs(filler.hollow), display)}")
    items.append(Label(x0, max(t0, t1) + 8.0, "\n".join(lines), 2.5))
    return cleared(Drawing(tuple(items), f"Filler of {joint.spec.name}"), 1.0)


def caul_drawing(caul: WedgeCaul, name: str, display: Display) -> Drawing:
    """Draw a wedge caul at full size, seen along its width.

    Parameters
    ----------
    caul : its sizes.
    name : of the joint.
    display : how lengths are shown.
    """
    corners = np.array([[0.0, 0.0], [caul.length, 0.0], [caul.length, caul.thick],
                        [0.0, caul.thin]])  # fmt: skip
    outline = ArcPath.polyline(corners, closed=True)
    vertex = (-caul.thin / np.tan(caul.angle), 0.0)
    items: list[Item] = [
        Stroke(outline, Layer.BODY, Pen.OUTLINE, "caul"),
        *linear((0, 0), (caul.length, 0), format_length(caul.length, display), scale=1.0,
                offset=-9.0),
        *linear((0, 0), (0, caul.thin), format_length(caul.thin, display), scale=1.0, offset=9.0),
        *linear((caul.length, 0), (caul.length, caul.thick), format_length(caul.thick, display),
                scale=1.0, offset=-9.0),
        *angle(vertex, 0.0, caul.angle, format_angle(caul.angle), scale=1.0,
               reach=max(20.0, -vertex[0] + 0.5 * caul.length), sides=False),
        Label(0.0, -18.0, f"wedge caul of {name}, {format_length(caul.width, display)} wide, "
              f"on {caul.on}", 2.5, "left", "top"),
    ]  # fmt: skip
    return cleared(Drawing(tuple(items), f"Wedge caul of {name}"), 1.0)


def piece_templates(piece: Piece, display: Display) -> dict[str, Drawing]:
    """Every full-size drawing of the piece by file name: story sticks, fillers, cauls.

    Parameters
    ----------
    piece : the piece in space.
    display : how lengths are shown.
    """
    sticks = [stick for stick in piece.sticks if stick.marks]
    made = {stick_name(s, sticks): stick_drawing(piece, s, display) for s in sticks}
    for joint, count in different_fillers(piece.joints):
        name = f"{joint.spec.name}-filler"
        number = sum(key.startswith(name) for key in made)
        key = name if not number else f"{name}-{number + 1}"
        made[key] = filler_drawing(joint, display, count)
    for face in piece.glue_faces:
        name = face.joint.split(":")[0]
        if face.caul is not None:
            made.setdefault(f"{name}-caul", caul_drawing(face.caul, name, display))
    return made
