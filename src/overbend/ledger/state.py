"""From the ledger to what the plan may use: what the shop has and has learnt."""

from __future__ import annotations

from overbend.bend.calibrate import SetLessons, SetTrial, learn_breaks, learn_set
from overbend.ledger.evidence import break_trial, set_trials
from overbend.ledger.records import Board, Clamps, Form, Trial
from overbend.ledger.store import Ledger
from overbend.project.shop_state import BoardHeld, ClampsHeld, FormHeld, ShopState
from overbend.project.yard import RACK_NAME

__all__ = ["rack_name", "set_lessons", "shop_state"]


def shop_state(ledger: Ledger) -> ShopState:
    """What a shop has and has learnt, from its ledger.

    Parameters
    ----------
    ledger : open.

    Raises
    ------
    LedgerError
        When it cannot be read.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> from overbend.ledger.records import Measurement
    >>> from overbend.ledger.store import open_ledger
    >>> bent = Trial(species="white-ash", treatment="steam", thickness=20.0, form_radius=390.0,
    ...     measurements=(Measurement(after_hours=240.0, radius=450.0),))
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with open_ledger(Path(folder) / "shop.sqlite") as ledger:
    ...         number = ledger.add(bent)
    ...         state = shop_state(ledger)
    >>> learnt = state.set_for("white-ash", "steam", 20.0, 0.05)
    >>> round(learnt.median, 2), learnt.trials
    (0.9, 1)
    """
    with ledger.reading():
        trials = [trial for _, trial in ledger.all_of(Trial)]
        boards, forms = ledger.all_of(Board), ledger.all_of(Form)
        clamps = ledger.all_of(Clamps)
    lessons, _ = set_lessons(trials)
    breaks = [said for trial in trials if (said := break_trial(trial)) is not None]
    return ShopState(
        lessons.cells,
        learn_breaks(breaks),
        tuple(_board(number, board) for number, board in boards if not board.out_on),
        tuple(FormHeld(f.name, f.side, f.radius, f.note) for _, f in forms if not f.gone_on),
        tuple(ClampsHeld(c.name, c.count, c.opening, c.force) for _, c in clamps),
        f"{len(trials)} trial bends in the ledger {ledger.path.name}",
    )


def set_lessons(trials: list[Trial]) -> tuple[SetLessons, list[tuple[Trial, SetTrial]]]:
    """What trials teach about set, and those that say something about it, in order."""
    used = set_trials(trials)
    return learn_set([said for _, said in used]), used


def rack_name(number: int, board: Board) -> str:
    """What a board on the rack is called: its number, and what is written on it.

    Examples
    --------
    >>> board = Board(species="white-ash", length=900.0, width=90.0, thickness=27.0, name="odd one")
    >>> rack_name(3, board)
    'board 3 (odd one)'
    """
    return f"{RACK_NAME} {number}" + (f" ({board.name})" if board.name else "")


def _board(number: int, board: Board) -> BoardHeld:
    return BoardHeld(
        rack_name(number, board),
        board.species,
        board.length,
        board.width,
        board.thickness,
        board.dried,
        board.moisture,
        board.place,
        board.defects,
        board.surfaced,
        board.name,
        board.uid,
        bool(board.off_cut_of),
    )
