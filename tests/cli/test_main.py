"""The command: what it prints, its exit codes, and plain words for bad input."""

import json
import shutil
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from overbend.cli import app
from support.folders import names_in
from support.pace import quiet_command
from support.pieces import EXAMPLES, HEAD, LAMINATE, SOLID

STOOL = next(p for p in EXAMPLES if p.stem == "low-stool")


def run(*args):
    return CliRunner().invoke(app, [str(a) for a in args])


def project(tmp_path, *parts):
    file = tmp_path / "piece.toml"
    file.write_text(HEAD + "".join(parts))
    return file


def test_help_answers_at_once():
    """Half a second of work on a quiet machine, so that other work does not count."""
    words = [sys.executable, "-m", "overbend", "--help"]
    assert "book" in subprocess.run(words, capture_output=True, text=True, check=True).stdout
    assert quiet_command(words) < 0.5


def test_check_reports_and_exits_zero():
    done = run("check", STOOL)
    assert done.exit_code == 0
    assert "arch: 2 off, laminated cold" in done.stdout
    assert "tightest radius 7 in" in done.stdout
    assert "clamps, holds" in done.stdout


def test_book_writes_the_folder(tmp_path):
    done = run("book", STOOL, "--out", tmp_path / "b")
    assert done.exit_code == 0
    assert (tmp_path / "b" / "book.pdf").read_bytes().startswith(b"%PDF")
    assert "waits for you" in done.stdout
    assert "1/" in done.stderr


def test_book_again_replaces_the_folder(tmp_path):
    for _ in range(2):
        assert run("book", STOOL, "--out", tmp_path / "b").exit_code == 0
    assert names_in(tmp_path) == ["b"]


def test_plan_prints_json():
    data = json.loads(run("plan", STOOL, "--json").stdout)
    assert data["bent"]["arch"]["width_mm"] == pytest.approx(34.925)


def test_new_makes_a_piece_that_checks(tmp_path):
    made = run("new", tmp_path / "mine", "--from", "slatted-bench")
    assert made.exit_code == 0
    assert run("check", tmp_path / "mine" / "slatted-bench.toml").exit_code == 0
    again = run("new", tmp_path / "mine", "--from", "slatted-bench")
    assert again.exit_code == 1
    assert "already" in again.stderr


def test_new_without_an_example_names_them(tmp_path):
    done = run("new", tmp_path / "x")
    assert done.exit_code == 1
    assert "low-stool" in done.stderr
    assert not (tmp_path / "x").exists()


def test_schema_is_json_schema():
    assert json.loads(run("schema").stdout)["$schema"].endswith("2020-12/schema")


# -- bad input: one clear message each, no traceback, nothing half written ----------------
BAD = {
    "missing key": (LAMINATE.replace("width = 37\n", ""), ["part.bow.width", "line"]),
    "unknown species": (
        LAMINATE + '[wood.x]\nspecies = "sugar maplee"\ndried = "kiln"\n',
        ["wood.x", "maple"],
    ),
    "circular": (
        LAMINATE + '[dimensions]\na = "= b + 1"\nb = "= a"\n',
        ["dimensions", "a", "b"],
    ),
    "folding offset": (
        LAMINATE.replace("thickness = 4.5", "thickness = 640"),
        ["part.bow", "310"],
    ),
    "too tight for the stack": (
        SOLID.replace("thickness = 11", "thickness = 700"),
        ["part.slat", "310"],
    ),
    "unknown key": (LAMINATE.replace("width = 37", "width = 37\nwidht = 3"), ["widht", "width"]),
    "not TOML": (LAMINATE + "[part.\n", ["TOML", "line"]),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_projects_get_one_clear_message(name, tmp_path):
    text, words = BAD[name]
    file = project(tmp_path, text)
    done = run("book", file, "--out", tmp_path / "out")
    assert done.exit_code == 1, done.output
    assert "Traceback" not in done.output
    for word in words:
        assert word in done.stderr
    assert done.stderr.count("overbend:") == 1
    assert names_in(tmp_path) == ["piece.toml"]


def test_other_bad_files(tmp_path):
    latin = tmp_path / "latin.toml"
    latin.write_bytes('name = "Stühl"'.encode("latin-1"))
    big = tmp_path / "big.toml"
    with big.open("wb") as stream:
        stream.truncate(50_000_000)
    for file, word in ((latin, "UTF-8"), (big, "5 MB"), (tmp_path / "no.toml", "no such file"),
                       (tmp_path, "folder")):  # fmt: skip
        done = run("check", file)
        assert done.exit_code == 1
        assert word in done.stderr
        assert "Traceback" not in done.output


def test_a_place_that_cannot_be_written(tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "mine.txt").write_text("keep")
    done = run("book", STOOL, "--out", tmp_path / "out")
    assert done.exit_code == 1
    assert "not a book" in done.stderr
    assert names_in(tmp_path / "out") == ["mine.txt"]


@pytest.mark.skipif(sys.platform != "linux", reason="needs a place no user can write")
def test_an_unwritable_folder():
    done = run("book", STOOL, "--out", "/proc/overbend-book")
    assert done.exit_code == 1
    assert "cannot be written" in done.stderr


def test_odd_options_are_said(tmp_path):
    for option, value in (("--paper", "a9"), ("--units", "feet")):
        done = run("book", STOOL, "--out", tmp_path / "b", option, value)
        assert done.exit_code == 1
        assert option in done.stderr
    assert not (tmp_path / "b").exists()


def test_it_works_without_the_checkout(tmp_path):
    """The examples ship in the wheel; here: beside the package or at the root."""
    shutil.copy(STOOL, tmp_path)
    done = subprocess.run(
        [sys.executable, "-m", "overbend", "check", "low-stool.toml"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
