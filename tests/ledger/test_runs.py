"""Steam days in the ledger: kept whole, events once, in exports of any version."""

import json

import pytest

from overbend.errors import LedgerError
from overbend.ledger import Board, Run, RunEvent, Trial, export_json, import_json, open_ledger

RUN = Run(project="Rocker", piece="rocker/rocker", begun_at=1.7e9, plan='{"batches":[]}')


def event(letter, **more):
    return RunEvent(
        **{"uid": letter * 16, "at": 1.7e9 + 5.0, "what": "tick", "step": "fire"} | more
    )


def test_a_day_and_its_events_are_read_back_in_order_of_time(ledger):
    number = ledger.add(RUN)
    later, sooner = event("a", at=1.7e9 + 9.0), event("b", what="note", text="hiss")
    ledger.log(number, [later, sooner])
    assert dict(ledger.all_of(Run))[number] == RUN.model_copy(update={"events": (sooner, later)})


def test_an_event_sent_twice_is_there_once_as_it_first_was(ledger):
    number = ledger.add(RUN)
    ledger.log(number, [event("a")])
    ledger.log(number, [event("a", at=1.7e9 + 99.0), event("b")])
    assert [(e.uid[0], e.at) for e in dict(ledger.all_of(Run))[number].events] == [
        ("a", 1.7e9 + 5.0), ("b", 1.7e9 + 5.0)
    ]  # fmt: skip


def test_the_same_name_on_two_days_is_two_events(ledger):
    first = ledger.add(RUN)
    second = ledger.add(Run(project="Rocker", piece="rocker/rocker", begun_at=1.7e9, plan="{}"))
    ledger.log(first, [event("a")])
    ledger.log(second, [event("a")])
    assert [len(run.events) for _, run in ledger.all_of(Run)] == [1, 1]


def test_a_day_that_is_not_there_takes_nothing(ledger):
    with pytest.raises(LedgerError, match="no steam day 7"):
        ledger.log(7, [event("a")])


def test_days_go_out_and_in(ledger, tmp_path):
    ledger.log(ledger.add(RUN), [event("a"), event("b", what="cracked", text="ash 10")])
    with open_ledger(tmp_path / "other.sqlite") as other:
        assert import_json(other, export_json(ledger)).added == 1
        assert other.all_of(Run) == ledger.all_of(Run)


def test_an_export_from_before_days_were_kept_is_read(ledger):
    data = json.loads(export_json(ledger))
    old = {k: v for k, v in data.items() if k not in ("runs", "cuts")} | {"version": 1}
    assert import_json(ledger, json.dumps(old)).added == 0
    with pytest.raises(LedgerError, match="missing or unknown: cuts, runs"):
        import_json(ledger, json.dumps(old | {"version": data["version"]}))


def test_a_record_entered_by_mistake_is_taken_out(ledger):
    board = Board(species="white-ash", length=900.0, width=90.0, thickness=27.0)
    kept = board.model_copy(update={"uid": "c" * 32})
    first, second = ledger.add(board), ledger.add(kept)
    ledger.remove(Board, first)
    assert [n for n, _ in ledger.all_of(Board)] == [second]
    with pytest.raises(LedgerError, match="no number"):
        ledger.remove(Board, first)


def test_what_a_trial_was_made_from_stays(ledger):
    board = Board(species="white-ash", length=900.0, width=90.0, thickness=27.0)
    number = ledger.add(board)
    bent = {"species": "white-ash", "treatment": "steam", "thickness": 20.0, "form_radius": 390.0}
    ledger.add(Trial(**bent, board=board.uid))
    with pytest.raises(LedgerError, match="trial bend was made from"):
        ledger.remove(Board, number)
    assert len(ledger.all_of(Board)) == 1
