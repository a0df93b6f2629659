"""The ledger's file: versions, foreign files, locks, full disks, two writers, a killed one."""

import os
import sqlite3
import subprocess
import sys
import time

import pytest

from overbend.errors import LedgerError, TrialError
from overbend.ledger import Board, Clamps, Measurement, Trial, default_path, open_ledger
from overbend.ledger.migrations import APPLICATION_ID, MIGRATIONS

CLAMPS = Clamps(name="bar", count=4, opening=300.0, force=900.0)


def pragma(path, name):
    with sqlite3.connect(path) as connection:
        value = connection.execute(f"PRAGMA {name}").fetchone()[0]
    connection.close()
    return value


# -- what is written is read back --------------------------------------------------------
def test_every_kind_is_read_back_as_it_was(place, every_kind):
    with open_ledger(place) as ledger:
        numbers = [ledger.add(record) for record in every_kind]
    with open_ledger(place) as ledger:
        held = [r for kind in dict.fromkeys(map(type, every_kind)) for _, r in ledger.all_of(kind)]
    assert held == list(every_kind)
    assert numbers == [1, 1, 1, 1, 1, 2, 3, 1]


def test_the_file_says_what_it_is(place):
    open_ledger(place).close()
    assert pragma(place, "application_id") == APPLICATION_ID
    assert pragma(place, "user_version") == len(MIGRATIONS)
    assert pragma(place, "journal_mode") == "wal"
    assert pragma(place, "integrity_check") == "ok"


def test_a_trial_is_measured_again_and_taken_out(ledger, trial):
    number = ledger.add(trial())
    more = ledger.measure(number, Measurement(after_hours=240.0, radius=421.0))
    assert [m.radius for m in more.measurements] == [415.0, 421.0]
    assert ledger.trial(number) == more
    ledger.remove_trial(number)
    assert ledger.all_of(Trial) == ()
    assert ledger.add(trial()) == number + 1  # a number is never given twice


def test_a_measurement_that_contradicts_its_trial_changes_nothing(ledger, trial):
    number = ledger.add(trial())
    with pytest.raises(TrialError):
        ledger.measure(number, Measurement(after_hours=1.0, radius=300.0))
    assert len(ledger.trial(number).measurements) == 1


def test_a_contradictory_trial_is_not_kept(ledger, trial):
    with pytest.raises(TrialError):
        ledger.add(trial(broken=True))
    assert ledger.all_of(Trial) == ()


def test_numbers_that_are_not_there(ledger, trial):
    ledger.add(trial())
    for act in (lambda: ledger.trial(7), lambda: ledger.remove_trial(7),
                lambda: ledger.measure(7, Measurement(after_hours=1.0, radius=400.0))):  # fmt: skip
        with pytest.raises(LedgerError, match="no trial bend 7") as error:
            act()
        assert "1" in error.value.allowed


def test_a_record_twice_or_tied_to_nothing_is_refused(ledger, trial):
    board = Board(species="white-ash", length=900.0, width=90.0, thickness=27.0)
    ledger.add(board)
    for record in (board, trial(board="0" * 32), trial(form="f" * 32)):
        with pytest.raises(LedgerError, match="there already, or refers to"):
            ledger.add(record)
    assert ledger.all_of(Trial) == ()


def test_a_record_is_replaced_in_its_place(ledger):
    board = Board(species="white-ash", length=900.0, width=90.0, thickness=27.0)
    number = ledger.add(board)
    gone = board.model_copy(update={"out_on": "2026-05-20"})
    ledger.replace(number, gone)
    assert ledger.all_of(Board) == ((number, gone),)
    with pytest.raises(LedgerError, match="no number 5"):
        ledger.replace(5, gone)


def test_a_block_is_written_whole_or_not_at_all(ledger, trial):
    def half():
        with ledger.writing():
            ledger.add(CLAMPS)
            ledger.add(trial(board="0" * 32))

    with pytest.raises(LedgerError):
        half()
    assert ledger.all_of(Clamps) == ()


# -- where it lies -----------------------------------------------------------------------
def test_the_usual_place_can_be_named(monkeypatch, tmp_path):
    monkeypatch.setenv("OVERBEND_LEDGER", str(tmp_path / "mine.sqlite"))
    assert default_path() == tmp_path / "mine.sqlite"
    monkeypatch.delenv("OVERBEND_LEDGER")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_path().name == "ledger.sqlite"
    assert "overbend" in default_path().parts


def test_the_usual_place_is_made(monkeypatch, tmp_path):
    monkeypatch.setenv("OVERBEND_LEDGER", str(tmp_path / "a" / "b" / "mine.sqlite"))
    open_ledger().close()
    assert (tmp_path / "a" / "b" / "mine.sqlite").exists()


def test_a_named_folder_is_not_made(tmp_path):
    with pytest.raises(LedgerError, match="no such folder"):
        open_ledger(tmp_path / "typo" / "shop.sqlite")


def test_reading_does_not_make_a_ledger(place):
    with pytest.raises(LedgerError, match="no ledger here yet"):
        open_ledger(place, make=False)
    assert not place.exists()


# -- files that are no ledger ------------------------------------------------------------
@pytest.mark.parametrize(
    "content", [b"species,radius\nash,400\n", b"\x00" * 4096, b"SQLite format 3\x00" + b"x" * 5000]
)
def test_garbage_is_refused_and_left_alone(place, content):
    place.write_bytes(content)
    with pytest.raises(LedgerError, match=r"not an? .*ledger|damaged"):
        open_ledger(place)
    assert place.read_bytes() == content


def test_somebody_elses_database_is_refused_and_left_alone(place):
    with sqlite3.connect(place) as other:
        other.execute("CREATE TABLE songs (name TEXT)")
        other.execute("INSERT INTO songs VALUES ('one')")
    other.close()
    before = place.read_bytes()
    with pytest.raises(LedgerError, match="not an Overbend ledger"):
        open_ledger(place)
    assert place.read_bytes() == before


def test_an_empty_file_becomes_a_ledger(place):
    place.touch()
    with open_ledger(place) as ledger:
        assert ledger.all_of(Trial) == ()


def test_a_folder_is_refused(tmp_path):
    with pytest.raises(LedgerError, match="cannot be opened"):
        open_ledger(tmp_path)


def test_a_cut_off_ledger_is_refused(place, trial):
    with open_ledger(place) as ledger:
        for _ in range(40):
            ledger.add(trial(note="x" * 1500))
    whole = place.read_bytes()
    place.write_bytes(whole[: len(whole) // 2 // 4096 * 4096])
    with pytest.raises(LedgerError, match="damaged"), open_ledger(place) as ledger:
        ledger.all_of(Trial)


def test_a_row_that_no_record_can_be_is_named(place, trial):
    with open_ledger(place) as ledger:
        ledger.add(trial())
    with sqlite3.connect(place) as other:
        other.execute("UPDATE trial_bends SET bent_on = 'yesterday'")
    other.close()
    with (
        open_ledger(place) as ledger,
        pytest.raises(LedgerError, match="trial_bends, number 1: cannot use bent_on 'yesterday'"),
    ):
        ledger.all_of(Trial)


# -- versions ----------------------------------------------------------------------------
MORE = (*MIGRATIONS, ("ALTER TABLE clamps ADD COLUMN jaw REAL",))


def test_a_newer_ledger_is_refused_and_left_alone(place):
    open_ledger(place, steps=MORE).close()
    before = place.read_bytes()
    newer = f"version {len(MORE)}, written by a newer Overbend"
    with pytest.raises(LedgerError, match=newer) as error:
        open_ledger(place)
    assert f"up to version {len(MIGRATIONS)}" in error.value.allowed
    assert place.read_bytes() == before


def test_an_older_ledger_is_brought_up_to_date(place):
    with open_ledger(place) as ledger:
        ledger.add(CLAMPS)
    open_ledger(place, steps=MORE).close()
    assert pragma(place, "user_version") == len(MORE)
    with sqlite3.connect(place) as plain:
        assert plain.execute("SELECT name, jaw FROM clamps").fetchall() == [("bar", None)]
    plain.close()


def test_a_step_that_fails_half_way_leaves_the_old_version(place):
    with open_ledger(place) as ledger:
        ledger.add(CLAMPS)
    broken = (*MIGRATIONS, ("ALTER TABLE clamps ADD COLUMN jaw REAL", "DROP TABLE nonsense"))
    with pytest.raises(LedgerError, match="no such table: nonsense"):
        open_ledger(place, steps=broken)
    assert pragma(place, "user_version") == len(MIGRATIONS)
    with open_ledger(place) as ledger:
        assert [c for _, c in ledger.all_of(Clamps)] == [CLAMPS]


# -- troubles while writing --------------------------------------------------------------
def test_a_locked_ledger_waits_a_bounded_time_and_says_so(place):
    open_ledger(place).close()
    other = sqlite3.connect(place, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        with open_ledger(place, wait=0.3) as ledger:
            start = time.monotonic()
            with pytest.raises(LedgerError, match="another program is writing"):
                ledger.add(CLAMPS)
            assert 0.2 < time.monotonic() - start < 20.0
            assert ledger.all_of(Clamps) == ()  # reading goes on meanwhile
            other.execute("ROLLBACK")
            ledger.add(CLAMPS)
    finally:
        other.close()


def test_a_ledger_locked_for_good_cannot_be_opened(place):
    other = sqlite3.connect(place, isolation_level=None)
    other.execute("BEGIN EXCLUSIVE")
    try:
        with pytest.raises(LedgerError, match="another program is writing"):
            open_ledger(place, wait=0.2)
    finally:
        other.close()


def test_a_full_disk_loses_nothing(place, trial):
    with open_ledger(place) as ledger:
        ledger.add(trial(note="before"))
        pages = ledger._connection.execute("PRAGMA page_count").fetchone()[0]
        ledger._connection.execute(f"PRAGMA max_page_count = {pages + 1}")
        fill = (ledger.add(trial(note="x" * 1900)) for _ in range(200))
        with pytest.raises(LedgerError, match="the disk is full"):
            list(fill)
        kept = len(ledger.all_of(Trial))
    with open_ledger(place) as ledger:
        trials = [t for _, t in ledger.all_of(Trial)]
        assert len(trials) == kept >= 1
        assert trials[0].note == "before"
        assert all(len(t.measurements) == 1 for t in trials)  # no trial without what was measured
        ledger.add(trial(note="after"))
    assert pragma(place, "integrity_check") == "ok"


def test_a_ledger_that_may_not_be_written_says_so(ledger):
    ledger._connection.execute("PRAGMA query_only = ON")
    with pytest.raises(LedgerError, match="may be read but not written"):
        ledger.add(CLAMPS)


@pytest.mark.skipif(os.geteuid() == 0, reason="a superuser writes everywhere")
def test_a_read_only_folder_says_so(tmp_path):
    tmp_path.chmod(0o555)
    try:
        with pytest.raises(LedgerError, match=r"cannot be opened|not written"):
            open_ledger(tmp_path / "shop.sqlite")
    finally:
        tmp_path.chmod(0o755)


@pytest.mark.skipif(sys.platform != "linux", reason="needs a folder nobody can write to")
def test_a_folder_nobody_can_write_to_says_so():
    from pathlib import Path

    with pytest.raises(LedgerError, match="the ledger cannot be opened here"):
        open_ledger(Path("/proc/overbend-ledger.sqlite"))


# -- several programs --------------------------------------------------------------------
WRITER = """
import sys
from pathlib import Path
from overbend.ledger import Measurement, Trial, open_ledger
path, name, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
with open_ledger(path, wait=60.0) as ledger:
    for i in range(count):
        ledger.add(Trial(species="white-ash", treatment="steam", thickness=20.0, form_radius=390.0,
            who=name, note=str(i), measurements=(Measurement(after_hours=1.0, radius=400.0),)))
        print(i, flush=True)
"""


def writer(path, name, count, **options):
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), name, str(count)],
        stdout=subprocess.PIPE,
        text=True,
        **options,
    )


def test_two_programs_write_side_by_side(place):
    """They also both make the file, which is not there yet."""
    both = [writer(place, name, 25) for name in ("first", "second")]
    assert [p.communicate(timeout=120) and p.returncode for p in both] == [0, 0]
    with open_ledger(place) as ledger:
        trials = [t for _, t in ledger.all_of(Trial)]
    for name in ("first", "second"):
        assert [t.note for t in trials if t.who == name] == [str(i) for i in range(25)]
    assert all(len(t.measurements) == 1 for t in trials)


@pytest.mark.parametrize("after", [1, 7])
def test_a_program_killed_while_writing_leaves_a_good_file(place, after):
    with writer(place, "killed", 100000) as killed:
        for _ in range(after):
            said = int(killed.stdout.readline())
        killed.kill()
    with open_ledger(place) as ledger:
        trials = [t for _, t in ledger.all_of(Trial)]
        assert [t.note for t in trials] == [str(i) for i in range(len(trials))]
        assert len(trials) > said
        assert all(len(t.measurements) == 1 for t in trials)
        ledger.add(CLAMPS)
    assert pragma(place, "integrity_check") == "ok"


def test_a_transaction_never_finished_is_as_if_it_never_was(place):
    """Killed between writing and keeping: neither of its records is there."""
    script = """
import os, signal, sys
from pathlib import Path
from overbend.ledger import Clamps, open_ledger
with open_ledger(Path(sys.argv[1])) as ledger, ledger.writing():
    for name in ("one", "two"):
        ledger.add(Clamps(name=name, count=1, opening=100.0, force=100.0))
    os._exit(9)
"""
    done = subprocess.run([sys.executable, "-c", script, str(place)], check=False, timeout=120)
    assert done.returncode == 9
    with open_ledger(place) as ledger:
        assert ledger.all_of(Clamps) == ()
