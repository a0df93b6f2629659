"""`overbend bench cutting`: one line for each instance, bad files said and passed over."""

import json
import re

import pytest
from typer.testing import CliRunner

from overbend.cli import app

KEYS = ["instance", "objective", "bound", "status", "seconds"]
RAILS = "3\n100\n60 2\n35 4\n21 3\n"
PEGS = "2\n17\n5 4\n7 3\n"


def run(*args):
    return CliRunner().invoke(app, ["bench", "cutting", *map(str, args)])


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "deep").mkdir()
    (tmp_path / "rails.txt").write_text(RAILS)
    (tmp_path / "deep" / "pegs.txt").write_text(PEGS)
    (tmp_path / "notes.md").write_text("not one of them")
    return tmp_path


def rows(result):
    return {row["instance"]: row for row in map(json.loads, result.stdout.splitlines())}


def test_one_json_object_a_line(folder):
    result = run(folder, "--seconds", "5", "--json")
    assert result.exit_code == 0, result.output
    assert result.stderr == ""
    found = rows(result)
    assert sorted(found) == ["pegs", "rails"]
    assert all(list(row) == KEYS for row in found.values())
    # 2 x 60 + 4 x 35 + 3 x 21 = 323 of 4 x 100: 60 + 35, 60 + 35, 35 + 35 + 21, 21 + 21.
    # 4 x 5 + 3 x 7 = 41 of 3 x 17: 7 + 5 + 5, 7 + 7, 5 + 5.
    assert [found[n]["objective"] for n in ("rails", "pegs")] == [4, 3]
    for row in found.values():
        assert row["bound"] == row["objective"]
        assert row["status"] == "optimal"
        assert 0 <= row["seconds"] < 5.5


def test_compare_adds_the_two_plain_ways(folder):
    result = run(folder, "--seconds", "5", "--json", "--compare")
    assert result.exit_code == 0, result.output
    for row in rows(result).values():
        assert list(row) == [*KEYS, "direct", "first_fit"]
        assert list(row["direct"]) == ["objective", "bound", "status", "seconds"]
        assert row["direct"]["objective"] == row["objective"]
        assert row["first_fit"] >= row["objective"]


def test_lines_to_read(folder):
    result = run(folder, "--seconds", "5", "--compare")
    assert result.exit_code == 0
    *lines, last = result.stdout.splitlines()
    assert [line.split(":")[0] for line in lines] == ["pegs", "rails"]
    assert "4 sticks, at least 4, optimal" in lines[1]
    assert "first fit 4" in lines[1]
    assert last == "2 of 2 proven"


def test_one_file_alone(folder):
    result = run(folder / "rails.txt", "--seconds", "5", "--json")
    assert result.exit_code == 0
    assert list(rows(result)) == ["rails"]


BAD = {
    "words": b"two lengths\n",
    "empty": b"",
    "a line short": b"2\n100\n60 1\n",
    "not text": bytes(range(128, 256)),
    "raised digits": "2\n100\n60 1\n35 \u00b2\n".encode(),
}


@pytest.mark.parametrize("content", BAD.values(), ids=BAD)
def test_a_bad_file_is_one_line_and_the_others_are_solved(folder, content):
    (folder / "bad.txt").write_bytes(content)
    result = run(folder, "--seconds", "5", "--json")
    assert result.exit_code == 1
    assert sorted(rows(result)) == ["pegs", "rails"]
    line, *more = result.stderr.splitlines()
    assert line.startswith("overbend: ")
    assert "bad" in line
    assert all(text.startswith("  Allowed: ") for text in more)


def test_a_folder_named_like_a_file_is_passed_over(folder):
    (folder / "old.txt").mkdir()
    result = run(folder, "--seconds", "5", "--json")
    assert sorted(rows(result)) == ["pegs", "rails"]
    assert "Traceback" not in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)


def test_a_length_longer_than_the_stick_is_a_result(folder):
    (folder / "long.txt").write_text("1\n10\n11 2\n")
    result = run(folder, "--seconds", "5", "--json", "--compare")
    assert result.exit_code == 0
    row = rows(result)["long"]
    assert (row["objective"], row["status"]) == (None, "infeasible")
    text = run(folder / "long.txt", "--seconds", "5").stdout
    assert "None" not in text


@pytest.mark.parametrize("name", ["empty", "not-there"])
def test_an_empty_folder_is_refused_plainly(tmp_path, name):
    (tmp_path / "empty").mkdir()
    result = run(tmp_path / name, "--json")
    assert result.exit_code == 1
    assert result.stdout == ""
    assert "no .txt file" in result.stderr
    assert name in result.stderr
    assert "a folder of instances" in result.stderr


def test_no_time_still_gives_a_plan(folder):
    result = run(folder, "--seconds", "0", "--json")
    assert result.exit_code == 0
    for row in rows(result).values():
        assert row["bound"] <= row["objective"]
        assert row["status"] == ("optimal" if row["bound"] == row["objective"] else "feasible")


# -- boards -----------------------------------------------------------------------------------


def boards(*args):
    return CliRunner().invoke(app, ["bench", "boards", *map(str, args)])


SMALL = ("--strips", 30, "--kinds", 3, "--stocks", 2, "--seconds", 2)


def test_made_up_shops_one_json_object_a_line():
    result = boards("--seeds", 2, *SMALL, "--json")
    assert result.exit_code == 0, result.output
    found = rows(result)
    assert sorted(found) == ["shop 0", "shop 1"]
    for row in found.values():
        assert list(row) == KEYS
        assert 0 < row["bound"] <= row["objective"] * (1 + 1e-9)


def test_made_up_shops_to_read():
    result = boards("--seeds", 1, *SMALL)
    assert result.exit_code == 0, result.output
    assert re.fullmatch(
        r"shop 0: cost [\d.]+, at least [\d.]+, \d\.\d\d % could still be saved, [\d.]+ s\n",
        result.stdout,
    )


def test_more_kinds_than_strips_are_refused():
    result = boards("--strips", 3, "--kinds", 9)
    assert result.exit_code == 1
    assert "at most --strips" in result.stderr
