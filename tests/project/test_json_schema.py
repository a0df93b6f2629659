"""The JSON Schema says what the reader says."""

import copy
import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from overbend.project import example_names, json_schema, new_from_example
from overbend.project.jsonschema import schema_at

HERE = Path(__file__).parent
SCHEMA = json_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def as_json(text):
    """TOML as an editor's schema checker sees it: dates are texts."""
    return json.loads(json.dumps(tomllib.loads(text), default=str))


@pytest.fixture
def sample():
    return as_json((HERE / "sample.toml").read_text(encoding="utf-8"))


def test_is_valid_draft_2020_12():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("name", ["sample.toml", "sample_mm.toml"])
def test_samples_are_accepted(name):
    VALIDATOR.validate(as_json((HERE / name).read_text(encoding="utf-8")))


def test_examples_are_accepted(tmp_path):
    for name in example_names():
        file = new_from_example(tmp_path, name)
        VALIDATOR.validate(as_json(file.read_text(encoding="utf-8")))


WRONG = [
    (("units",), "cm"),
    (("schema",), 2),
    (("name",), ""),
    (("extra",), 1),
    (("shop", "people"), 0),
    (("shop", "people"), 1.5),
    (("shop", "paper"), "a5"),
    (("shop", "sheet"), [96]),
    (("shop", "climate", "humidity"), 145),
    (("shop", "yard", 0, "price"), -1),
    (("shop", "yard", 0, "price_per"), "stone"),
    (("shop", "yard", 0, "count"), -1),
    (("shop", "yard", 0, "length"), 0),
    (("shop", "yard", 0, "surfaced"), "yes"),
    (("shop", "cutting", "sheet_price"), "dear"),
    (("dimensions", "b-c"), 1),
    (("wood", "ash", "dried"), "sun"),
    (("wood", "a/b"), {"species": "ash", "dried": "air"}),
    (("part", "rocker", "kind"), "bend"),
    (("part", "rocker", "width"), "wide"),
    (("part", "rocker", "width"), -3),
    (("part", "rocker", "width"), True),
    (("part", "rocker", "form", "parts"), 3),
    (("part", "slat", "set", "high"), 1.5),
    (("part", "rocker", "ply", 0, "count"), 0),
    (("curve", "runner", "segment", 0, "line"), 3),
    (("curve", "runner", "through"), [[0, 0], [1, 1]]),
    (("curve", "slat", "through", 0), [1, 2, 3]),
    (("made", "try", "broken"), "no"),
]


@pytest.mark.parametrize(("place", "value"), WRONG)
def test_wrong_values_are_rejected(sample, place, value):
    document = copy.deepcopy(sample)
    holder = document
    for step in place[:-1]:
        holder = holder[step]
    holder[place[-1]] = value
    assert VALIDATOR.is_valid(sample)
    assert not VALIDATOR.is_valid(document)


@pytest.mark.parametrize("place", [("units",), ("part", "rocker", "curve"), ("wood", "ash")])
def test_missing_keys_are_rejected(sample, place):
    holder = sample
    for step in place[:-1]:
        holder = holder[step]
    holder[place[-1]] = {} if place[0] == "wood" else holder.pop(place[-1]) and None
    assert not VALIDATOR.is_valid(sample)


@pytest.mark.parametrize(
    ("place", "default"),
    [
        (("shop", "saw_kerf"), "3 mm"),
        (("shop", "sheet"), ["2440 mm", "1220 mm"]),
        (("shop", "people"), 1),
        (("shop", "steam_box", "temperature"), 98),
        (("shop", "paper"), "a4"),
        (("shop", "cutting", "end_trim"), "25 mm"),
        (("shop", "cutting", "seconds"), 5),
        (("shop", "yard", 0, "price_per"), "piece"),
        (("part", "x", "bent", "form", "run_out"), "60 mm"),
        (("part", "x", "bent", "place", "origin"), ["0 mm", "0 mm", "0 mm"]),
        (("part", "x", "bent", "reference"), "start"),
    ],
)
def test_defaults_hold_in_any_unit(place, default):
    assert schema_at(place)["default"] == default


def test_every_key_is_described():
    def keys(node, name=""):
        for key, child in node.get("properties", {}).items():
            yield f"{name}.{key}", child

    tables = {"": SCHEMA, **SCHEMA["$defs"]}
    bare = [
        key
        for name, table in tables.items()
        for key, child in keys(table, name)
        if not child.get("description") and not key.endswith(".kind")
    ]
    assert bare == []
