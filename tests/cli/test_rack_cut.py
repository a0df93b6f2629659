"""`overbend rack`: what lies there, booking a plan on it, and undoing that; boards in `check`."""

import json

import pytest
from typer.testing import CliRunner

from overbend.cli import app
from overbend.cli.rack_input import span
from overbend.errors import UnitError
from overbend.ledger import Board, open_ledger
from support.pieces import HEAD

PROJECT = (
    HEAD
    + """
[part.rail]
kind = "straight"
wood = "maple"
section = [22, 40]
length = 610
count = 4
"""
    + "".join(
        f"[shop.machine.{name}]\nleast_length = 150\nleast_width = 15\nleast_thickness = 2\n"
        for name in ("surfacing", "thicknessing")
    )
    + """
[shop.machine.saw]
least_length = 150
least_width = 15
least_thickness = 2
depth = 100
resaw_depth = 200

[[shop.yard]]
name = "maple 27"
wood = "maple"
length = 2150
width = 97
thickness = 27
price = 18.5
"""
)
BOARD = (
    "--species", "sugar maple", "--length", "1500", "--width", "95", "--thickness", "31",
    "--dried", "kiln", "--defect", "700-745 mm", "--name", "one knot", "--on", "2026-05-02",
)  # fmt: skip


def run(*args, **more):
    return CliRunner().invoke(app, [str(a) for a in args], **more)


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A project and an empty place for a ledger; commands run there."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("OVERBEND_LEDGER", str(tmp_path / "shop.sqlite"))
    (tmp_path / "stool.toml").write_text(PROJECT)
    return tmp_path


@pytest.fixture
def racked(shop):
    done = run("ledger", "board", *BOARD)
    assert done.exit_code == 0, done.output
    return shop


def held():
    with open_ledger() as ledger:
        return ledger.all_of(Board)


# -- boards ------------------------------------------------------------------------------
def test_the_rack_is_listed_with_what_cannot_be_used(racked):
    text = run("rack").stdout
    for word in ("one knot", "1500 mm", "700 to 745 mm", "sugar-maple", "2026-05-02"):
        assert word in text
    inches = run("rack", "--units", "in").stdout
    assert "27-9/16 to 29-11/32 in" in inches
    assert run("ledger", "out", "1").exit_code == 0
    assert "no board lies on the rack" in run("rack").stdout


def test_without_a_ledger_nothing_is_made(shop):
    for command in (("rack",), ("rack", "undo", "--yes")):
        done = run(*command)
        assert done.exit_code == 1
        assert "no ledger here yet" in done.stderr
    assert not (shop / "shop.sqlite").exists()


@pytest.mark.parametrize(
    ("text", "unit", "found"),
    [
        ("700-820 mm", "mm", (700.0, 820.0)),
        ("0 to 12 cm", "mm", (0.0, 120.0)),
        ("0-60", "mm", (0.0, 60.0)),
        ("70 cm - 820 mm", "mm", (700.0, 820.0)),
        ("27-1/2-32", "in", (698.5, 812.8)),
        ("27-1/2 in to 2' 8\"", "mm", (698.5, 812.8)),
        ("27 1/2 .. 32 in", "mm", (698.5, 812.8)),
    ],
)
def test_spans_as_makers_type_them(text, unit, found):
    assert span("--defect", text, unit) == pytest.approx(found)


@pytest.mark.parametrize(
    "text", ["", "700", "820-700", "700 to", "27-1/2", "a-b", "700-700", "-5 to 20", "1 to 2 to 3",
             "3-5-7"]
)  # fmt: skip
def test_spans_that_are_none_are_refused(text):
    with pytest.raises(UnitError, match=r"--defect: .*(cannot read|two ways)") as error:
        span("--defect", text, "mm")
    assert "700-820 mm" in error.value.allowed


def test_a_defect_beyond_the_board_is_refused(shop):
    done = run("ledger", "board", *BOARD[:-6], "--defect", "1600-1700")
    assert done.exit_code == 1
    assert "cannot use defects" in done.stderr


# -- what check says ---------------------------------------------------------------------
def test_check_names_boards_and_says_what_the_rack_saves(racked):
    plain, learnt = run("check", "stool.toml"), run("check", "stool.toml", "--learnt")
    assert plain.exit_code == learnt.exit_code == 0
    assert "boards to buy: 1 of maple 27, together 18.50, proven to be the least" in plain.stdout
    assert "choosing boards" in plain.stderr
    assert "choosing boards" not in plain.stdout
    assert "from the rack: board 1 (one knot)" in learnt.stdout


def test_check_says_what_boards_wait_for(shop):
    (shop / "stool.toml").write_text(PROJECT.replace("least_width = 15\n", "", 1))
    done = run("check", "stool.toml")
    assert done.exit_code == 0
    assert "boards: not chosen until what waits for you is typed" in done.stdout
    assert "  - Boards: type the least length, width and thickness of the surfacing" in done.stdout


def test_a_part_longer_than_any_board_is_said_and_is_no_failure(shop):
    (shop / "stool.toml").write_text(PROJECT.replace("length = 2150", "length = 700"))
    done = run("check", "stool.toml")
    assert done.exit_code == 0
    assert "rail blanks: 670 mm is longer than any board gives" in done.stdout


# -- booking -----------------------------------------------------------------------------
def test_booking_says_what_it_does_asks_and_can_be_undone(racked):
    before = held()
    no = run("rack", "commit", "stool.toml", input="n\n")
    assert no.exit_code == 1
    assert "leaves the rack: board 1 (one knot)" in no.stdout
    assert "Nothing was changed." in no.stdout
    assert held() == before
    done = run("rack", "commit", "stool.toml", "--on", "2026-06-01", input="y\n")
    assert done.exit_code == 0, done.output
    boards = dict(held())
    assert boards[1].out_on == "2026-06-01"
    came = [n for n, b in boards.items() if not b.out_on]
    assert all(f"write on it: board {n} (Test piece, off-cut" in done.stdout for n in came)
    assert run("rack", "undo", input="n\n").exit_code == 1
    assert dict(held()) == boards
    back = run("rack", "undo", "--yes")
    assert back.exit_code == 0
    assert "lies on the rack again: board 1 (one knot)" in back.stdout
    assert held() == before
    assert "no cutting plan is booked" in run("rack", "undo", "--yes").stderr


def test_a_bought_board_leaves_only_its_offcut_on_the_rack(shop):
    done = run("rack", "commit", "stool.toml", "--yes")
    assert done.exit_code == 0, done.output
    assert "bought and cut up: 1 of maple 27" in done.stdout
    boards = [b for _, b in held()]
    assert all(b.off_cut_of == "maple 27 no. 1, bought, for Test piece" for b in boards)
    assert (boards[0].species, boards[0].dried, boards[0].moisture) == ("sugar-maple", "kiln", 8.0)


def test_a_second_booking_is_refused_before_it_asks(shop):
    assert run("rack", "commit", "stool.toml", "--yes").exit_code == 0
    twice = run("rack", "commit", "stool.toml")
    assert twice.exit_code == 1
    assert "nothing was changed" in twice.stderr
    assert "Go on" not in twice.stdout
    assert run("rack", "commit", "stool.toml", "--again", "--yes").exit_code == 0


def test_a_printed_plan_is_booked_as_it_was_printed(racked):
    data = json.loads(run("plan", "stool.toml", "--json", "--learnt").stdout)
    board = next(b for b in data["cutting"]["saw_plan"]["boards"])
    board["offcuts"] = [
        {"name": "off-cut 1", "x_mm": 760.0, "y_mm": 0.0, "length_mm": 613.0, "width_mm": 95.0,
         "thickness_mm": 31.0}
    ]  # fmt: skip
    folder = racked / "stool-book"
    folder.mkdir()
    (folder / "plan.json").write_text(json.dumps(data))
    for project in ("stool.toml", "stool-book"):
        done = run("rack", "commit", project, "--yes")
        assert done.exit_code == 0, done.output
        assert ("As printed in stool-book." in done.stdout) == (project == "stool.toml")
        assert 613.0 in [b.length for _, b in held()]
        run("rack", "undo", "--yes")
    (racked / "stool.toml").write_text(PROJECT + "# changed since\n")
    assert "As printed" not in run("rack", "commit", "stool.toml", "--yes").stdout


@pytest.mark.parametrize(
    ("content", "word"),
    [(None, "plan cannot be read"), ("{", "plan cannot be read"), ("[1]", "holds no plan"),
     ('{"cutting": null}', "no cutting plan to book")],
)  # fmt: skip
def test_a_folder_without_a_plan_is_said_plainly(shop, content, word):
    folder = shop / "other"
    folder.mkdir()
    if content is not None:
        (folder / "plan.json").write_text(content)
    done = run("rack", "commit", folder, "--yes")
    assert done.exit_code == 1
    assert word in done.stderr
    assert "Traceback" not in done.output
    assert not (shop / "shop.sqlite").exists()


def test_a_project_that_waits_for_something_books_nothing(shop):
    (shop / "stool.toml").write_text(PROJECT.replace("length = 2150", "length = 700"))
    done = run("rack", "commit", "stool.toml", "--yes")
    assert done.exit_code == 1
    assert "no cutting plan to book" in done.stderr
    assert "overbend check says what it waits for" in done.stderr
