"""Reading project files, good and bad."""

import datetime
import json
import math
import re
import tomllib
from pathlib import Path

import jsonschema
import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from overbend.errors import ProjectError
from overbend.project import BentPart, MadeStrips, Quantity, json_schema, load, read
from overbend.project.problems import MOST_SHOWN

HERE = Path(__file__).parent
INCH = 25.4
SCHEMA_CHECK = jsonschema.Draft202012Validator(json_schema())
SAMPLE = (HERE / "sample.toml").read_text(encoding="utf-8")
SAMPLE_MM = (HERE / "sample_mm.toml").read_text(encoding="utf-8")


def changed(old, new, text=SAMPLE):
    assert text.count(old) == 1, f"{old!r} occurs {text.count(old)} times"
    return text.replace(old, new)


def refusal(text):
    with pytest.raises(ProjectError) as caught:
        read(text, Path("piece.toml"))
    return str(caught.value)


def test_inch_sample_arrives_in_core_numbers():
    project = load(HERE / "sample.toml").project
    rocker = project.part["rocker"]
    assert project.dimensions["rail"] == Quantity(pytest.approx(17.75 * INCH), length=1)
    assert project.dimensions["seat_width"] == Quantity(20.0)
    assert isinstance(rocker, BentPart)
    assert rocker.width == 44.45
    assert rocker.depth == pytest.approx((1 / 8 + 5 * 3 / 16) * INCH)
    assert [ply.wood for ply in rocker.plies] == ["accent"] + ["ash"] * 5
    assert rocker.place.origin == (0.0, pytest.approx(17.75 / 2 * INCH), 0.0)
    assert project.part["slat"].place.turn == pytest.approx(math.radians(12))
    assert project.shop.sheet == (2438.4, 1219.2)
    assert project.shop.clamp[0].force == pytest.approx(2668.9, abs=0.05)
    assert project.shop.climate.temperature == 20.0
    assert project.shop.home.temperature == 20.0
    assert project.shop.home.humidity == 35.0
    assert project.shop.machine.saw.least_length == 304.8
    assert project.shop.machine.surfacing.least_length is None
    assert project.wood["accent"].override.modulus == 11200.0
    assert project.adhesive["glue"].clamp_hours == 1.5
    assert project.curve["slat"].through[1] == (127.0, pytest.approx(7 / 8 * INCH))
    assert project.made["first"].date == "2026-03-14"
    strips = project.made["milled"]
    assert isinstance(strips, MadeStrips)
    assert strips.mean == pytest.approx((0.1875 + 0.184 + 0.19) / 3 * INCH)
    assert (strips.count, strips.ply) == (3, 2)
    assert set(project.bent) == {"rocker", "slat"}
    assert set(project.straight) == {"rung"}


def test_metric_sample_arrives_in_core_numbers():
    project = load(HERE / "sample_mm.toml").project
    arch, leg = project.curve["arch"], project.part["leg"]
    assert arch.segment[0].line == 170.0
    assert arch.segment[2].arc.radius == 145.0
    assert arch.segment[2].arc.angle == pytest.approx(-math.radians(122))
    assert arch.segment[3].easement.to_radius == -900.0
    assert arch.segment[3].easement.from_radius is None
    assert leg.form.liner == 0.5
    assert leg.count == 2
    assert project.dimensions["spread"].value == pytest.approx(380 * math.tan(math.radians(9)) + 12)


def test_bare_numbers_follow_the_files_unit_and_texts_do_not():
    text = changed("seat_width = 20", "seat_width = 200", changed('units = "in"', 'units = "mm"'))
    metric = read(text).project
    assert metric.part["slat"].width == 2.25
    assert metric.part["rocker"].width == 44.45
    assert metric.dimensions["rail"].value == pytest.approx(200 - 2.25 * INCH)


BAD = [
    ('width = "1-3/4 in"\n', "", 86, "part.rocker.width", "the key 'width' is missing"),
    ('width = "1-3/4 in"', 'width = "wide"', 90, "part.rocker.width", "cannot read 'wide'"),
    ('width = "1-3/4 in"', "width = -2", 90, "part.rocker.width", "above 0 mm"),
    ('width = "1-3/4 in"', "width = nan", 90, "part.rocker.width", "cannot read nan"),
    ('width = "1-3/4 in"', "width = true", 90, "part.rocker.width", "true is not a length"),
    ('width = "1-3/4 in"', 'width = "1,250 mm"', 90, "part.rocker.width", "two ways"),
    ('width = "1-3/4 in"', 'width = "= 2-1/2 in"', 90, "part.rocker.width", "mixed number"),
    ('width = "1-3/4 in"', 'width = "= rail * rail"', 90, "part.rocker.width", "an area"),
    ('width = "1-3/4 in"', 'width = "= rial"', 90, "part.rocker.width", "did you mean rail?"),
    ("seat_width = 20", 'seat_width = "= rail"', 9, "dimensions.seat_width",
     "circle: seat_width -> rail -> seat_width"),
    ("seat_width = 20", 'seat_width = "far"', 9, "dimensions.seat_width", "cannot read 'far'"),
    ("seat_width = 20", "seat_width = 20\nin = 3", 10, "dimensions.in", "a unit or a function"),
    ("seat_width = 20", "seat_width = 20\nb-c = 3", 10, "dimensions.b-c", "cannot be a name"),
    ('"white ash"', '"whit ash"', 59, "wood.ash.species", "did you mean White ash"),
    ("modulus = 11.2", "modulus = 11200", 66, "wood.accent.override.modulus", "40000 MPa at most"),
    ('"black walnut"', '"custom"', 63, "wood.accent", "bending_strength"),
    ('"pva-yellow"', '"yelow"', 69, "adhesive.glue.kind", "did you mean yellow glue"),
    ('curve = "runner"', 'curve = "runer"', 88, "part.rocker.curve", "did you mean runner?"),
    ('adhesive = "glue"', 'adhesive = "glu"', 92, "part.rocker.adhesive", "did you mean glue?"),
    ('adhesive = "glue"\n', "", 86, "part.rocker", "no adhesive for method 'laminate'"),
    ('wood = "accent"', 'wood = "acent"', 97, "part.rocker.ply[1].wood", "did you mean accent?"),
    ('kind = "bent"\ncurve = "slat"', 'kind = "bend"\ncurve = "slat"', 111, "part.slat.kind",
     "'bent', 'straight'"),
    ('kind = "bent"\ncurve = "slat"', 'curve = "slat"', 110, "part.slat.kind", "missing"),
    ('method = "laminate"', 'method = "glued"', 91, "part.rocker.method", "'steam-laminate'"),
    ('method = "solid"', 'method = "laminate"', 110, "part.slat", "a laminated part of one strip"),
    ("count = 5\n", "count = 5000\n", 86, "part.rocker", "5001 strips"),
    ("mirror = true", 'mirror = "yes"', 94, "part.rocker.place.mirror", "true or false"),
    ("mirror = true", "mirror = true, repeat = { count = 1, span = 9 }", 94,
     "part.rocker.place.repeat", "2 or more"),
    ('reference = "end"', "count = 3", 86, "part.rocker", "count is 3, mirror and repeat make 2"),
    ('side = "concave"', "parts = true", 106, "part.rocker.form.parts", "1 or 2"),
    ("median = 0.8", "median = 0.5", 116, "part.slat.set", "low at most the median"),
    ("low = 0.65", "low = 65", 116, "part.slat.set.low", "1 at most"),
    ("count = 4", "count = 4.5", 124, "part.rung.count", "a whole number"),
    ('section = ["1-1/8 in", "1-1/8 in"]', "section = [1]", 122, "part.rung.section[2]",
     "value 2 of the list is missing"),
    ("sheet = [96, 48]", "sheet = [96, 48, 2]", 21, "shop.sheet", "a list of 2 at most"),
    ("sheet = [96, 48]", "sheet = 96", 21, "shop.sheet", "a list in [ ]"),
    ("[shop.home]", "[shop.hme]", 28, "shop.hme", "did you mean home?"),
    ('paper = "letter"', 'paper = "a5"', 22, "shop.paper", "'a4', 'a3' or 'letter'"),
    ("humidity = 45", "humidity = 145", 26, "shop.climate.humidity", "100 % at most"),
    ('temperature = "68 F"', 'temperature = "200 C"', 25, "shop.climate.temperature", "60 C"),
    ("angle = 24", "angle = 0", 78, "curve.runner.segment[2].arc", "an arc of angle 0"),
    ('name = "rear-foot"', "line = 2", 78, "curve.runner.segment[2]", "line and arc together"),
    ('"straight" }', "0 }", 77, "curve.runner.segment[1].easement.from_radius", "no radius"),
    ("through = [[0", 'file = "a.dxf"\nthrough = [[0', 83, "curve.slat", "through and file"),
    ("through = [[0", "heading = 3\nthrough = [[0", 83, "curve.slat", "heading does not go with"),
    ("rise = 4.75", "", 126, "made.first", "a form with chord measured"),
    ("\nply = 2", "\nply = 3", 136, "made.milled.ply", "1 to 2"),
    (', 0.184, 0.19]', "]", 133, "made.milled", "one mean thickness with count"),
    ("released_radius = 36.5", "", 139, "made.try", "not measured in one way"),
    ("released_radius = 36.5", "released_radius = 9\nbroken = true", 139, "made.try", "broken"),
    ("[part.rung]", '[part."a/b"]', 119, "part.a/b", "cannot be a name"),
    ('"Porch rocker"', '""', 3, "name", "1 characters or more"),
    ('note = "For', 'note = 7 # "For', 5, "note", "a text in quotes"),
    ('units = "in"', 'units = "inch"', 4, "units", "'mm' or 'in'"),
    ("schema = 1", "schema = 9", 2, "schema", "newer than this program"),
    ("schema = 1", 'schema = "1"', 2, "schema", "schema = 1"),
    ("schema = 1", "schema = true", 2, "schema", "schema = 1"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line", "key", "says"), BAD)
def test_one_mistake_gives_one_message_with_its_place(old, new, line, key, says):
    message = refusal(changed(old, new))
    assert message.startswith(f"piece.toml, line {line}: {key}: ")
    assert says in message


def test_missing_schema_is_named():
    assert refusal(changed("schema = 1\n", "")).startswith("piece.toml: schema: the key 'schema'")


def test_mistyped_key_is_told_with_the_near_one():
    message = refusal(changed("open_minutes = 8", "open_minute = 8"))
    assert message.startswith("piece.toml, line 70: adhesive.glue.open_minute: ")
    assert message.endswith("did you mean open_minutes?")


def test_steaming_form_only_for_steamed_strips():
    message = refusal(changed('method = "steam-laminate"', 'method = "laminate"', SAMPLE_MM))
    assert "part.leg.form.steam_on" in message
    assert 'method = "steam-laminate"' in message


def test_form_made_for_a_straight_part():
    message = refusal(changed('kind = "form"\npart = "rocker"', 'kind = "form"\npart = "rung"'))
    assert "made.first.part: a form for the straight part 'rung'" in message


def test_several_problems_come_together_in_the_files_order():
    text = changed("count = 4", "count = 0", changed("people = 2", "people = 0.5"))
    message = refusal(changed('dried = "air"', 'dried = "sun"', text))
    assert message.startswith("piece.toml: 3 things cannot be used")
    assert [int(n) for n in re.findall(r"line (\d+)", message)] == [15, 60, 124]


def test_at_most_ten_problems_are_listed():
    extra = "".join(f"x{i} = 1\n" for i in range(25))
    message = refusal(changed("schema = 1\n", "schema = 1\n" + extra))
    assert "25 things" in message
    assert message.count("is not known") == MOST_SHOWN
    assert message.endswith("and 15 more")


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ("people = 2", "people = ", "line 15, column 10"),
        ("[shop.climate]", "[shop.climate", "line 24, column 14"),
        ("people = 2", "people = 2\npeople = 3", "line 16, column 11"),
        ('"letter"', '"letter', "line 22, column 16"),
    ],
)
def test_what_is_not_toml_says_line_and_column(old, new, where):
    assert refusal(changed(old, new)).startswith(f"piece.toml, {where}: this is not TOML")


def test_brackets_without_end():
    with pytest.raises(ProjectError, match=r"deep|not TOML"):
        read("schema = 1\nname = " + "[" * 5000)


WEIRD = [
    True, "", "= 1/0", math.nan, math.inf, -1, 0, 10**30, [], {}, [[]], "x" * 1000,
    datetime.date(2026, 1, 2), datetime.time(1, 2), [1, 2, 3], {"a": 1}, "1 in 8", "12 deg",
    "custom", "= lean", "= rail", "½",
]  # fmt: skip


def places_in(value, place=()):
    if place:
        yield place
    inner = value.items() if isinstance(value, dict) else ()
    for step, child in enumerate(value) if isinstance(value, list) else inner:
        yield from places_in(child, (*place, step))


@pytest.mark.parametrize("text", [SAMPLE, SAMPLE_MM], ids=["in", "mm"])
@given(data=st.data())
def test_any_value_anywhere_is_read_or_refused_in_our_words(text, data):
    document = tomllib.loads(text)
    place = data.draw(st.sampled_from(list(places_in(document))))
    holder = document
    for step in place[:-1]:
        holder = holder[step]
    holder[place[-1]] = data.draw(st.sampled_from(WEIRD))
    changed_text = tomlkit.dumps(document)
    try:
        read(changed_text)
        said = ""
    except ProjectError as error:
        said = str(error)
    as_json = json.loads(json.dumps(tomllib.loads(changed_text), default=str))
    assert said or SCHEMA_CHECK.is_valid(as_json)
    assert not re.search(r"should be|Input|pydantic|Error\b", said)


def write(folder, data):
    file = folder / "piece.toml"
    file.write_bytes(data)
    return file


def test_not_utf8(tmp_path):
    file = write(tmp_path, SAMPLE.replace("tall", "größer").encode("latin-1"))
    with pytest.raises(ProjectError, match=r"piece.toml, line 5: the byte 0xf6 is not UTF-8"):
        load(file)


def test_fifty_megabytes_are_not_read(tmp_path):
    file = write(tmp_path, b"")
    with file.open("r+b") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(ProjectError, match="larger than 5 MB"):
        load(file)


def test_missing_file_and_folder(tmp_path):
    with pytest.raises(ProjectError, match="there is no such file"):
        load(tmp_path / "none.toml")
    with pytest.raises(ProjectError, match="this is a folder"):
        load(tmp_path)
    with pytest.raises(ProjectError, match="cannot be read"):
        load(tmp_path / "a\0b")


def test_byte_order_mark_and_windows_line_ends_are_read(tmp_path):
    file = write(tmp_path, b"\xef\xbb\xbf" + SAMPLE.replace("\n", "\r\n").encode())
    loaded = load(file)
    assert loaded.project == read(SAMPLE).project
    assert loaded.where("units") == "piece.toml, line 4: units"


def test_where_and_folder(tmp_path):
    loaded = load(write(tmp_path, SAMPLE.encode()))
    assert loaded.folder == tmp_path
    assert loaded.where("part", "rocker", "ply", 1, "wood") == (
        "piece.toml, line 101: part.rocker.ply[2].wood"
    )
