"""A cutting plan booked on the rack: boards leave it, off-cuts enter it, as one step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from overbend.errors import LedgerError, OverbendError
from overbend.ledger.records import Board, Cut, read_record
from overbend.ledger.state import rack_name
from overbend.ledger.store import Ledger

__all__ = [
    "Booked",
    "Booking",
    "book",
    "booked_before",
    "booking_of",
    "check_booking",
    "last_cut",
    "undo",
]

_AGAIN = "make the book again with --learnt, so that its plan is of the rack as it is"


@dataclass(frozen=True)
class Booking:
    """What a cutting plan does to the rack.

    Parameters
    ----------
    project, fingerprint : of the project file it was made from.
    used : boards that leave the rack: uid and name in the plan.
    kept : off-cuts that enter it; `cut_from` is set where they are left of a board of the rack.
    bought : boards bought and cut up, by name; they never lie on the rack.
    """

    project: str
    fingerprint: str
    used: tuple[tuple[str, str], ...]
    kept: tuple[Board, ...]
    bought: Mapping[str, int]


@dataclass(frozen=True)
class Booked:
    """A step that was carried out or undone: names of boards that left and that came."""

    project: str
    left: tuple[str, ...]
    came: tuple[str, ...]


# -- from the plan ---------------------------------------------------------------------
def booking_of(data: Mapping[str, Any], where: str) -> Booking:
    """Read what a plan does to the rack from its plain data, as ``plan --json`` prints it.

    Parameters
    ----------
    data : of the whole plan.
    where : what it is called in messages.

    Raises
    ------
    LedgerError
        When it holds no cutting plan, or one that cannot be read.
    """
    try:
        plan = (data.get("cutting") or {}).get("saw_plan")
        if not plan or not plan["boards"]:
            raise LedgerError(
                "there is no cutting plan to book",
                where,
                todo="overbend check says what it waits for",
            )
        return _booking(data, where)
    except (KeyError, TypeError, AttributeError) as error:
        raise LedgerError(
            "the cutting plan cannot be read", where, todo="make the book again"
        ) from error


def _booking(data: Mapping[str, Any], where: str) -> Booking:
    cutting = data["cutting"]
    supply = {row["name"]: row for row in cutting["supply"]}
    boards: list[Mapping[str, Any]] = cutting["saw_plan"]["boards"]
    bought: dict[str, int] = {}
    used: dict[str, str] = {}
    kept: list[Board] = []
    for board in boards:
        row = supply[board["stock"]]
        if row["rack_uid"] is None:
            bought[row["name"]] = bought.get(row["name"], 0) + 1
        else:
            used[row["rack_uid"]] = row["name"]
        kept += (_left(data["project"], row, board, off, where) for off in board["offcuts"])
    return Booking(
        data["project"], data["fingerprint"], tuple(used.items()), tuple(kept), bought
    )  # fmt: skip


def _left(
    project: str, row: Mapping[str, Any], board: Mapping[str, Any], off: Mapping[str, Any],
    where: str,
) -> Board:  # fmt: skip
    """Record of an off-cut."""
    on_rack = row["rack_uid"] is not None
    source = row["name"] if on_rack else f"{row['name']} no. {board['number']}, bought"
    values = {
        "species": row["species"],
        "dried": row["dried"],
        "moisture": row["moisture_pct"],
        "surfaced": row["surfaced"],
        "name": f"{project}, {off['name']}",
        "off_cut_of": f"{source}, for {project}",
        "cut_from": row["rack_uid"],
        **{size: off[f"{size}_mm"] for size in ("length", "width", "thickness")},
    }
    return read_record(Board, values, f"{where}, {off['name']}")


# -- on the ledger ---------------------------------------------------------------------
def booked_before(ledger: Ledger, fingerprint: str) -> Cut | None:
    """Last step booked of the same project file; None when there is none."""
    return next((c for _, c in reversed(ledger.all_of(Cut)) if c.fingerprint == fingerprint), None)


def check_booking(ledger: Ledger, booking: Booking, *, again: bool = False) -> None:
    """Refuse a plan that was booked before, or whose boards do not lie on the rack.

    Raises
    ------
    LedgerError
        Saying which.
    """
    before = booked_before(ledger, booking.fingerprint)
    if before is not None and not again:
        raise LedgerError(
            f"this plan of {booking.project} was booked on {before.cut_on}; nothing was changed",
            str(ledger.path),
            todo="overbend rack undo takes that back; --again books it once more, for a second "
            "piece",
        )
    there = {board.uid for _, board in ledger.all_of(Board) if not board.out_on}
    gone = [name for uid, name in booking.used if uid not in there]
    if gone:
        raise LedgerError(
            f"not on the rack any more: {', '.join(gone)}", str(ledger.path), todo=_AGAIN
        )


def book(ledger: Ledger, booking: Booking, on: str, *, again: bool = False) -> Booked:
    """Book a cutting plan: all of it, or nothing.

    Parameters
    ----------
    ledger : open.
    booking : what the plan does.
    on : day, such as 2026-05-17.
    again : whether the same plan may be booked a second time.

    Returns
    -------
    Names of the boards that left and of the off-cuts that came, with their new numbers.

    Raises
    ------
    LedgerError
        As :func:`check_booking`, or when the file cannot be written.
    """
    kept = [board.model_copy(update={"in_on": on}) for board in booking.kept]
    used = [uid for uid, _ in booking.used]
    cut = {
        "project": booking.project,
        "fingerprint": booking.fingerprint,
        "cut_on": on,
        "used": used,
        "kept": [board.uid for board in kept],
        "note": _bought(booking.bought),
    }
    with ledger.writing():
        check_booking(ledger, booking, again=again)
        for number, board in _boards(ledger, used):
            ledger.replace(number, _on_day(board, on))
        came = tuple(rack_name(ledger.add(board), board) for board in kept)
        ledger.add(read_record(Cut, cut, booking.project))
    return Booked(booking.project, tuple(name for _, name in booking.used), came)


def _on_day(board: Board, day: str) -> Board:
    return read_record(Board, {**board.model_dump(), "out_on": day}, "day")


def _bought(bought: Mapping[str, int]) -> str:
    which = ", ".join(f"{n} of {name}" for name, n in bought.items())
    return f"bought and cut up: {which}"[:2000] if which else ""


def _boards(ledger: Ledger, uids: Sequence[str]) -> list[tuple[int, Board]]:
    return [(n, board) for n, board in ledger.all_of(Board) if board.uid in uids]


def last_cut(ledger: Ledger) -> tuple[int, Cut]:
    """Step that an undo takes back.

    Raises
    ------
    LedgerError
        When none is booked.
    """
    cuts = ledger.all_of(Cut)
    if not cuts:
        raise LedgerError("no cutting plan is booked", str(ledger.path))
    return cuts[-1]


def undo(ledger: Ledger, asked: int | None = None) -> Booked:
    """Take the last step back: its off-cuts go, the boards lie on the rack again.

    Parameters
    ----------
    ledger : open.
    asked : number of the step that was meant; None: whichever is the last.

    Returns
    -------
    Names of the off-cuts that left and of the boards that came back.

    Raises
    ------
    LedgerError
        When none is booked, when another one was booked meanwhile, when one of its off-cuts has
        left the rack or a trial bend was cut from it; nothing is changed then.
    """
    with ledger.writing():
        number, cut = last_cut(ledger)
        if asked not in (None, number):
            raise LedgerError("another plan was booked meanwhile", str(ledger.path))
        kept, used = _boards(ledger, cut.kept), _boards(ledger, cut.used)
        gone = [rack_name(n, board) for n, board in kept if board.out_on]
        if gone:
            raise LedgerError(
                f"off-cuts of it have left the rack since: {', '.join(gone)}; nothing was changed",
                str(ledger.path),
            )
        for n, board in kept:
            _taken_out(ledger, n, board)
        for n, board in used:
            ledger.replace(n, board.model_copy(update={"out_on": ""}))
        ledger.remove(Cut, number)
    names = [tuple(rack_name(n, board) for n, board in boards) for boards in (kept, used)]
    return Booked(cut.project, *names)


def _taken_out(ledger: Ledger, number: int, board: Board) -> None:
    try:
        ledger.remove(Board, number)
    except OverbendError as error:
        raise LedgerError(
            f"{rack_name(number, board)} was used since; nothing was changed",
            str(ledger.path),
            allowed="off-cuts that nothing was made from",
        ) from error
