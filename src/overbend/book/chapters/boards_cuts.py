"""At the saw: set-ups in order, boards to crosscut, ends to rip and split, strips into stacks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby, zip_longest

from overbend.book.blocks import Block, Heading, NewPage, Pair, Picture, Table, Text, Whole
from overbend.book.chapters.boards_setups import setup_table
from overbend.book.chapters.pictures import scale_words
from overbend.book.say import Say
from overbend.draw.board_face import face_scale
from overbend.draw.board_labels import Ends, Lettered, alike_ends, lettered, numbers_text
from overbend.draw.board_sheet import PAGE, end_drawings, face_drawings
from overbend.draw.board_text import setting
from overbend.draw.drawing import Drawing
from overbend.draw.svg import to_svg
from overbend.plan.cutting import Cutting
from overbend.stock import Demand, Piece, SawPlan, planed

__all__ = ["cut_blocks", "strip_names"]

_TOGETHER = 18  # rows of a table that stay with their heading
_HALF = 80.0  # mm: drawings no wider stand two in a row

THIN_STRIPS = (
    "The cautions for machines at the end of this book go first. Take a thin strip off on the "
    "side of the blade away from the fence, against a stop, with a featherboard before the blade; "
    "nothing thin is held between blade and fence."
)


def cut_blocks(cutting: Cutting, saw_plan: SawPlan, say: Say) -> list[Block]:
    """Everything that is needed at the saw.

    Parameters
    ----------
    cutting : the cutting plan.
    saw_plan : its boards and cuts.
    say : how lengths are shown.
    """
    boards = lettered(cutting)
    return [
        NewPage(),
        Heading("Set-ups, in this order"),
        Text(THIN_STRIPS, "caution"),
        setup_table(cutting, saw_plan, say),
        *_crosscuts(cutting, boards, say),
        *_ends(cutting, boards, say),
        *_stacks(cutting, boards),
    ]


# -- crosscuts -----------------------------------------------------------------------------
def _crosscuts(cutting: Cutting, boards: Sequence[Lettered], say: Say) -> list[Block]:
    scale = scale_words(face_scale(boards, PAGE))
    how = (
        f"Faces of the boards, {scale}, in {say.unit_word}. Write each board's letter on its "
        "marked end, drawn with a black bar, and mark its left edge as you look from that end. "
        "Every mark is measured from the marked end. The black lines are saw cuts: they lie "
        "beyond the mark, in the waste. Hatched is waste, crossed a defect. Write the names on "
        "the lengths before you saw."
    )
    drawn = face_drawings(cutting, say.display)
    return _opened("Crosscut the boards", how, [_picture(d) for _, d in drawn])


def _opened(title: str, how: str, rows: Sequence[Block]) -> list[Block]:
    """Heading and text that stay with the first of what they are about."""
    return [Whole([Heading(title), Text(how), *rows[:1]]), *rows[1:]]


def _picture(drawing: Drawing) -> Picture:
    return Picture(to_svg(drawing, margin=1.0, theme="print", wide=0.35))


# -- ends ----------------------------------------------------------------------------------
def _ends(cutting: Cutting, boards: Sequence[Lettered], say: Say) -> list[Block]:
    how = (
        f"Ends of the lengths, in {say.unit_word}, before planing: seen from the marked end, the "
        "face up, the marked edge on the left. Under each stands how many bars of which width "
        "are ripped, from the marked edge on, and what each of them is split to. Write the "
        "length's name and the number on every strip as it leaves the saw: number 3 of B1 is "
        "B1-3."
    )
    kinds = {d.name: d for d in cutting.demands}
    drawn = end_drawings(cutting, say.display)
    whole: list[list[Block]] = []
    halves: list[list[Block]] = []
    for ends, (_, drawing) in zip(alike_ends(boards), drawn, strict=True):
        x0, _, x1, _ = drawing.extent(1.0)
        blocks: list[Block] = [_picture(drawing), _numbers(ends, kinds, say)]
        (halves if x1 - x0 <= _HALF else whole).append(blocks)
    rows: list[Block] = [Whole(blocks) for blocks in whole]
    pairs = zip_longest(halves[::2], halves[1::2], fillvalue=())
    rows += [Whole([Pair(left, right)]) for left, right in pairs]
    return _opened("Rip and split the lengths", how, rows)


def _numbers(ends: Ends, kinds: dict[str, Demand], say: Say) -> Table:
    """Which numbers are which part, and their sizes."""
    groups: dict[str, list[tuple[int, Piece]]] = {}
    for number, piece in enumerate(ends.first.cut.pieces, start=1):
        groups.setdefault(piece.demand, []).append((number, piece))
    rows = []
    for name, numbered in groups.items():
        kind, piece = kinds[name], numbered[0][1]
        sides = sorted((piece.across, piece.through), reverse=True)
        sawn = " x ".join(setting(side, say.display) for side in sides)
        rows.append((
            numbers_text(n for n, _ in numbered), name, sawn,
            setting(kind.thickness, say.display) if planed(piece, kind) else "not planed",
        ))  # fmt: skip
    return Table(("Number", "For", "Sawn to", "Planed to"), rows, (2, 3), size=9.0)


# -- stacks --------------------------------------------------------------------------------
def _stacks(cutting: Cutting, boards: Sequence[Lettered]) -> list[Block]:
    how = (
        "Strips of one stack come from as few boards as the cuts allow, so that colour and grain "
        "agree. Spares and blanks go where they are needed."
    )
    names = strip_names(boards)
    rest = _rest(cutting, names)
    parts = dict.fromkeys(d.part for d in cutting.demands if d.part and d.per_part)
    tables = [_stack_table(part, cutting, names) for part in parts]
    others = "Others" if parts else "For"
    tables += [Table((others, "Strips"), rest, (), size=9.5)] if rest else []
    opening: list[Block] = [Heading("Strips by name"), *([Text(how)] if parts else [])]
    if len(tables[0].rows) <= _TOGETHER:
        opening = [Whole([*opening, tables.pop(0)])]
    return [*opening, *tables]


Key = tuple[str, int, bool]
"""Name of a demand, number of the stack or 0, whether it is more than asked for."""


def strip_names(boards: Iterable[Lettered]) -> dict[Key, str]:
    """Names of all strips by what they are for, such as "A1-1 to 7".

    Parameters
    ----------
    boards : with their letters.
    """
    found: dict[Key, list[tuple[str, int]]] = {}
    for board in boards:
        for length in board.lengths:
            for number, piece in enumerate(length.cut.pieces, start=1):
                key = (piece.demand, piece.stack, piece.extra)
                found.setdefault(key, []).append((length.name, number))
    return {key: _joined(named) for key, named in found.items()}


def _joined(named: Iterable[tuple[str, int]]) -> str:
    """Names of strips, those of one length together."""
    return "; ".join(
        f"{name}-{numbers_text(n for _, n in group)}"
        for name, group in groupby(named, key=lambda pair: pair[0])
    )


def _stack_table(part: str, cutting: Cutting, names: dict[Key, str]) -> Table:
    """Strips of each stack of a part, a column for each kind."""
    kinds = [d.name for d in cutting.demands if d.part == part and d.per_part]
    stacks = sorted({stack for name, stack, _ in names if name in kinds and stack})
    rows = [
        (f"{part} {stack}", *(names.get((kind, stack, False), "") for kind in kinds))
        for stack in stacks
    ]
    return Table(("Stack", *kinds), rows, (), size=9.5 if len(kinds) < 4 else 8.5)


def _rest(cutting: Cutting, names: dict[Key, str]) -> list[tuple[str, str]]:
    """Spares, blanks, and strips beyond those asked for."""
    order = {d.name: n for n, d in enumerate(cutting.demands)}
    kinds = {d.name: d for d in cutting.demands}
    keys = sorted((k for k in names if not k[1]), key=lambda k: (order[k[0]], k[2]))
    return [(_for_what(kinds[key[0]], key[2]), names[key]) for key in keys]


def _for_what(demand: Demand, extra: bool) -> str:
    if extra:
        return f"{demand.name}, more than asked for"
    return f"{demand.name}, spare" if demand.per_part else demand.name
