"""`overbend suggest`: the answer, JSON, the plot, and plain words for what cannot be meant."""

import json
import xml.etree.ElementTree as ElementTree

import pytest
from typer.testing import CliRunner

from overbend.cli import app
from support.pieces import EXAMPLES, HEAD, LAMINATE, SOLID

STOOL = next(p for p in EXAMPLES if p.stem == "low-stool")


def run(*args):
    return CliRunner().invoke(app, ["suggest", *map(str, args)])


@pytest.fixture
def file(tmp_path):
    place = tmp_path / "piece.toml"
    place.write_text(HEAD + LAMINATE + SOLID)
    return place


def test_it_answers_with_a_table_and_what_was_assumed(file):
    done = run(file, "bow", "--step", "0.5")
    assert done.exit_code == 0, done.output
    first, _, head, now, *rest = done.stdout.splitlines()
    assert "keep to 1 in 20 breaking and tips within 5 mm" in first
    assert head.split()[:2] == ["Stack", "Deep,"]
    assert "2 x 3 mm maple, 1 x 4.5 mm ash, cold" in now
    assert any("Thicknesses" in line or "No strip" in line for line in rest)
    assert "done" in done.stderr
    assert "\u00a0" not in done.stdout


def test_limits_are_read_as_a_maker_types_them(file):
    texts = [run(file, "bow", "--step", "0.5", "--risk", r).stdout for r in ("1/10", "10 %", "0.1")]
    assert texts[0] == texts[1] == texts[2]
    assert "1 in 10 breaking" in texts[0]
    wide = run(file, "bow", "--step", "1/32 in", "--scatter", "1/2 in", "--depth", "1 cm")
    assert "tips within 12.7 mm" in wide.stdout


def test_json_is_json(file):
    done = run(file, "bow", "--step", "0.5", "--json", "--tolerance", "0.3", "--wood", "ash")
    data = json.loads(done.stdout)
    assert data["asked"]["woods"] == ["ash"]
    assert data["asked"]["tolerance_mm"] == 0.3
    assert data["stacks"][0]["drawn_now"]
    assert all(set(s["woods"]) == {"ash"} for s in data["stacks"][1:])


def test_the_plot_is_an_svg_file(file, tmp_path):
    place = tmp_path / "trade.svg"
    assert run(file, "bow", "--step", "0.5", "--plot", place).exit_code == 0
    root = ElementTree.parse(place).getroot()
    assert root.tag.endswith("svg")
    words = " ".join(root.itertext())
    for word in ("A strip breaks", "Wood, litres", "as drawn now"):
        assert word in words


def test_inches_stay_inches():
    done = run(STOOL, "arch")
    assert "board feet" in done.stdout
    assert "3/32 in maple" in done.stdout


def test_a_solid_part_that_fails_is_told_of_laminations(file):
    assert "--method laminate" in run(file, "slat", "--step", "1", "--scatter", "1").stdout
    done = run(file, "slat", "--step", "0.5", "--method", "laminate", "--method", "solid")
    assert "glue lines" in done.stdout.lower()
    assert "3 x 3.5 mm ash, cold" in done.stdout


BAD = {
    "part": (["foot"], "no bent part 'foot'"),
    "risk": (["bow", "--risk", "often"], "--risk"),
    "certain": (["bow", "--risk", "1.5"], "1.5"),
    "scatter": (["bow", "--scatter", "5 parsec"], "--scatter"),
    "nothing": (["bow", "--scatter", "0"], "scatter of 0 mm"),
    "wood": (["bow", "--wood", "oak"], "no wood 'oak'"),
    "method": (["bow", "--method", "boil"], "no method 'boil'"),
    "grid": (["bow", "--step", "0.001"], "coarser step"),
    "plot": (["bow", "--step", "1", "--plot", "/proc/no/x.svg"], "x.svg"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_meant_gets_one_clear_message(name, file):
    args, word = BAD[name]
    done = run(file, *args)
    assert done.exit_code == 1, done.output
    assert word in done.stderr
    assert done.stderr.count("overbend:") == 1
    assert "Traceback" not in done.output
    assert done.stdout == ""
