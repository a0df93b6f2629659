"""Cutting diagrams of a plan: faces of boards, ends of lengths, sheets.

All of them are on paper millimetres, ready to be written at full size.
"""

from __future__ import annotations

from collections.abc import Iterable

from overbend.draw.board_end import end_drawing
from overbend.draw.board_face import face_drawing, face_scale
from overbend.draw.board_labels import (
    alike_boards,
    alike_ends,
    board_letters,
    lettered,
    listed,
    numbers_text,
)
from overbend.draw.drawing import Drawing
from overbend.draw.panel_sheet import alike_sheets, panel_drawing
from overbend.plan.cutting import Cutting
from overbend.stock import Panel
from overbend.units import Display

__all__ = [
    "PAGE",
    "SHEET",
    "board_drawings",
    "end_drawings",
    "face_drawings",
    "panel_letters",
    "sheet_drawings",
]

PAGE = 166.0
"""Width of a page that diagrams fit [mm]."""

SHEET = PAGE - 3.0
"""Width that sheets fit; numbers of cuts may stand beside them [mm]."""

_END = 160.0  # mm: ends are no wider, for the texts beside them
_MANY = 6  # names that are listed; more are counted


def board_drawings(cutting: Cutting, display: Display) -> list[tuple[str, Drawing]]:
    """Every cutting diagram with its name, for a page: equal ones once.

    Parameters
    ----------
    cutting : the cutting plan; nothing is drawn where it has no cuts.
    display : how lengths are shown.

    Returns
    -------
    Faces of the boards, then ends of the lengths, then sheets, each on paper millimetres.
    """
    draw = (face_drawings, end_drawings, sheet_drawings)
    return [named for some in draw for named in some(cutting, display)]


def face_drawings(cutting: Cutting, display: Display) -> list[tuple[str, Drawing]]:
    """Faces of the boards with their crosscuts, all at one scale."""
    groups = alike_boards(lettered(cutting))
    if not groups:
        return []
    scale = face_scale([g[0] for g in groups], PAGE)
    return [
        (
            f"Board{'s' if len(g) > 1 else ''} {_names(b.letter for b in g)}",
            face_drawing(g, cutting.shop, display, scale),
        )
        for g in groups
    ]


def end_drawings(cutting: Cutting, display: Display) -> list[tuple[str, Drawing]]:
    """Ends of the lengths, larger: how they are ripped and split."""
    return [
        (f"End of {_names(ends.names)}", end_drawing(ends, cutting.shop, display, _END))
        for ends in alike_ends(lettered(cutting))
    ]


def sheet_drawings(cutting: Cutting, display: Display) -> list[tuple[str, Drawing]]:
    """Sheets with their panels; none while something has to be typed first."""
    if cutting.sheets is None or cutting.sheet is None or cutting.result.holds:
        return []
    letters, sheet = panel_letters(cutting.panels), cutting.sheet
    return [
        (
            f"Sheet{'s' if len(numbers) > 1 else ''} {numbers_text(numbers)}",
            panel_drawing(panels, sheet, cutting.sheet_kerf, display, letters, SHEET),
        )
        for numbers, panels in alike_sheets(cutting.sheets.panels)
    ]


def panel_letters(panels: Iterable[Panel]) -> dict[str, str]:
    """A small letter for each kind of panel, by its name.

    Examples
    --------
    >>> panel_letters([Panel("arch form, layers", 900.0, 300.0, 4)])
    {'arch form, layers': 'a'}
    """
    return {panel.name: board_letters(n).lower() for n, panel in enumerate(panels)}


def _names(names: Iterable[str]) -> str:
    """Names in a row, the last of many counted."""
    every = list(names)
    if len(every) <= _MANY:
        return listed(every)
    return f"{', '.join(every[: _MANY - 1])} and {len(every) - _MANY + 1} more"
