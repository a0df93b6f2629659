"""The table a person sees."""

import doctest

from overbend.wood import listing
from overbend.wood.listing import COLUMNS, MARKS, species_table
from overbend.wood.species import custom_species, find_species


def test_doctests():
    assert doctest.testmod(listing).failed == 0


def test_every_wood_has_a_line_with_what_is_known():
    table = species_table()
    assert len(table) == 75
    for row in table:
        assert {"density", "mor", "moe", "radial", "tangential"} <= set(row.figures)
        assert set(row.figures) <= set(COLUMNS)
        assert 300 < row.figures["density"].value < 1250, row.species.id


def test_marks_show_what_was_not_read():
    rows = {row.species.id: row for row in species_table()}
    assert rows["white-ash"].mark("mor") == ""
    assert rows["white-ash"].mark("density") == "c"
    assert rows["european-oak"].mark("mor") == "m"
    assert rows["bur-oak"].mark("radial") == "a"
    assert rows["teak"].mark("tension_perp") == ""
    assert len(set(MARKS.values())) == len(MARKS)


def test_own_woods_come_first():
    mine = custom_species("Plum", like=find_species("cherry"), mor=97.0)
    table = species_table([mine])
    assert table[0].species is mine
    assert table[0].mark("mor") == "y"
    assert len(table) == 76
