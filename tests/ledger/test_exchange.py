"""Everything out as JSON and in again; a bad file changes nothing."""

import json

import pytest

from overbend.errors import LedgerError
from overbend.ledger import KINDS, Clamps, Trial, export_json, import_json, open_ledger
from overbend.ledger.exchange import FORMAT
from overbend.ledger.migrations import MIGRATIONS


@pytest.fixture
def full(ledger, every_kind):
    for record in every_kind:
        ledger.add(record)
    return ledger


@pytest.fixture
def other(tmp_path):
    with open_ledger(tmp_path / "other.sqlite") as opened:
        yield opened


def test_out_in_and_out_again_is_the_same_text(full, other, every_kind):
    text = export_json(full)
    done = import_json(other, text)
    assert (done.added, done.there) == (len(every_kind), 0)
    assert export_json(other) == text


def test_an_empty_ledger_goes_out_and_in(ledger, other):
    assert import_json(other, export_json(ledger)).added == 0


def test_importing_twice_changes_nothing(full):
    text = export_json(full)
    assert import_json(full, text).added == 0
    assert export_json(full) == text


def test_two_ledgers_are_joined(full, other, trial):
    mine = trial(note="mine")
    other.add(mine)
    import_json(other, export_json(full))
    notes = [t.note for _, t in other.all_of(Trial)]
    assert notes[0] == "mine"
    assert len(notes) == 4
    import_json(full, export_json(other))
    assert {t.uid for _, t in full.all_of(Trial)} == {t.uid for _, t in other.all_of(Trial)}


def test_the_text_tells_what_it_is(full):
    data = json.loads(export_json(full))
    assert data["format"] == FORMAT
    assert data["version"] == len(MIGRATIONS)
    assert {*data} == {"format", "version", *KINDS}
    assert [m["chord"] for m in data["trial_bends"][0]["measurements"]] == [610.0, None]


def changed(**parts):
    """Apply changes to an export; a value that can be called changes what is there."""

    def apply(data):
        for key, value in parts.items():
            data[key] = value(data[key]) if callable(value) else value
        return data

    return apply


def first(table, **values):
    return changed(**{table: lambda rows: [rows[0] | values, *rows[1:]]})


BAD = {
    "another format": (changed(format="songs"), "no export of a ledger"),
    "a newer version": (changed(version=len(MIGRATIONS) + 1), "an export of version"),
    "a version in words": (changed(version="1"), "an export of version '1'"),
    "a version that is true": (changed(version=True), "an export of version True"),
    "a missing table": (lambda d: {k: v for k, v in d.items() if k != "clamps"}, "clamps"),
    "an unknown table": (changed(songs=[]), "songs"),
    "a table that is no list": (changed(clamps={}), "clamps is not a list"),
    "a record that is no record": (changed(clamps=[7]), "clamps, number 1: cannot use 7"),
    "a missing key": (changed(boards=[{"uid": "a" * 32}]), "boards, number 1: species is missing"),
    "no uid": (changed(clamps=[{"name": "x"}]), "clamps, number 1: uid is missing"),
    "a uid of another kind": (first("clamps", uid="x"), "cannot use uid 'x'"),
    "an unknown key": (first("forms", colour="red"), "cannot use colour"),
    "a size of nothing": (first("boards", thickness=0.0), "cannot use thickness 0.0"),
    "a count that is no number": (first("clamps", count="4"), "cannot use count '4'"),
    "a count with a fraction": (first("clamps", count=4.5), "cannot use count 4.5"),
    "a number beyond all size": (first("clamps", opening=10**400), "cannot use opening"),
    "a negative time": (
        first("trial_bends", measurements=[{"after_hours": -1.0, "radius": 400.0}]),
        "trial_bends, number 1: cannot use measurements 1 after_hours -1.0",
    ),
    "a contradictory trial": (
        first("trial_bends", measurements=[{"after_hours": 1.0, "chord": 400.0, "rise": 250.0}]),
        "trial_bends, number 1: a rise of 250 mm over a chord of 400 mm",
    ),
    "a board that is nowhere": (first("trial_bends", board="0" * 32), "refers to what is not"),
    "one record twice": (changed(clamps=lambda rows: rows * 2), "stands there twice"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_refused_and_adds_nothing(full, other, name):
    change, word = BAD[name]
    bad = json.dumps(change(json.loads(export_json(full))))
    before = export_json(other)
    with pytest.raises(LedgerError) as error:
        import_json(other, bad, "shop.json")
    assert word in str(error.value)
    assert str(error.value).startswith(("shop.json", str(other.path)))
    assert export_json(other) == before


@pytest.mark.parametrize(
    "text",
    ["", "not json", "[]", "3", "[" * 100_000, '{"format": "overbend-ledger"}',
     '{"format": "x", "format": "overbend-ledger"}', '{"a": NaN}', '{"a": 1e999}'],
    ids=lambda t: t[:20],
)  # fmt: skip
def test_other_texts_are_refused(ledger, text):
    with pytest.raises(LedgerError):
        import_json(ledger, text)


def test_a_number_that_is_no_number_is_refused(full, other):
    text = export_json(full).replace("2438.4", "NaN")
    with pytest.raises(LedgerError, match="NaN is no number"):
        import_json(other, text)
    with pytest.raises(LedgerError, match="cannot use length inf"):
        import_json(other, export_json(full).replace("2438.4", "1e999"))


def test_a_record_that_differs_from_the_one_there_refuses_the_whole_file(full, other):
    text = export_json(full)
    import_json(other, text)
    data = json.loads(text)
    data["clamps"].append(data["clamps"][0] | {"uid": "c" * 32})
    data["boards"][0]["width"] = 151.0
    with pytest.raises(LedgerError, match=r"boards, number 1: record \w+ differs"):
        import_json(other, json.dumps(data))
    assert len(other.all_of(Clamps)) == 1
    assert export_json(other) == text
