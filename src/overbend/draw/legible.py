"""Texts that lines run through, and how to clear them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, cast

import numpy as np

from overbend.curve import Floats
from overbend.draw.arcs import circle, flattened
from overbend.draw.drawing import Area, Disc, Drawing, Item, Label, Layer, Stroke, simple_items

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["WHOLE", "cleared", "crossed_labels", "ink_of", "letters_of"]

WHOLE = frozenset(
    {Layer.BODY, Layer.STOP, Layer.PART, Layer.FORM, Layer.TARGET, Layer.HOLE, Layer.PIN}
)
"""Layers of lines to saw, drill or scribe to: no text is ever wiped over one."""

_WIPED = 0.15  # of a capital's height: how far the paper is wiped beyond a text


def crossed_labels(drawing: Drawing, scale: float) -> tuple[Label, ...]:
    """Texts whose letters a line, a hatch or another text runs through.

    Parameters
    ----------
    drawing : what is drawn.
    scale : paper millimetres per model millimetre.

    Returns
    -------
    tuple of Label
        Those that are not cleared already, those that lie on another text, and those that
        wipe a line of one of the layers in :data:`WHOLE`.

    Examples
    --------
    >>> import numpy as np
    >>> from overbend.curve import ArcPath
    >>> line = Stroke(ArcPath.polyline(np.array([[0.0, 1.0], [9.0, 1.0]])), Layer.TARGET)
    >>> len(crossed_labels(Drawing((line, Label(1, 0, "A"), Label(1, 5, "B"))), 1.0))
    1
    """
    labels, by_lines, by_texts, breaking = _crossed(drawing, scale)
    return tuple(
        label
        for k, label in enumerate(labels)
        if k in by_texts or (k in breaking if label.clear else k in by_lines)
    )


def _crossed(drawing: Drawing, scale: float) -> tuple[list[Label], set[int], set[int], set[int]]:
    """All texts; which lines or hatches cross, which texts do, which would break a whole line."""
    import shapely

    labels = [i for i in drawing.items if isinstance(i, Label)]
    boxes = [letters_of(label, scale, -0.1) for label in labels]
    wiped = [letters_of(label, scale, _WIPED * label.size) for label in labels]
    inked = [(s, g) for item in drawing.items for s, g in ink_of(item, scale)]
    every = shapely.STRtree([shape for _, shape in inked])
    whole = shapely.STRtree([shape for layer, shape in inked if layer in WHOLE])
    by_lines = every.query(boxes, predicate="intersects")[0].tolist()
    breaking = whole.query(wiped, predicate="intersects")[0].tolist()
    pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects").T.tolist()
    by_texts = {one for one, other in pairs if one != other}
    return labels, set(by_lines), by_texts, set(breaking)


def letters_of(label: Label, scale: float, grow: float = 0.0) -> BaseGeometry:
    """Room a text takes, `grow` [mm on paper] wider all round, in model millimetres."""
    import shapely

    return cast("BaseGeometry", shapely.polygons(label.box(scale, grow=grow)))


def ink_of(item: Item, scale: float) -> list[tuple[Layer, BaseGeometry]]:
    """Shapes an item leaves on the paper with their layers, in model millimetres; no texts."""
    import shapely

    if isinstance(item, Label):
        return []
    tolerance = 0.05 / scale
    shapes: list[tuple[Layer, object]] = []
    for simple in simple_items(item, scale):
        match simple:
            case Stroke():
                shapes.append((simple.layer, shapely.linestrings(_closed(simple, tolerance))))
            case Disc():
                ring = circle(simple.x, simple.y, simple.radius).flatten(tolerance)
                shapes.append((simple.layer, shapely.linearrings(ring)))
            case Area() if simple.fill in ("hatch", "cross", "solid"):
                filled = [shapely.polygons(flattened(p, tolerance)) for p in simple.paths]
                shapes += [(simple.layer, shape) for shape in filled]
    return cast("list[tuple[Layer, BaseGeometry]]", shapes)


def _closed(stroke: Stroke, tolerance: float) -> Floats:
    """Points of a line, the first again at the end of a closed one."""
    points = flattened(stroke.path, tolerance)
    return np.concatenate([points, points[:1]]) if stroke.path.closed else points


def cleared(drawing: Drawing, scale: float) -> Drawing:
    """Return the same drawing with the paper wiped behind every text that a line crosses.

    Texts on each other are left: they have to be moved apart. So are texts whose clearing
    would break a line of one of the layers in :data:`WHOLE`.

    Examples
    --------
    >>> import numpy as np
    >>> from overbend.curve import ArcPath
    >>> line = Stroke(ArcPath.polyline(np.array([[0.0, 1.0], [9.0, 1.0]])), Layer.CENTRE)
    >>> cleared(Drawing((line, Label(1, 0, "A"))), 1.0).items[1].clear
    True
    """
    labels, by_lines, by_texts, breaking = _crossed(drawing, scale)
    wiped = {id(labels[k]) for k in by_lines - by_texts - breaking}
    items = tuple(
        replace(i, clear=True) if isinstance(i, Label) and id(i) in wiped else i
        for i in drawing.items
    )
    return replace(drawing, items=items)
