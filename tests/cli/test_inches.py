"""A piece in inches: whatever is refused, waits or fails is printed in inches, names as typed."""

import json

import pytest
from typer.testing import CliRunner

from overbend.cli import app
from support.pieces import EXAMPLES, HEAD, SOLID
from support.us import METRIC, bare

STOOL = next(p for p in EXAMPLES if p.stem == "low-stool").read_text()
RADIUS = ('arch_radius = "7 in"', 'arch_radius = "1/4 in"')
SHORT = ('length = "8 ft"', 'length = "2 ft"')
SHEET = ("sheet = [96, 48]", "sheet = [20, 10]")
ROW = ('count = 5, span = "= top_flat - 0.25 in"', 'count = 5, span = "4 in"')
HEIGHT = ('part = "arch/2", height = 5', 'part = "arch/2", height = 50')
STATION = ("[part.top-slat.between]", "[curve.arch.stations]\nfar = 300\n\n[part.top-slat.between]")
TENON = ('kind = "mortise-tenon"', 'kind = "mortise-tenon"\nwidth = 3')
HOT = ('temperature = "68 F"', 'temperature = "400 F"')
NUMBER = ('width = "1-3/8"', 'width = "12 mm wide"')
TWICE = ('saw_kerf = "3/32"', 'saw_kerf = "40 mmm"\nspare = "12 mm"')
OPEN = ('[curve.arch]\nheading = "82 deg"', '[curve.arch]\nheading = "82 deg"\nfile = "a.dxf"')


def run(*args):
    return CliRunner().invoke(app, [str(a) for a in args])


@pytest.fixture
def stool(tmp_path):
    def made(*changes):
        text = STOOL.replace("[shop.cutting]", "[shop.cutting]\nseconds = 1")
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        file = tmp_path / "stool.toml"
        file.write_text(text)
        return file

    return made


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (RADIUS, "a mid-depth radius above 13/32 in (10.3188 mm)"),
        (ROW, "a span of 8-1/8 in (206.4 mm) or more"),
        (HEIGHT, "does not pass a height of 50 in"),
        (STATION, "station 'far' at 300 in (7620 mm)"),
        (TENON, "a tenon 3 in (76.2 mm) wide"),
        (HOT, "140 °F (60 °C) at most"),
    ],
    ids=["radius", "row", "height", "station", "tenon", "temperature"],
)
def test_a_refusal_is_in_inches(stool, change, said):
    done = run("check", stool(change))
    assert done.exit_code == 1
    assert said in done.stderr
    assert bare(done.stderr) == []


@pytest.mark.parametrize(
    "command", ["book", "suggest arch", "plan", "plan --json", "rack commit", "ledger build"]
)
def test_every_command_refuses_in_inches(stool, tmp_path, command, monkeypatch):
    monkeypatch.setenv("OVERBEND_LEDGER", str(tmp_path / "ledger.db"))
    monkeypatch.chdir(tmp_path)
    before = 2 if command.startswith(("rack", "ledger")) else 1
    words = command.split()
    done = run(*words[:before], stool(HOT), *words[before:])
    assert done.exit_code == 1
    assert "140 °F (60 °C) at most" in done.stderr
    assert bare(done.stderr) == []


def test_booking_a_cut_says_off_cuts_in_the_projects_unit(tmp_path):
    file = tmp_path / "stool.toml"
    file.write_text(STOOL.replace("[shop.cutting]", "[shop.cutting]\nseconds = 1"))
    ledger = ("--ledger", tmp_path / "l.db", "--yes")
    done = run("rack", "commit", file, *ledger)
    assert done.exit_code == 0, done.output
    assert " in, off-cut of" in done.stdout
    assert bare(done.stdout) == []
    assert METRIC.search(run("rack", "commit", file, *ledger, "--again", "--units", "mm").stdout)


def test_boards_that_are_too_short_and_a_sheet_that_is_too_small(stool):
    done = run("check", stool(SHORT, SHEET))
    assert "longer than any board gives" in done.stdout
    assert "does not fit sheet, 20 by 10 in (508 by 254 mm)" in done.stdout
    assert bare(done.stdout) == []


def test_what_a_sheet_does_not_hold_stays_metric_as_data(stool):
    done = run("plan", stool(SHEET), "--json")
    text = json.dumps(json.loads(done.stdout)["cutting"])
    assert "508 by 254 mm" in text
    assert " in (" not in text


def test_names_and_typed_values_are_printed_as_typed(stool):
    boards = ('name = "maple 4/4"', 'name = "maple 25 mm"')
    done = run("check", stool(SHORT, boards))
    assert "maple 25 mm is 24 in" in done.stdout
    assert "'12 mm wide'" in run("check", stool(NUMBER)).stderr
    both = run("check", stool(TWICE)).stderr
    assert "'40 mmm'" in both
    assert "450, 450.5 mm, 45 cm, 1.2 m, 3/16 in" in both


def test_a_file_named_by_a_size_is_printed_as_it_is(stool, tmp_path):
    place = tmp_path / "oak 12 mm stool.toml"
    place.write_text(stool(HOT).read_text())
    said = run("check", place).stderr
    assert "oak 12 mm stool.toml, line" in said
    assert "140 °F (60 °C)" in said


def test_a_file_that_is_no_toml_and_one_with_two_curves(stool):
    done = run("check", stool(("[dimensions]", "[dimensions")))
    assert done.exit_code == 1
    assert bare(done.stderr) == []
    assert bare(run("check", stool(OPEN)).stderr) == []


def test_a_metric_piece_is_refused_in_mm_and_in_inches_where_asked(tmp_path):
    file = tmp_path / "piece.toml"
    file.write_text(f"{HEAD}{SOLID}\n[shop.climate]\ntemperature = 500\n")
    assert "60 C at most" in run("check", file).stderr
    said = run("book", file, "--units", "in", "--out", tmp_path / "b").stderr
    assert "140 °F (60 °C) at most" in said
    assert bare(said) == []


def test_a_trial_is_refused_in_the_unit_asked_for(tmp_path):
    given = ("trial", "add", "--species", "european-beech", "--treatment", "steam",
             "--thickness", "1", "--form-radius", "10", "--chord", "4", "--rise", "12",
             "--after", "1 h", "--ledger", tmp_path / "l.db")  # fmt: skip
    metric, us = run(*given), run(*given, "--units", "in")
    assert metric.exit_code == us.exit_code == 1
    assert bare(metric.stderr)
    assert bare(us.stderr) == []
