"""`overbend ledger`: what the shop has, out and in again."""

import json

import pytest
from typer.testing import CliRunner

from overbend.cli import app
from overbend.ledger import Board, Clamps, Trial, open_ledger
from support.pieces import EXAMPLES

BOARD = (
    "board", "--species", "red oak", "--length", "8 ft", "--width", "150", "--thickness", "27",
    "--dried", "air", "--moisture", "14", "--on", "2026-04-30",
)  # fmt: skip
CLAMPS = ("clamps", "--name", "bar clamp", "--count", "12", "--opening", "600",
          "--force", "250 kgf")  # fmt: skip


@pytest.fixture
def shop(tmp_path):
    path = tmp_path / "shop.sqlite"

    def run(*args, ledger=path):
        return CliRunner().invoke(app, ["ledger", *map(str, args), "--ledger", str(ledger)])

    run.path = path
    return run


def test_every_kind_is_kept_and_shown(shop):
    stool = next(p for p in EXAMPLES if p.stem == "low-stool")
    for command in (
        BOARD, CLAMPS, ("form", "--name", "back slat", "--radius", "15-1/2 in"),
        ("adhesive", "--kind", "yellow glue", "--grams", "900", "--use-by", "2027-01-31"),
        ("build", stool, "--hours", "22.5", "--pieces", "2"),
    ):  # fmt: skip
        done = shop(*command)
        assert done.exit_code == 0, done.output
        assert f"1 is kept in {shop.path}" in done.stdout
    text = shop("show").stdout
    for word in ("0 trial bends", "2438.4 mm", "air 14 %", "393.7 mm", "2450 N", "900", "22.5"):
        assert word in text
    with open_ledger(shop.path) as ledger:
        (clamps,) = (c for _, c in ledger.all_of(Clamps))
    assert clamps.force == pytest.approx(2451.6625)


def test_a_board_goes_out_of_the_rack(shop):
    shop(*BOARD)
    assert shop("out", 1, "--on", "2026-05-20").exit_code == 0
    with open_ledger(shop.path) as ledger:
        ((number, board),) = ledger.all_of(Board)
    assert (number, board.out_on, board.in_on) == (1, "2026-05-20", "2026-04-30")
    done = shop("out", 2)
    assert done.exit_code == 1
    assert "there is no board 2" in done.stderr


def test_trials_know_their_board(shop):
    shop(*BOARD)
    done = CliRunner().invoke(app, [
        "trial", "add", "--species", "red oak", "--treatment", "steam", "--thickness", "20",
        "--form-radius", "390", "--board", "1", "--ledger", str(shop.path),
    ])  # fmt: skip
    assert done.exit_code == 0, done.output
    with open_ledger(shop.path) as ledger:
        ((_, board),), ((_, trial),) = ledger.all_of(Board), ledger.all_of(Trial)
    assert trial.board == board.uid


def test_out_and_in_again(shop, tmp_path):
    shop(*BOARD)
    shop(*CLAMPS)
    file, second = tmp_path / "shop.json", tmp_path / "second.sqlite"
    assert shop("export", file).exit_code == 0
    assert shop("import", file, ledger=second).stdout == "2 records added, 0 were there already\n"
    assert shop("export", ledger=second).stdout == file.read_text()
    assert shop("import", file).stdout == "0 records added, 2 were there already\n"


@pytest.mark.parametrize("command", [("export",), ("show",), ("out", 1)])
def test_without_a_ledger_nothing_is_made(shop, command):
    done = shop(*command)
    assert done.exit_code == 1
    assert "no ledger here yet" in done.stderr
    assert not shop.path.exists()


def test_bad_files_are_said_plainly(shop, tmp_path):
    bad = tmp_path / "bad.json"
    bad.write_text(json.dumps({"format": "songs"}))
    (tmp_path / "bytes.json").write_bytes(b"\xff\xfe\x00")
    for file, word in ((bad, "no export of a ledger"), (tmp_path / "none.json", "cannot be read"),
                       (tmp_path / "bytes.json", "cannot be read")):  # fmt: skip
        done = shop("import", file)
        assert done.exit_code == 1
        assert word in done.stderr
        assert "Traceback" not in done.output


def test_an_export_that_cannot_be_written_says_so(shop, tmp_path):
    shop(*CLAMPS)
    done = shop("export", tmp_path / "no folder" / "shop.json")
    assert done.exit_code == 1
    assert "cannot be written" in done.stderr


@pytest.mark.parametrize(
    ("command", "word"),
    [((*CLAMPS, "--count", "0"), "cannot use count 0"),
     ((*CLAMPS, "--opening", "wide"), "--opening: cannot read 'wide'"),
     ((*BOARD, "--species", "ook"), "no wood is called 'ook'"),
     ((*BOARD, "--dried", "sun"), "cannot use dried 'sun'"),
     (("form", "--name", "x", "--side", "left"), "cannot use side 'left'"),
     (("adhesive", "--kind", "spit"), "spit")],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused(shop, command, word):
    done = shop(*command)
    assert done.exit_code == 1
    assert word in done.stderr
