"""Find room for texts: none crosses a line or another text, whatever the drawing.

What a text could look like is a *group*: the text itself and whatever leads from it to the
thing it names. A *wish* is a run of groups, the handiest first. Each wish gets the group
that crosses least; a text may stand on a centre line, whose paper is then wiped, but never
on a line that is sawn or scribed to.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.dimensions import note
from overbend.draw.drawing import Anchor, Drawing, Item, Label, Layer, Level, Pen, Stroke
from overbend.draw.legible import ink_of, letters_of

if TYPE_CHECKING:
    from shapely import STRtree
    from shapely.geometry.base import BaseGeometry

__all__ = ["CROSSED", "Board", "Group", "Wish", "beside", "notes", "placed"]

Group: TypeAlias = tuple[Item, ...]
Wish: TypeAlias = Iterable[Group]

SOFT = frozenset({Layer.CENTRE, Layer.GLUE, Layer.SHEET})
CROSSED = 100.0  # cost of a text that something crosses; less is a place without a fault
_SOFT = 4.0  # cost of a text on a centre line
_LED = 1.5  # cost of a leader across a line
_LATER = 0.4  # cost of each handier group passed over
_ROOM = 0.4  # mm on paper kept free round a text
_SWEEPS = 3
_TURNS = (0, 30, -30, 60, -60, 90, -90, 120, -120, 150, -150, 180)


class _Inked(NamedTuple):
    """What items leave on the paper."""

    hard: list[BaseGeometry]  # lines that texts must not cross
    soft: list[BaseGeometry]  # those they may
    texts: list[BaseGeometry]

    @classmethod
    def of(cls, items: Iterable[Item], scale: float) -> _Inked:
        """Shapes of items."""
        out = cls([], [], [])
        for item in items:
            if isinstance(item, Label):
                out.texts.append(letters_of(item, scale, _ROOM))
            for layer, shape in ink_of(item, scale):
                (out.soft if layer in SOFT else out.hard).append(shape)
        return out

    @classmethod
    def together(cls, many: Iterable[_Inked]) -> _Inked:
        """Shapes of several, in one."""
        out = cls([], [], [])
        for one in many:
            for shapes, more in zip(out, one, strict=True):
                shapes += more
        return out


class _Trees:
    """Shapes on a drawing, found by where they are."""

    def __init__(self, inked: _Inked) -> None:
        import shapely

        self.hard, self.soft, self.texts = map(shapely.STRtree, inked)

    def cost(self, group: _Inked) -> float:
        """How badly a group would stand here."""
        ink, letters = group.hard + group.soft, group.texts
        faults = _hits(self.hard, letters) + _hits(self.texts, letters) + _hits(self.texts, ink)
        return CROSSED * faults + _SOFT * _hits(self.soft, letters) + _LED * _hits(self.hard, ink)


class Board:
    """Lines and texts that already stand on a drawing.

    Parameters
    ----------
    items : what is drawn, and what is to be kept clear.
    scale : paper millimetres per model millimetre.
    """

    def __init__(self, items: Iterable[Item], scale: float) -> None:
        self.scale = scale
        self.trees = _Trees(_Inked.of(items, scale))

    def cost(self, group: Group) -> float:
        """How badly a group would stand here; below :data:`CROSSED` without a fault."""
        return self.trees.cost(_Inked.of(group, self.scale))

    def wiped(self, group: Group) -> Group:
        """The group with its texts cleared where they stand on centre lines."""
        return tuple(
            replace(i, clear=True)
            if isinstance(i, Label) and _hits(self.trees.soft, [letters_of(i, self.scale)])
            else i
            for i in group
        )


def _hits(tree: STRtree, shapes: list[BaseGeometry]) -> int:
    """How many pairs of shapes meet."""
    if not shapes or not len(tree.geometries):
        return 0
    return int(tree.query(shapes, predicate="intersects").shape[1])


class _Choices:
    """Groups of a wish with their shapes, made when first asked for: few ever are."""

    def __init__(self, wish: Wish, scale: float) -> None:
        self._rest, self._scale = iter(wish), scale
        self._made: list[tuple[Group, _Inked]] = []

    def __iter__(self) -> Iterator[tuple[Group, _Inked]]:
        yield from self._made
        for group in self._rest:
            self._made.append((group, _Inked.of(group, self._scale)))
            yield self._made[-1]

    def __bool__(self) -> bool:
        return next(iter(self), None) is not None

    def best(self, base: _Trees, others: Iterable[_Inked]) -> tuple[Group, _Inked]:
        """Group that stands best; one so good that later ones cannot be ends the search."""
        board, least = _Trees(_Inked.together(others)), math.inf
        for k, choice in enumerate(self):
            cost = base.cost(choice[1]) + board.cost(choice[1]) + _LATER * k
            if cost < least:
                best, least = choice, cost
            if _LATER * (k + 1) >= least:
                break
        return best


def placed(
    drawing: Drawing, wishes: Iterable[Wish], scale: float, keep: Sequence[Item] = ()
) -> Drawing:
    """Add texts where they cross nothing.

    Parameters
    ----------
    drawing : what stands already.
    wishes : the texts, those with the least choice first; empty wishes are passed over.
    scale : paper millimetres per model millimetre.
    keep : lines that are not drawn but are to be kept clear.

    Examples
    --------
    >>> line = Stroke(ArcPath.polyline(np.array([[0.0, 1.0], [9.0, 1.0]])), Layer.TARGET)
    >>> wish = [(Label(1, 0, "A"),), (Label(1, 5, "A"),)]
    >>> placed(Drawing((line,)), [wish], 1.0).items[-1].y
    5
    """
    wanted = [choices for choices in (_Choices(wish, scale) for wish in wishes) if choices]
    board = Board((*drawing.items, *keep), scale)
    base = board.trees
    chosen: list[tuple[Group, _Inked]] = []
    for choices in wanted:
        chosen.append(choices.best(base, _inks(chosen)))
    for _ in range(_SWEEPS):
        if all(_cost(chosen, k, base) < CROSSED for k in range(len(chosen))):
            break
        for k, choices in enumerate(wanted):
            chosen[k] = choices.best(base, _inks(chosen, k))
    return drawing.with_items(item for group, _ in chosen for item in board.wiped(group))


def _inks(chosen: Sequence[tuple[Group, _Inked]], without: int = -1) -> list[_Inked]:
    """Shapes of all that is chosen, but for one."""
    return [inked for k, (_, inked) in enumerate(chosen) if k != without]


def _cost(chosen: Sequence[tuple[Group, _Inked]], k: int, base: _Trees) -> float:
    """How badly one group stands on a drawing among the others."""
    inked = chosen[k][1]
    return base.cost(inked) + _Trees(_Inked.together(_inks(chosen, k))).cost(inked)


def beside(
    at: Floats,
    text: str,
    way: Floats,
    scale: float,
    *,
    size: float = 2.2,
    gap: float = 1.5,
    far: Sequence[float] = (0.0, 4.0, 8.0, 13.0, 19.0, 26.0),
    layer: Layer = Layer.TEXT,
) -> Iterator[Group]:
    """Places for a level text near a point: straight on, turned, further off with a leader.

    Parameters
    ----------
    at : the point, shape (2,) [mm].
    text : what to write.
    way : unit vector on which it stands best, shape (2,).
    scale : paper millimetres per model millimetre.
    size : height of a capital [mm on paper].
    gap : from the point to the text [mm on paper].
    far : lengths of leaders to try, 0 for none [mm on paper].
    layer : of the text; leaders are marks.

    Examples
    --------
    >>> groups = list(beside(np.zeros(2), "knee", np.array([0.0, 1.0]), 0.1))
    >>> groups[0][0].x, groups[0][0].y, len(groups[0]), len(groups[-1])
    (0.0, 15.0, 1, 2)
    """
    for reach in far:
        for turn in _TURNS:
            c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
            u = np.array([c * way[0] - s * way[1], s * way[0] + c * way[1]])
            label = standing(at + (reach + gap) / scale * u, text, u, size, layer)
            if not reach:
                yield (label,)
                continue
            tip = at + (reach + 0.5 * gap) / scale * u
            yield label, Stroke(ArcPath.polyline(np.stack([at, tip])), Layer.MARK, Pen.THIN)


def standing(at: Floats, text: str, way: Floats, size: float, layer: Layer) -> Label:
    """Level text whose side or corner that faces back along `way` is at a point."""
    anchor: Anchor = "left" if way[0] > 0.35 else "right" if way[0] < -0.35 else "centre"
    level: Level = "base" if way[1] > 0.35 else "top" if way[1] < -0.35 else "middle"
    return Label(float(at[0]), float(at[1]), text, size, anchor, level, layer=layer)


def notes(points: Sequence[tuple[Floats, Floats]], text: str, scale: float) -> Iterator[Group]:
    """Places for a note on a shelf.

    Parameters
    ----------
    points : places it may point at, each with the unit vector its leader best comes from.
    text : what to write.
    scale : paper millimetres per model millimetre.
    """
    for length in (12.0, 17.0, 24.0, 32.0):
        for point, way in points:
            heading = math.atan2(way[1], way[0])
            for turn in (25, -25, 50, -50, 70, -70, 5, -5):
                angle = heading + math.radians(turn)
                dx, dy = length * math.cos(angle), length * math.sin(angle)
                if abs(dx) >= 3.0 and abs(dy) >= 2.0:
                    yield tuple(note(point, text, scale=scale, dx=dx, dy=dy))
