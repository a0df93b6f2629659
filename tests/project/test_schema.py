"""Tables that are not seen through a whole file: counts, ids, migrations, examples."""

import math

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from overbend.errors import InputError, OutputError, ProjectError, WoodError
from overbend.project import (
    StraightPart,
    adhesive_of,
    example_names,
    instances,
    load,
    migrate,
    new_from_example,
    species_of,
)
from overbend.project.expressions import Scope
from overbend.project.schema import Adhesive, Easement, Shop, Wood

RAIL = {"kind": "straight", "wood": "ash", "section": [40, 20], "length": 500}


def rail(**more):
    return StraightPart.model_validate({**RAIL, **more})


def place(mirror=False, repeat=None):
    span = {"repeat": {"count": repeat, "span": 300}} if repeat else {}
    return {"plane": "side", "mirror": mirror, **span}


@pytest.mark.parametrize(
    ("more", "ids"),
    [
        ({}, ("rail",)),
        ({"count": 3}, ("rail/1", "rail/2", "rail/3")),
        ({"place": place()}, ("rail",)),
        ({"place": place(), "count": 2}, ("rail/1", "rail/2")),
        ({"place": place(mirror=True)}, ("rail/left", "rail/right")),
        ({"place": place(mirror=True), "count": 2}, ("rail/left", "rail/right")),
        ({"place": place(repeat=3)}, ("rail/1", "rail/2", "rail/3")),
        (
            {"place": place(mirror=True, repeat=2)},
            ("rail/left/1", "rail/left/2", "rail/right/1", "rail/right/2"),
        ),
    ],
)
def test_ids_of_instances(more, ids):
    part = rail(**more)
    assert instances("rail", part) == ids
    assert part.count == len(ids)


@given(st.booleans(), st.none() | st.integers(2, 9), st.none() | st.integers(1, 20))
def test_count_agrees_with_places_or_is_refused(mirror, repeat, count):
    made = (2 if mirror else 1) * (repeat or 1)
    more = {"place": place(mirror, repeat)} | ({"count": count} if count else {})
    if made > 1 and count not in (None, made):
        with pytest.raises(ValidationError, match="mirror and repeat make"):
            rail(**more)
    else:
        ids = instances("rail", rail(**more))
        assert len(set(ids)) == len(ids) == (count or made)


def test_models_are_frozen():
    with pytest.raises(ValidationError):
        rail().length = 3.0


def test_models_read_values_in_mm_without_a_file():
    assert rail(length="= 2 * 1 1/8 in").length == pytest.approx(57.15)
    inches = StraightPart.model_validate(RAIL, context=Scope({}, "in"))
    assert inches.length == 12700.0


def test_straight_is_an_endless_radius():
    easement = Easement.model_validate({"length": 30, "from_radius": " Straight "})
    assert easement.from_radius == math.inf
    assert easement.to_radius is None


def test_shop_needs_nothing_typed():
    shop = Shop.model_validate({})
    assert shop.people == 1
    assert shop.machine.saw.least_length is None


def test_overrides_replace_figures_of_the_species():
    table = Wood.model_validate(
        {
            "species": "red oak",
            "dried": "kiln",
            "override": {
                "modulus": 11,
                "shrinkage_radial": 4.4,
                "compression_strength": "7000 psi",
            },
        }
    )
    oak = species_of("oak", table)
    assert oak.fact("moe").value == 11000.0
    assert oak.fact("radial").value == 4.4
    assert oak.fact("comp_parallel").value == pytest.approx(48.263, abs=1e-3)
    assert oak.fact("mor").value > 50.0


def test_custom_species_has_only_what_was_typed():
    override = {"modulus": 9.5, "density": 640, "bending_strength": 80, "compression_strength": 44}
    table = Wood.model_validate({"species": "custom", "dried": "air", "override": override})
    plum = species_of("plum", table)
    assert (plum.id, plum.fact("moe").value, plum.fact("density").value) == ("plum", 9500.0, 640.0)
    assert plum.fact("comp_parallel").value == 44.0
    assert plum.fact("tangential") is None


def test_data_sheet_replaces_times_and_pressure():
    table = Adhesive.model_validate(
        {"kind": "epoxy", "open_minutes": 40, "closed_minutes": "1 h", "clamp_hours": 14,
         "spread_g_m2": 260, "pressure": "50 psi"}
    )  # fmt: skip
    glue = adhesive_of(table)
    assert glue.need("open_time").value == 2400.0
    assert glue.need("closed_time").value == 3600.0
    assert glue.need("clamp_time").value == 50400.0
    assert glue.need("spread").value == 260.0
    assert glue.need("pressure").value == pytest.approx(0.3447, abs=1e-4)
    with pytest.raises(WoodError):
        adhesive_of(Adhesive.model_validate({"kind": "chewing gum"}))


# -- migrations ----------------------------------------------------------------------


def add_units(document):
    document["units"] = "mm"


def rename_title(document):
    document["name"] = document.pop("title")


STEPS = (add_units, rename_title)


@pytest.mark.parametrize("version", [1, 2, 3])
def test_migrations_run_from_the_files_version_on(version):
    title = "name" if version == 3 else "title"
    units = "" if version == 1 else 'units = "in"\n'
    text = f'# old\nschema = {version} # layout\n{units}{title} = "Stool"\n'
    document = tomlkit.parse(text)
    assert migrate(document, STEPS) == version
    assert document.unwrap() == {
        "schema": 3,
        "name": "Stool",
        "units": "mm" if version == 1 else "in",
    }
    assert document.as_string().startswith("# old\nschema = 3 # layout\n")


def test_migration_leaves_a_new_file_alone():
    text = 'schema = 3\nname = "Stool"  # as is\n'
    document = tomlkit.parse(text)
    migrate(document, STEPS)
    assert document.as_string() == text


@pytest.mark.parametrize("version", ["4", "0", '"1"', "1.0", "true"])
def test_versions_that_are_not_known(version):
    with pytest.raises(ProjectError, match="schema = "):
        migrate(tomlkit.parse(f"schema = {version}"), STEPS)


# -- examples ------------------------------------------------------------------------


def test_new_from_example_copies_it(tmp_path):
    assert len(example_names()) >= 3
    for name in example_names():
        file = new_from_example(tmp_path / "mine" / name, name)
        assert load(file).project.name


def test_new_from_example_refuses(tmp_path):
    with pytest.raises(InputError) as caught:
        new_from_example(tmp_path, example_names()[0][:-1])
    assert example_names()[0] in caught.value.allowed
    assert caught.value.todo == f"did you mean {example_names()[0]}?"
    file = new_from_example(tmp_path, example_names()[0])
    file.write_text("mine")
    with pytest.raises(OutputError, match="already"):
        new_from_example(tmp_path, example_names()[0])
    assert file.read_text() == "mine"
    with pytest.raises(OutputError, match="already"):
        new_from_example(file, example_names()[0])
