"""What `overbend ledger show` says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from overbend.cli.trial_text import table
from overbend.units import Display, format_force, format_length

if TYPE_CHECKING:
    from overbend.ledger import Adhesive, Board, Build, Clamps, Form, Ledger

__all__ = ["NOUNS", "told_ledger"]

NOUNS = {
    "boards": "board",
    "forms": "form",
    "clamps": "clamps",
    "adhesives": "adhesive",
    "trial_bends": "trial bend",
    "builds": "build",
}
"""What a record of each table is called."""


def told_ledger(ledger: Ledger, display: Display) -> str:
    """List what a ledger holds, trial bends counted only.

    Parameters
    ----------
    ledger : open.
    display : how lengths are shown.
    """
    return "\n\n".join(_parts(ledger, display))


def _parts(ledger: Ledger, display: Display) -> Iterator[str]:
    from overbend.ledger import Adhesive, Board, Build, Clamps, Form, Trial

    with ledger.reading():
        yield f"{ledger.path}: {len(ledger.all_of(Trial))} trial bends"
        boards = [_board(n, b, display) for n, b in ledger.all_of(Board)]
        forms = [_form(n, f, display) for n, f in ledger.all_of(Form)]
        clamps = [_clamps(n, c, display) for n, c in ledger.all_of(Clamps)]
        glues = [_adhesive(n, a) for n, a in ledger.all_of(Adhesive)]
        builds = [_build(n, b) for n, b in ledger.all_of(Build)]
    heads: list[tuple[tuple[str, ...], Sequence[Sequence[str]]]] = [
        (("board", "wood", "length", "width", "thickness", "dried", "place", "in", "out"), boards),
        (("form", "name", "part's face", "radius", "made", "note"), forms),
        (("clamps", "name", "count", "opening", "force of one"), clamps),
        (("adhesive", "kind", "name", "grams", "use by"), glues),
        (("build", "project", "version", "pieces", "finished", "hours"), builds),
    ]
    for head, rows in heads:
        if rows:
            yield table(head, rows)


def _board(number: int, board: Board, display: Display) -> tuple[str, ...]:
    sizes = (format_length(v, display) for v in (board.length, board.width, board.thickness))
    dried = board.dried + ("" if board.moisture is None else f" {board.moisture:g} %")
    return (
        str(number), board.species, *sizes, dried.strip(), board.place, board.in_on, board.out_on
    )  # fmt: skip


def _form(number: int, form: Form, display: Display) -> tuple[str, ...]:
    radius = "" if form.radius is None else format_length(form.radius, display)
    return str(number), form.name, form.side, radius, form.made_on, form.note


def _clamps(number: int, clamps: Clamps, display: Display) -> tuple[str, ...]:
    opening, force = format_length(clamps.opening, display), format_force(clamps.force, display)
    return str(number), clamps.name, str(clamps.count), opening, force


def _adhesive(number: int, glue: Adhesive) -> tuple[str, ...]:
    grams = "" if glue.grams is None else f"{glue.grams:g}"
    return str(number), glue.kind, glue.name, grams, glue.use_by


def _build(number: int, build: Build) -> tuple[str, ...]:
    hours = "" if build.hours is None else f"{build.hours:g}"
    return (
        str(number), build.project, build.fingerprint, str(build.pieces), build.finished_on, hours
    )  # fmt: skip
