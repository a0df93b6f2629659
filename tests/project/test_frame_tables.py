"""Place, between and joint tables: read, checked against each other, refused in plain words."""

import json
import math
import tomllib
from pathlib import Path

import jsonschema
import pytest

from overbend.errors import ProjectError
from overbend.project import instances, json_schema, read

HEAD = """
schema = 1
name = "Frame"
units = "mm"

[dimensions]
width = 460

[wood.oak]
species = "red-oak"
dried = "kiln"

[part.post]
kind = "straight"
wood = "oak"
section = [40, 36]
length = 500

[part.post.place]
plane = "side"
origin = [0, "= width / 2", 0]
turn = "90 deg"
mirror = true
"""

RAIL = """
[part.rail]
kind = "straight"
wood = "oak"
section = [60, 20]

[part.rail.between]
from = { part = "post/left", height = 300 }
to = { part = "post/right", height = 300, across = "1 in" }
roll = "10 deg"
repeat = { count = 3, span = 180, fit = "faces", centred = true }
"""

JOINT = """
[joint.rail]
kind = "mortise-tenon"
part = "rail"
to = "post"
thickness = "3/8 in"
"""

VALIDATOR = jsonschema.Draft202012Validator(json_schema())


def refusal(text):
    with pytest.raises(ProjectError) as caught:
        read(text, Path("piece.toml"))
    return str(caught.value)


def changed(old, new, text=HEAD + RAIL + JOINT):
    assert text.count(old) == 1
    return text.replace(old, new)


def test_values_arrive_in_core_numbers():
    project = read(HEAD + RAIL + JOINT).project
    between = project.straight["rail"].between
    assert between.start.height == 300.0
    assert between.end.across == 25.4
    assert between.roll == pytest.approx(math.radians(10.0))
    assert project.straight["rail"].length is None
    assert project.straight["rail"].count == 3
    assert instances("rail", project.straight["rail"]) == ("rail/1", "rail/2", "rail/3")
    assert project.joint["rail"].thickness == pytest.approx(9.525)
    assert project.straight["post"].place.origin[1] == 230.0


def test_an_editor_accepts_what_the_reader_does():
    VALIDATOR.validate(json.loads(json.dumps(tomllib.loads(HEAD + RAIL + JOINT))))
    wrong = tomllib.loads(HEAD + RAIL + JOINT)
    wrong["joint"]["rail"]["kind"] = "dovetail"
    assert not VALIDATOR.is_valid(wrong)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"post/left"', '"post/middle"', "no part 'post/middle' that stands"),
        ('"post/left", height = 300', '"post/left"', "does not say where"),
        ("height = 300 }\nto", "height = 300, at = 20 }\nto", "at and height together"),
        ('part = "post/left", height = 300', "point = [0, 0, 0], at = 3", "at of a fixed point"),
        ('to = "post"\n', 'to = "leg"\n', "no part 'leg' that stands"),
        ('kind = "mortise-tenon"', 'kind = "mortice"', "'mortice' is not known"),
        ('thickness = "3/8 in"', "diameter = 9", "'diameter' is not known"),
        ("count = 3", "count = 1", "repeat of 1"),
        ("length = 500\n", "", "the key 'length' is missing"),
    ],
)  # fmt: skip
def test_refusals_say_where_and_what(old, new, words):
    text = refusal(changed(old, new))
    assert words in text
    assert "piece.toml, line" in text
    assert "Allowed" in text


def test_a_part_that_stands_nowhere_cannot_be_joined():
    bare = HEAD.split("[part.post.place]", maxsplit=1)[0] + JOINT.replace('"rail"\n', '"post"\n', 1)
    assert "part 'post' stands nowhere" in refusal(bare)


@pytest.mark.parametrize(
    ("extra", "words"),
    [
        ("length = 400\n[part.rail.between]\noverhang = 3\n", "length and overhang"),
        ('[part.rail.place]\nplane = "side"\n[part.rail.between]\n', "place and between together"),
    ],
)
def test_two_ways_at_once_are_refused(extra, words):
    assert words in refusal(changed("[part.rail.between]\n", extra))


def test_on_and_floor_both_set_the_height():
    on = 'mirror = true\nfloor = true\non = { part = "post", at = 0 }\n'
    assert "on and floor together" in refusal(changed("mirror = true\n", on, HEAD))


def test_a_mirrored_row_is_named_as_a_whole():
    row = changed("mirror = true\n", "mirror = true\nrepeat = { count = 2, span = 90 }\n", HEAD)
    whole = row + RAIL.replace("post/left", "post/left/1").replace("post/right", "post/right/1")
    assert read(whole + JOINT.replace('to = "post"', 'to = "post/left"')).project.joint


def test_every_joint_kind_reads():
    from overbend.frame.joint_records import KINDS

    for kind in KINDS:
        table = f'[joint.x]\nkind = "{kind}"\npart = "rail"\nto = "post/left"\nreach = 4\n'
        assert read(HEAD + RAIL + table).project.joint["x"].kind == kind
