"""An independent check of nested sheets: sizes, counts, and that the saw can get at every panel."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from overbend.stock.records import whole
from overbend.stock.sheet_records import Nested, Panel, Sheet

__all__ = ["verify_sheets"]

Box = tuple[int, int, int, int]


def verify_sheets(
    nested: Sequence[Nested], panels: Sequence[Panel], sheet: Sheet, kerf: float
) -> tuple[str, ...]:
    """Say what is wrong with nested panels; empty when nothing is.

    Parameters
    ----------
    nested : where the panels lie.
    panels : what was asked for.
    sheet : that they are cut from.
    kerf : of the saw [mm].
    """
    faults = list(_counts(nested, panels, sheet))
    trim = whole(sheet.trim)
    room = (trim, trim, whole(sheet.length) - trim, whole(sheet.width) - trim)
    for number in sorted({n.sheet for n in nested}):
        boxes = [_box(n) for n in nested if n.sheet == number]
        outside = [b for b in boxes if b[0] < room[0] or b[1] < room[1]
                   or b[2] > room[2] or b[3] > room[3]]  # fmt: skip
        faults += [f"sheet {number}: a panel reaches out of the sheet" for _ in outside]
        if not _cuttable(boxes, whole(kerf)):
            faults.append(f"sheet {number}: no cut from edge to edge frees the panels")
    return tuple(faults)


def _box(nested: Nested) -> Box:
    x, y = whole(nested.x), whole(nested.y)
    return x, y, x + whole(nested.length), y + whole(nested.width)


def _counts(nested: Sequence[Nested], panels: Sequence[Panel], sheet: Sheet) -> Iterator[str]:
    cut = Counter(n.panel for n in nested)
    for panel in panels:
        if cut[panel.name] != panel.count:
            yield f"{cut[panel.name]} of {panel.name}, {panel.count} are asked for"
    kinds = {p.name: p for p in panels}
    for n in nested:
        kind = kinds.get(n.panel)
        if kind is None:
            yield f"{n.panel} is not asked for"
            continue
        size = (kind.width, kind.length) if n.turned else (kind.length, kind.width)
        if (whole(n.length), whole(n.width)) != (whole(size[0]), whole(size[1])):
            yield f"{n.panel} is {n.length:g} by {n.width:g} mm on the sheet"
        if n.turned and not kind.turns:
            yield f"{n.panel} may not be turned"
    if sheet.count is not None and len({n.sheet for n in nested}) > sheet.count:
        yield f"{len({n.sheet for n in nested})} sheets, there are {sheet.count}"


def _cuttable(boxes: Sequence[Box], kerf: int) -> bool:
    """Whether cuts from edge to edge, each a kerf wide, part all boxes."""
    if len(boxes) < 2:
        return True
    for low, high in ((0, 2), (1, 3)):
        ordered = sorted(boxes, key=lambda b: b[low])
        end = ordered[0][high]
        for n, box in enumerate(ordered[1:], start=1):
            if box[low] - end >= kerf:
                return _cuttable(ordered[:n], kerf) and _cuttable(ordered[n:], kerf)
            end = max(end, box[high])
    return False
