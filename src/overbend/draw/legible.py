"""Texts that lines run through, and how to clear them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from overbend.draw.arcs import circle
from overbend.draw.drawing import Area, Disc, Drawing, Item, Label, Stroke, simple_items

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["cleared", "crossed_labels"]


def crossed_labels(drawing: Drawing, scale: float) -> tuple[Label, ...]:
    """Texts whose letters a line, a hatch or another text runs through.

    Parameters
    ----------
    drawing : what is drawn.
    scale : paper millimetres per model millimetre.

    Returns
    -------
    tuple of Label
        Those that are not cleared already.

    Examples
    --------
    >>> import numpy as np
    >>> from overbend.curve import ArcPath
    >>> from overbend.draw.drawing import Layer
    >>> line = Stroke(ArcPath.polyline(np.array([[0.0, 1.0], [9.0, 1.0]])), Layer.TARGET)
    >>> len(crossed_labels(Drawing((line, Label(1, 0, "A"), Label(1, 5, "B"))), 1.0))
    1
    """
    labels, by_lines, by_texts = _crossed(drawing, scale)
    hit = by_lines | by_texts
    return tuple(label for k, label in enumerate(labels) if k in hit and not label.clear)


def _crossed(drawing: Drawing, scale: float) -> tuple[list[Label], set[int], set[int]]:
    """All texts, which of them lines or hatches cross, and which other texts do."""
    import shapely

    labels = [i for i in drawing.items if isinstance(i, Label)]
    boxes = [shapely.Polygon(label.box(scale, grow=-0.1)) for label in labels]
    inked = [g for item in drawing.items for g in _ink(item, scale)]
    by_lines = shapely.STRtree(inked).query(boxes, predicate="intersects")[0].tolist()
    pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects").T.tolist()
    return labels, set(by_lines), {one for one, other in pairs if one != other}


def _ink(item: Item, scale: float) -> list[BaseGeometry]:
    """Shapes an item leaves on the paper, in model millimetres."""
    import shapely

    if isinstance(item, Label):
        return []
    shapes: list[BaseGeometry] = []
    for simple in simple_items(item, scale):
        match simple:
            case Stroke():
                shapes.append(shapely.LineString(simple.path.flatten(0.05 / scale)))
            case Disc():
                ring = circle(simple.x, simple.y, simple.radius).flatten(0.05 / scale)
                shapes.append(shapely.LinearRing(ring))
            case Area() if simple.fill in ("hatch", "cross", "solid"):
                shapes += [shapely.Polygon(p.flatten(0.05 / scale)) for p in simple.paths]
    return shapes


def cleared(drawing: Drawing, scale: float) -> Drawing:
    """Return the same drawing with the paper wiped behind every text that a line crosses.

    Texts that lie on each other are left: they have to be moved apart.

    Examples
    --------
    >>> import numpy as np
    >>> from overbend.curve import ArcPath
    >>> from overbend.draw.drawing import Layer
    >>> line = Stroke(ArcPath.polyline(np.array([[0.0, 1.0], [9.0, 1.0]])), Layer.TARGET)
    >>> cleared(Drawing((line, Label(1, 0, "A"))), 1.0).items[1].clear
    True
    """
    labels, by_lines, by_texts = _crossed(drawing, scale)
    wiped = {id(labels[k]) for k in by_lines - by_texts}
    items = tuple(
        replace(i, clear=True) if isinstance(i, Label) and id(i) in wiped else i
        for i in drawing.items
    )
    return replace(drawing, items=items)
