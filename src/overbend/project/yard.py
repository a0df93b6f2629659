"""Boards that can be bought, and how boards and sheets are cut."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from overbend.errors import ProjectError
from overbend.project.fields import Allowance, Flag, Reads, Table

__all__ = ["RACK_NAME", "Cutting", "PricePer", "YardBoard", "repeated_names"]

RACK_NAME = "board"
"""Boards on the ledger's rack are called this and their number."""

BoardSize = Annotated[float, Reads("length", 0.0, 1e5, above=True)]
"""A size of a board, above zero [mm]."""
Price = Annotated[float, Reads("number", 0.0, 1e8)]
"""A price of zero or more, in the shop's currency."""
InStock = Annotated[int, Reads("number", 0, 100_000, whole=True)]
"""A whole number from 0."""
SearchTime = Annotated[float, Reads("seconds", 0.1, 3600.0)]
"""How long a search may take [s]."""
PricePer = Literal["piece", "metre", "foot", "volume", "board-foot"]


class YardBoard(Table):
    """Boards of one kind that can be bought, as the yard lists them."""

    name: str = Field(
        min_length=1,
        max_length=60,
        description='What you call it, such as "ash 52"; printed on the cutting sheets.',
    )
    wood: str = Field(description="Name of a wood table.")
    length: BoardSize = Field(description="Length as sold.")
    width: BoardSize = Field(description="Width as sold.")
    thickness: BoardSize = Field(description="Thickness as sold.")
    price: Price = Field(description="Price, a plain number.")
    price_per: PricePer = Field(
        "piece",
        description="What the price is for: a piece, a metre or foot of its length, a cubic metre "
        "(volume), or a board foot.",
    )
    count: InStock | None = Field(
        None, description="How many there are. Left out: as many as are asked for."
    )
    surfaced: Flag = Field(
        False, description="Sold planed and straight: nothing comes off faces and edges."
    )


class Cutting(Table):
    """How boards are cut into strips and blanks, and sheets into layers of forms."""

    resaw_kerf: Allowance | None = Field(
        None, description="Width of a saw cut through a plank's thickness. Left out: the saw cut's."
    )
    end_trim: Allowance = Field(
        25.0,
        description="Cut off each end of a board, to square it and to get past the checks in its "
        "ends. Assumed: 25 mm.",
    )
    edge_trim: Allowance = Field(
        3.0,
        description="Taken off a board's width to make its edges straight, both together. "
        "Assumed: 3 mm.",
    )
    face_trim: Allowance = Field(
        2.0,
        description="Taken off a board's thickness to make its faces flat, both together. "
        "Assumed: 2 mm.",
    )
    keep_length: Allowance = Field(
        400.0,
        description="Shortest off-cut worth keeping; 0: none is kept. Assumed: 400 mm.",
    )
    keep_width: Allowance = Field(
        50.0,
        description="Narrowest off-cut worth keeping along a length that is ripped; 0: none is "
        "kept. Assumed: 50 mm.",
    )
    seconds: SearchTime = Field(
        5.0,
        description="How long the search for the boards that cost least may take [s]. Our "
        "choice: 5.",
    )
    sheet_kerf: Allowance | None = Field(
        None, description="Width of the cut in sheets. Left out: the saw cut's."
    )
    sheet_trim: Allowance = Field(
        10.0,
        description="Cut off each edge of a sheet. Common practice, no source: 10 mm.",
    )
    sheet_price: Price | None = Field(
        None, description="Price of one sheet, a plain number. Left out: sheets are only counted."
    )


def repeated_names(yard: tuple[YardBoard, ...]) -> Iterator[tuple[int, ProjectError]]:
    """Complain about rows of the yard's list that cannot be told apart, each with its place.

    Parameters
    ----------
    yard : the rows.

    Examples
    --------
    >>> row = {"wood": "ash", "length": 3000, "width": 200, "thickness": 52, "price": 40}
    >>> rows = tuple(YardBoard.model_validate({"name": n, **row}) for n in ("ash 52", "Ash 52"))
    >>> [(i, error.problem) for i, error in repeated_names(rows)]
    [(1, "the name 'Ash 52' stands in the list twice")]
    """
    seen: set[str] = set()
    for i, row in enumerate(yard):
        key = " ".join(row.name.casefold().split())
        if key in seen:
            yield (
                i,
                ProjectError(
                    f"the name {row.name!r} stands in the list twice",
                    allowed="a name of its own for every row",
                ),
            )
        if key.startswith(f"{RACK_NAME} ") and key.removeprefix(f"{RACK_NAME} ")[:1].isdigit():
            yield (
                i,
                ProjectError(
                    f"the name {row.name!r} could be that of a board on the rack",
                    allowed=f"any other: those on the rack are called {RACK_NAME} and a number",
                ),
            )
        seen.add(key)
