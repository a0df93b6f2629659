"""What opens below the boards to buy: diagrams, settings, the yard's list, the shop's numbers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args

from overbend.book.chapters.boards_setups import setup_table
from overbend.draw.board_sheet import board_drawings
from overbend.plan import Cutting
from overbend.project.yard import PricePer
from overbend.stock import SawPlan
from overbend.units import Display
from overbend.web.pictures import page_svg
from overbend.web.sections.at import At
from overbend.web.sentence import Piece, Pieces, block, picture, sentence, table
from overbend.web.words import words

__all__ = [
    "diagrams", "lists", "machine_numbers", "offcuts", "rules", "setups", "yard", "yard_form",
]  # fmt: skip

Block = dict[str, Any]

_SIZES = ("length", "width", "thickness")
_CSV = (
    ("buying.csv", "cutting.csv.buying"),
    ("cuts.csv", "cutting.csv.cuts"),
    ("sheet-cuts.csv", "cutting.csv.sheets"),
)


def diagrams(cutting: Cutting, display: Display) -> Iterator[Block]:
    """Faces of the boards, ends of the lengths, sheets."""
    yield block("heading", words("cutting.diagrams"))
    for name, drawing in board_drawings(cutting, display):
        yield {**picture(page_svg(drawing), name), "natural": True}


def setups(at: At, cutting: Cutting, plan: SawPlan) -> Iterator[Block]:
    """Settings of the machines in the order the wood goes through them."""
    made = setup_table(cutting, plan, at.say)
    yield block("heading", words("cutting.setups"))
    yield table(made.header[1:], [row[1:] for row in made.rows], (1, 2), made.caption)


def offcuts(at: At, cutting: Cutting) -> Iterator[Block]:
    """Remainders worth keeping, with the name to write on each."""
    rows = [
        (
            kept.name,
            f"{at.say.bare(kept.offcut.length)} × {at.say.bare(kept.offcut.width)} × "
            f"{at.say.length(kept.offcut.thickness)}",
        )
        for kept in cutting.kept
    ]
    if rows:
        yield block("heading", words("cutting.offcuts"))
        yield table([words("cutting.offcut.name"), words("cutting.offcut.size")], rows, (1,))


def lists(cutting: Cutting) -> Iterator[Block]:
    """The same as files."""
    pieces: Pieces = []
    for file, key in _CSV:
        if file == "sheet-cuts.csv" and not (cutting.sheets and cutting.sheets.panels):
            continue
        pieces += [", "] if pieces else []
        pieces.append({"file": file, "text": words(key)})
    yield block("heading", words("cutting.lists"))
    yield block("text", pieces)


# -- what the shop has ---------------------------------------------------------------------
def yard(at: At) -> Block:
    """The yard's list, every value of it to be changed."""
    heads = ["name", "wood", *_SIZES, "price", "per", "count"]
    rows = [_row(at, i, board.name) for i, board in enumerate(at.plan.project.shop.yard)]
    return table([*(words(f"cutting.yard.{h}") for h in heads), ""], rows, (2, 3, 4, 5, 7))


def _row(at: At, i: int, name: str) -> list[Piece | Pieces]:
    def label(what: str) -> str:
        return words("cutting.yard.label", what=words(f"cutting.yard.{what}"), board=name)

    key, fields = f"shop.yard.{i}", at.fields
    woods = [(wood, wood) for wood in at.plan.project.wood]
    per = [(p, words(f"cutting.per.{p}")) for p in get_args(PricePer)]
    count = fields.number(f"{key}.count", label("count"))
    if fields.said(f"{key}.count") is None:
        count["text"] = words("cutting.yard.any")
    out: Piece = {
        "act": "remove", "key": "shop.yard", "index": i, "text": words("curves.remove"),
        "label": words("cutting.yard.remove", board=name),
    }  # fmt: skip
    return [
        fields.number(f"{key}.name", label("name")),
        fields.choice(f"{key}.wood", label("wood"), woods),
        *(fields.number(f"{key}.{size}", label(size)) for size in _SIZES),
        fields.number(f"{key}.price", label("price")),
        fields.choice(f"{key}.price_per", label("per"), per),
        count,
        out,
    ]


def yard_form(at: At) -> Block:
    """A form for one more board."""
    per = [[p, words(f"cutting.per.{p}")] for p in get_args(PricePer)]
    count = len(at.plan.project.shop.yard)
    return {
        "kind": "yard", "key": f"shop.yard.{count}" if count else "shop.yard", "list": count == 0,
        "woods": list(at.plan.project.wood), "per": per,
        "unit": at.say.unit, "own": at.plan.project.units,
    }  # fmt: skip


def machine_numbers(at: At) -> Iterator[Block]:
    """Least sizes of each machine and depths of the saw, to be typed from the manuals."""
    for machine in ("saw", "surfacing", "thicknessing"):
        key, name = f"shop.machine.{machine}", words(f"cutting.machine.{machine}")
        numbers: dict[str, Piece] = {
            size: at.fields.number(
                f"{key}.least_{size}", words(f"cutting.machine.{size}", machine=name)
            )
            for size in _SIZES
        }
        yield block("text", sentence("cutting.machine", machine=name, **numbers))
    rip = at.fields.number("shop.machine.saw.depth", words("cutting.machine.rip"))
    resaw = at.fields.number("shop.machine.saw.resaw_depth", words("cutting.machine.resaw"))
    yield block("text", sentence("cutting.machine.depth", rip=rip, resaw=resaw))


def rules(at: At) -> Iterator[Block]:
    """How the shop cuts, and how long the search may take."""
    keys = {
        "kerf": "shop.saw_kerf", "ends": "shop.cutting.end_trim",
        "edges": "shop.cutting.edge_trim", "faces": "shop.cutting.face_trim",
        "long": "shop.cutting.keep_length", "wide": "shop.cutting.keep_width",
    }  # fmt: skip
    numbers: dict[str, Piece] = {
        name: at.fields.number(key, words(f"cutting.rules.{name}")) for name, key in keys.items()
    }
    yield block("text", sentence("cutting.rules", **numbers))
    seconds = at.fields.number("shop.cutting.seconds", words("cutting.seconds.label"))
    yield block("text", sentence("cutting.seconds", seconds=seconds))
