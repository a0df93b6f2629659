"""The ledger's simple shelves: boards, forms, clamps; what a record says in a line."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from overbend.ledger import Board, Clamps, Form, Record
from overbend.units import Display, format_force, format_length
from overbend.web.shop.entry import Entry, wood_name
from overbend.web.words import words

__all__ = ["SHELVES", "Shelf", "today"]

DRIED = ("", "kiln", "air", "green")
SIDES = ("concave", "convex")


@dataclass(frozen=True)
class Shelf:
    """One kind of thing in the shop.

    Parameters
    ----------
    name : of its table, and in its address.
    record : its class.
    entries : the fields of its form.
    line : title of a record, and what else there is to say.
    gone : the key that says when it left; "" where it is only taken out.
    """

    name: str
    record: type[Record]
    entries: tuple[Entry, ...]
    line: Callable[[Any, Display], tuple[str, list[str]]]
    gone: str = ""


def today() -> str:
    """Today, as the ledger keeps days."""
    return datetime.date.today().isoformat()


def _known(key: str, value: str, **more: object) -> list[str]:
    """A phrase of the catalogue, when there is a value."""
    return [words(key, value=value, **more)] if value else []


def _board(board: Board, display: Display) -> tuple[str, list[str]]:
    sizes = [format_length(v, display, unit=False) for v in (board.length, board.width)]
    size = " × ".join([*sizes, format_length(board.thickness, display)])
    moisture = "" if board.moisture is None else f"{board.moisture:g} %"
    dried = words(f"shop.dried.{board.dried}") if board.dried else ""
    facts = [
        *[t for t in (dried, moisture) if t],
        *_known("shop.at", board.place),
        *_extras(board, display),
        *_known("shop.since", board.in_on),
        *_known("shop.cost", "" if board.cost is None else f"{board.cost:g}"),
        *_known("shop.gone", board.out_on),
    ]
    name = wood_name(board.species)
    title = f"{name[:1].upper()}{name[1:]}, {size}"
    title = words("shop.called", title=title, name=board.name) if board.name else title
    return title, facts + ([board.note] if board.note else [])


def _extras(board: Board, display: Display) -> list[str]:
    """What cannot be used of a board, whether it is planed, and what it is left of."""
    spans = [
        words(
            "shop.span", low=format_length(a, display, unit=False), high=format_length(b, display)
        )
        for a, b in board.defects
    ]
    said = [words("shop.defects", spans=", ".join(spans))] if spans else []
    said += [words("shop.surfaced")] if board.surfaced else []
    return said + _known("shop.left", board.off_cut_of)


def _form(form: Form, display: Display) -> tuple[str, list[str]]:
    radius, chord = (
        "" if v is None else format_length(v, display) for v in (form.radius, form.chord)
    )
    rise = "" if form.rise is None else format_length(form.rise, display)
    facts = [
        *_known("shop.form.radius", radius),
        *_known("shop.form.chord", chord, rise=rise),
        words(f"shop.side.{form.side}.long"),
        *_known("shop.made", form.made_on),
        *_known("shop.gone", form.gone_on),
    ]
    return form.name, facts + ([form.note] if form.note else [])


def _clamps(clamps: Clamps, display: Display) -> tuple[str, list[str]]:
    facts = [
        words("shop.clamps.opens", value=format_length(clamps.opening, display)),
        words("shop.clamps.presses", value=format_force(clamps.force, display)),
    ]
    title = words("shop.clamps.title", count=clamps.count, name=clamps.name)
    return title, facts + ([clamps.note] if clamps.note else [])


SHELVES: Mapping[str, Shelf] = {
    "boards": Shelf(
        "boards",
        Board,
        (
            Entry("species", "wood", needed=True),
            Entry("length", "length", needed=True),
            Entry("width", "length", needed=True),
            Entry("thickness", "length", needed=True),
            Entry("dried", "choice", DRIED),
            Entry("moisture", "number"),
            Entry("defects", "spans"),
            Entry("surfaced", "yes"),
            Entry("name"),
            Entry("place"),
            Entry("in_on", "day"),
            Entry("cost", "number"),
            Entry("note", "note"),
        ),
        _board,
        "out_on",
    ),
    "forms": Shelf(
        "forms",
        Form,
        (
            Entry("name", needed=True),
            Entry("side", "choice", SIDES, needed=True),
            Entry("radius", "length"),
            Entry("chord", "length"),
            Entry("rise", "rise"),
            Entry("made_on", "day"),
            Entry("note", "note"),
        ),
        _form,
        "gone_on",
    ),
    "clamps": Shelf(
        "clamps",
        Clamps,
        (
            Entry("name", needed=True),
            Entry("count", "whole", needed=True),
            Entry("opening", "length", needed=True),
            Entry("force", "force", needed=True),
            Entry("note", "note"),
        ),
        _clamps,
    ),
}
"""Shelves by name, in the order of the page."""
