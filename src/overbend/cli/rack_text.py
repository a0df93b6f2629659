"""What `overbend ledger show` says."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from overbend.cli.trial_text import table
from overbend.units import Display, format_force, format_length

if TYPE_CHECKING:
    from overbend.ledger import (
        Adhesive,
        Board,
        Booked,
        Booking,
        Build,
        Clamps,
        Cut,
        Form,
        Ledger,
    )

__all__ = ["NOUNS", "told_booked", "told_booking", "told_ledger", "told_rack", "told_undoing"]

NOUNS = {
    "boards": "board",
    "forms": "form",
    "clamps": "clamps",
    "adhesives": "adhesive",
    "trial_bends": "trial bend",
    "builds": "build",
    "runs": "steam day",
    "cuts": "cutting",
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
    dried = board.dried + ("" if board.moisture is None else f" {board.moisture:g} %")
    return (
        str(number), board.species, *_sizes(board, display), dried.strip(), board.place,
        board.in_on, board.out_on,
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


# -- the rack --------------------------------------------------------------------------
def told_rack(ledger: Ledger, display: Display) -> str:
    """List the boards that lie on the rack.

    Parameters
    ----------
    ledger : open.
    display : how lengths are shown.
    """
    from overbend.ledger import Board

    boards = [(n, b) for n, b in ledger.all_of(Board) if not b.out_on]
    if not boards:
        return f"{ledger.path}: no board lies on the rack"
    head = (
        "board", "written on it", "wood", "length", "width", "thickness", "dried", "not usable",
        "place", "since", "off-cut of",
    )  # fmt: skip
    return table(head, [_on_rack(n, b, display) for n, b in boards])


def _on_rack(number: int, board: Board, display: Display) -> tuple[str, ...]:
    dried = board.dried + ("" if board.moisture is None else f" {board.moisture:g} %")
    planed = ", planed" if board.surfaced else ""
    return (
        str(number), board.name, board.species, *_sizes(board, display),
        f"{dried.strip()}{planed}".removeprefix(", "), _defects(board, display), board.place,
        board.in_on, board.off_cut_of,
    )  # fmt: skip


def _sizes(board: Board, display: Display) -> tuple[str, ...]:
    sizes = (board.length, board.width, board.thickness)
    return tuple(format_length(v, display) for v in sizes)


def _defects(board: Board, display: Display) -> str:
    return ", ".join(
        f"{format_length(a, display, unit=False)} to {format_length(b, display)}"
        for a, b in board.defects
    )


def told_booking(booking: Booking, display: Display) -> str:
    """Say what a cutting plan will do to the rack, before it is booked.

    Parameters
    ----------
    booking : what it does.
    display : how lengths are shown.
    """
    bought = [f"{n} of {name}" for name, n in booking.bought.items()]
    lines = [f"{booking.project}, {booking.fingerprint}"]
    lines += [f"  leaves the rack: {name}" for _, name in booking.used]
    lines += [f"  bought and cut up: {', '.join(bought)}"] if bought else []
    lines += [f"  comes to the rack: {b.name}, {_measures(b, display)}" for b in booking.kept]
    return "\n".join(lines if booking.kept else [*lines, "  no off-cut is worth keeping"])


def _measures(board: Board, display: Display) -> str:
    return " x ".join(_sizes(board, display)) + f", off-cut of {board.off_cut_of}"


def told_booked(done: Booked) -> str:
    """Say what was booked: new numbers are to be written on the off-cuts."""
    lines = [f"Booked: {done.project}, {len(done.left)} boards out, {len(done.came)} off-cuts in"]
    lines += [f"  write on it: {name}" for name in done.came]
    return "\n".join([*lines, "overbend rack undo takes this back."])


def told_undoing(ledger: Ledger, cut: Cut) -> str:
    """Say what taking a step back will do."""
    from overbend.ledger import Board, rack_name

    boards = ledger.all_of(Board)
    lines = [f"{cut.project}, booked on {cut.cut_on}"]
    for what, uids in (("goes", cut.kept), ("lies on the rack again", cut.used)):
        lines += [f"  {what}: {rack_name(n, b)}" for n, b in boards if b.uid in uids]
    return "\n".join(lines)
