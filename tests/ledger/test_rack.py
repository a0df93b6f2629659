"""Cutting plans booked on the rack: whole or not at all, once, and undone."""

import json
import sqlite3

import pytest

from overbend.errors import LedgerError
from overbend.ledger import (
    Board,
    Cut,
    book,
    booking_of,
    export_json,
    import_json,
    last_cut,
    open_ledger,
    rack_name,
    read_record,
    shop_state,
    undo,
)
from overbend.ledger.migrations import MIGRATIONS

DAY = "2026-06-01"


def make_board(**changes):
    values = {
        "species": "sugar-maple", "length": 2100.0, "width": 165.0, "thickness": 52.0,
        "dried": "kiln", "moisture": 7.5, "in_on": "2026-05-01", "place": "north wall",
    }  # fmt: skip
    return Board(**values | changes)


@pytest.fixture
def boards(ledger):
    """Two boards on the rack: one plain, one with a knot."""
    found = (make_board(), make_board(length=1400.0, defects=((300.0, 355.0),), name="knotty"))
    for board in found:
        ledger.add(board)
    return found


def supply(name, uid=None):
    return {
        "name": name, "species": "sugar-maple", "dried": "kiln", "moisture_pct": 8.0,
        "surfaced": False, "rack_uid": uid,
    }  # fmt: skip


def offcut(number, length=640.0):
    return {
        "name": f"off-cut {number}", "x_mm": 30.0, "y_mm": 0.0, "length_mm": length,
        "width_mm": 165.0, "thickness_mm": 52.0,
    }  # fmt: skip


def plan_data(boards, *, fingerprint="0123456789ab"):
    """Boards of the rack and two bought ones are cut; the first of each leave an off-cut."""
    names = [rack_name(i + 1, board) for i, board in enumerate(boards)]
    return {
        "project": "Low stool",
        "fingerprint": fingerprint,
        "cutting": {
            "supply": [
                *(supply(n, b.uid) for n, b in zip(names, boards, strict=True)),
                supply("maple 52"),
            ],
            "saw_plan": {
                "boards": [
                    *({"stock": n, "number": 1, "offcuts": [offcut(1)]} for n in names[:1]),
                    *({"stock": n, "number": 1, "offcuts": []} for n in names[1:]),
                    {"stock": "maple 52", "number": 1, "offcuts": [offcut(2, 510.0)]},
                    {"stock": "maple 52", "number": 2, "offcuts": []},
                ]
            },
        },
    }


@pytest.fixture
def booking(boards):
    return booking_of(plan_data(boards), "stool-book")


def everything(ledger):
    return ledger.all_of(Board), ledger.all_of(Cut)


# -- boards ------------------------------------------------------------------------------
def test_a_board_keeps_its_defects_its_name_and_how_it_was_sold(ledger):
    board = make_board(defects=((0.0, 60.0), (700.0, 820.5)), surfaced=True, name="left of door")
    ledger.add(board)
    assert ledger.all_of(Board) == ((1, board),)
    (held,) = shop_state(ledger).boards
    assert (held.name, held.label) == ("board 1 (left of door)", "left of door")
    assert (held.defects, held.surfaced, held.uid) == (board.defects, True, board.uid)
    assert not held.off_cut


@pytest.mark.parametrize("span", [(300.0, 200.0), (200.0, 200.0), (-5.0, 20.0), (2100.0, 2200.0)])
def test_a_defect_that_is_on_no_board_is_refused(span):
    values = make_board().model_dump() | {"defects": (span,)}
    with pytest.raises(LedgerError, match="cannot use defects") as error:
        read_record(Board, values, "board")
    assert "from a smaller to a larger length" in error.value.allowed


def test_a_defect_may_reach_the_boards_end():
    assert make_board(defects=((2000.0, 2200.0),)).defects == ((2000.0, 2200.0),)


def test_a_list_that_is_no_list_is_named(place):
    with open_ledger(place) as ledger:
        ledger.add(make_board())
    with sqlite3.connect(place) as other:
        other.execute("UPDATE boards SET defects = 'some'")
    other.close()
    with open_ledger(place) as ledger, pytest.raises(LedgerError, match="cannot use defects"):
        ledger.all_of(Board)


@pytest.mark.parametrize("version", [1, 2])
def test_boards_of_an_older_ledger_stay_as_they_were(place, version):
    open_ledger(place, steps=MIGRATIONS[:version]).close()
    with sqlite3.connect(place) as old:
        old.execute(
            "INSERT INTO boards (uid, species, length, width, thickness, dried, place, in_on, "
            "out_on, note) VALUES (?, 'red-oak', 900, 90, 27, 'air', '', '', '', 'old')",
            ("c" * 32,),
        )
    old.close()
    with open_ledger(place) as ledger:
        ((number, board),) = ledger.all_of(Board)
        assert ledger.all_of(Cut) == ()
    assert (number, board.note, board.defects, board.cut_from) == (1, "old", (), None)


def test_an_export_of_the_first_version_is_taken(ledger, boards, tmp_path):
    data = json.loads(export_json(ledger))
    data["version"] = 1
    del data["cuts"], data["runs"]
    for board in data["boards"]:
        for key in ("name", "surfaced", "defects", "off_cut_of", "cut_from"):
            del board[key]
    with open_ledger(tmp_path / "second.sqlite") as second:
        assert import_json(second, json.dumps(data)).added == 2
        assert [b.length for _, b in second.all_of(Board)] == [2100.0, 1400.0]


# -- booking -----------------------------------------------------------------------------
def test_boards_leave_and_offcuts_come(ledger, boards, booking):
    done = book(ledger, booking, DAY)
    assert done.left == ("board 1", "board 2 (knotty)")
    assert done.came == ("board 3 (Low stool, off-cut 1)", "board 4 (Low stool, off-cut 2)")
    held = dict(ledger.all_of(Board))
    assert [held[n].out_on for n in (1, 2, 3, 4)] == [DAY, DAY, "", ""]
    assert held[3].in_on == DAY
    assert (held[3].length, held[3].width, held[3].cut_from) == (640.0, 165.0, boards[0].uid)
    assert held[3].off_cut_of == "board 1, for Low stool"
    assert (held[4].length, held[4].cut_from) == (510.0, None)
    assert held[4].off_cut_of == "maple 52 no. 1, bought, for Low stool"
    ((_, cut),) = ledger.all_of(Cut)
    assert cut.used == tuple(b.uid for b in boards)
    assert cut.kept == (held[3].uid, held[4].uid)
    assert cut.note == "bought and cut up: 2 of maple 52"
    assert [b.name for b in shop_state(ledger).boards] == list(done.came)
    assert all(b.off_cut for b in shop_state(ledger).boards)


def test_a_second_time_is_refused_unless_asked_for(ledger, boards):
    bought_only = booking_of(plan_data(()), "stool.toml")
    book(ledger, bought_only, DAY)
    before = everything(ledger)
    with pytest.raises(LedgerError, match=f"was booked on {DAY}; nothing was changed") as error:
        book(ledger, bought_only, DAY)
    assert "--again" in error.value.todo
    assert everything(ledger) == before
    again = booking_of(plan_data(()), "stool.toml")
    book(ledger, again, DAY, again=True)
    assert len(ledger.all_of(Cut)) == 2


def test_a_board_that_lies_there_no_more_is_named(ledger, boards, booking):
    book(ledger, booking, DAY)
    before = everything(ledger)
    other = booking_of(plan_data(boards, fingerprint="f" * 12), "other-book")
    with pytest.raises(LedgerError, match=r"not on the rack any more: board 1, board 2 \(knotty\)"):
        book(ledger, other, DAY)
    assert everything(ledger) == before


@pytest.mark.parametrize("after", [0, 1, 2, 3, 4])
def test_a_failure_in_the_middle_leaves_all_as_it_was(ledger, boards, booking, monkeypatch, after):
    """Two boards are replaced, then two off-cuts and the step are added."""
    before, done = everything(ledger), []

    def failing(name):
        real = getattr(ledger, name)

        def act(*args):
            if len(done) == after:
                raise RuntimeError("the plug was pulled")
            done.append(name)
            return real(*args)

        return act

    for name in ("replace", "add"):
        monkeypatch.setattr(ledger, name, failing(name))
    with pytest.raises(RuntimeError, match="plug"):
        book(ledger, booking, DAY)
    assert len(done) == after
    assert everything(ledger) == before
    monkeypatch.undo()
    assert len(book(ledger, booking, DAY).came) == 2


def test_a_day_that_is_none_changes_nothing(ledger, boards, booking):
    before = everything(ledger)
    with pytest.raises(LedgerError, match="yesterday"):
        book(ledger, booking, "yesterday")
    assert everything(ledger) == before


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"cutting": None},
        {"cutting": {"saw_plan": None}},
        {"cutting": {"saw_plan": {"boards": []}}},
        {"cutting": {"saw_plan": {"boards": [{"stock": "x"}]}, "supply": []}},
        {"cutting": {"saw_plan": 7}},
        {"cutting": [1]},
    ],
)
def test_what_holds_no_cutting_plan_is_refused(data):
    with pytest.raises(LedgerError, match=r"no cutting plan to book|cannot be read"):
        booking_of({"project": "x", "fingerprint": "y", **data}, "x-book")


def test_an_offcut_of_no_size_is_refused(boards):
    data = plan_data(boards)
    data["cutting"]["saw_plan"]["boards"][0]["offcuts"][0]["length_mm"] = -4
    with pytest.raises(LedgerError, match="cannot use length -4"):
        booking_of(data, "stool-book")


# -- undoing -----------------------------------------------------------------------------
def test_undo_brings_back_what_was(ledger, boards, booking):
    before = everything(ledger)
    book(ledger, booking, DAY)
    done = undo(ledger)
    assert everything(ledger) == before
    assert done.left == ("board 3 (Low stool, off-cut 1)", "board 4 (Low stool, off-cut 2)")
    assert done.came == ("board 1", "board 2 (knotty)")
    assert len(book(ledger, booking, DAY).came) == 2  # and it may be booked again


def test_undo_takes_the_last_step_first(ledger, boards, booking):
    book(ledger, booking, DAY)
    off = dict(ledger.all_of(Board))[3]
    second = plan_data(())
    second["project"] = "Bench"
    second["cutting"]["supply"].append(supply("board 3 (Low stool, off-cut 1)", off.uid))
    second["cutting"]["saw_plan"]["boards"] = [
        {"stock": "board 3 (Low stool, off-cut 1)", "number": 1, "offcuts": []}
    ]
    book(ledger, booking_of(second | {"fingerprint": "b" * 12}, "bench"), DAY)
    assert undo(ledger).project == "Bench"
    assert undo(ledger).project == "Low stool"
    with pytest.raises(LedgerError, match="no cutting plan is booked"):
        undo(ledger)


def test_undo_refuses_when_an_offcut_has_gone_or_was_used(ledger, boards, booking, trial):
    book(ledger, booking, DAY)
    held = dict(ledger.all_of(Board))
    ledger.replace(3, held[3].model_copy(update={"out_on": DAY}))
    before = everything(ledger)
    with pytest.raises(LedgerError, match=r"have left the rack since: board 3"):
        undo(ledger)
    assert everything(ledger) == before
    ledger.replace(3, held[3])
    ledger.add(trial(board=held[4].uid))
    before = everything(ledger)
    with pytest.raises(LedgerError, match=r"board 4 .* was used since; nothing was changed"):
        undo(ledger)
    assert everything(ledger) == before


def test_undo_of_another_step_than_was_meant_is_refused(ledger, boards, booking):
    book(ledger, booking, DAY)
    number, _ = last_cut(ledger)
    with pytest.raises(LedgerError, match="another plan was booked meanwhile"):
        undo(ledger, number - 1)
    assert undo(ledger, number).project == "Low stool"


def test_a_booked_step_goes_out_and_in_with_the_rest(ledger, boards, booking, tmp_path):
    book(ledger, booking, DAY)
    text = export_json(ledger)
    with open_ledger(tmp_path / "second.sqlite") as second:
        assert import_json(second, text).added == 5
        assert export_json(second) == text
        assert undo(second).project == "Low stool"
