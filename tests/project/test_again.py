"""Reading once more after a change gives what reading the whole file gives."""

import pytest

from overbend.project import read
from overbend.project.again import read_again, tables_with_expressions
from overbend.project.save import dump, edit
from support.pieces import ROOT

FILES = {p.stem: p for p in sorted((ROOT / "examples").glob("*.toml"))}
CHANGES = {
    "slatted-bench": [
        [("curve.rib.through.3.1", 91.5)],
        [("dimensions.rib_base", "15 1/2 in"), ("curve.rib.through.0.0", -3)],
        [("part.rib.ply.1.thickness", "= rib_base / 100"), ("dimensions.rib_base", 340)],
        [("shop.trim", 25), ("wood.ash.moisture", 11), ("joint.seat.spacing", 31)],
        [("part.rib.note", "longer"), ("part.rib.form.run_out", "2 in")],
    ],
    "hearth-rocker": [
        [("dimensions.rocker_radius", 987)],
        [("curve.slat.segment.1.arc.angle", "47 deg"), ("dimensions.into_post", 9)],
    ],
}


def changed(name, edits):
    base = read(FILES[name].read_text(), FILES[name])
    document = base.document
    for key, value in edits:
        edit(document, key, value)
    whole = read(dump(document), FILES[name])
    return base, whole


def again(base, raw, keys):
    return read_again(base.project, raw, keys, tables_with_expressions(base.raw))


@pytest.mark.parametrize("name", sorted(CHANGES))
def test_it_reads_what_the_whole_file_says(name):
    for edits in CHANGES[name]:
        keys = [key for key, _ in edits]
        base, whole = changed(name, edits)
        found = again(base, whole.raw, keys)
        assert found == whole.project
        assert list(found.part) == list(whole.project.part)


def test_what_did_not_change_is_the_same_record():
    base, whole = changed("slatted-bench", CHANGES["slatted-bench"][0])
    found = again(base, whole.raw, ["curve.rib.through.3.1"])
    assert found.curve["rib"] is not base.project.curve["rib"]
    assert all(found.part[n] is base.project.part[n] for n in found.part)
    assert found.shop is base.project.shop


def test_a_dimension_reaches_every_expression_and_nothing_else():
    base, whole = changed("hearth-rocker", [("dimensions.rocker_radius", 987)])
    found = again(base, whole.raw, ["dimensions.rocker_radius"])
    arc = next(s.arc for s in found.curve["rocker"].segment if s.arc)
    assert arc.radius == 987
    assert found.part["slat"] == base.project.part["slat"]
    assert found.wood["ash"] is base.project.wood["ash"]


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("name", "Other"),  # outside the tables
        ("units", "in"),  # changes what every bare number means
        ("part.rib.width", -4),  # refused
        ("part.rib.curve", "nowhere"),  # refused across tables
        ("curve.other.through", [[0, 0], [9, 9]]),  # a table that was not there
    ],
)
def test_what_cannot_be_told_apart_is_left_to_the_whole(key, value):
    base = read(FILES["slatted-bench"].read_text())
    document = base.document
    edit(document, key, value)
    assert again(base, document.unwrap(), [key]) is None
