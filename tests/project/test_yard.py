"""The yard's list and the cutting table: what is read, what is refused and where."""

import pytest

from overbend.errors import ProjectError
from overbend.project import SCHEMA_VERSION, read
from overbend.project.migrate import MIGRATIONS

HEAD = """schema = 1
name = "Stool"
units = "{units}"
[wood.ash]
species = "white-ash"
dried = "air"
[wood.oak]
species = "red-oak"
dried = "kiln"
"""
ROW = {
    "name": '"ash 52"', "wood": '"ash"', "length": "2600", "width": "190", "thickness": "52",
    "price": "41.5",
}  # fmt: skip


def row(**changes):
    lines = (f"{key} = {value}" for key, value in (ROW | changes).items() if value is not None)
    return "[[shop.yard]]\n" + "\n".join(lines) + "\n"


def yard(*rows, units="mm"):
    return read(HEAD.format(units=units) + "".join(rows)).project.shop.yard


def refused(*rows, units="mm"):
    with pytest.raises(ProjectError) as error:
        yard(*rows, units=units)
    return error.value


def test_a_row_has_its_defaults():
    (ash,) = yard(row())
    assert (ash.price, ash.price_per, ash.count, ash.surfaced) == (41.5, "piece", None, False)
    assert (ash.length, ash.width, ash.thickness) == (2600.0, 190.0, 52.0)


def test_sizes_are_read_in_inches_and_fractions():
    (ash,) = yard(row(length='''"8' 6-1/2\\""''', width='"7-1/4"', thickness='"1-3/4 in"'),
                  units="in")  # fmt: skip
    assert ash.length == pytest.approx(102.5 * 25.4, abs=1e-9)
    assert ash.width == pytest.approx(7.25 * 25.4, abs=1e-9)
    assert ash.thickness == pytest.approx(44.45, abs=1e-9)


def test_none_in_stock_and_a_price_of_nothing_can_be_said():
    (ash,) = yard(row(count="0", price="0"))
    assert (ash.count, ash.price) == (0, 0.0)


def test_tables_are_additions_only_so_that_old_files_need_no_migration():
    shop = read(HEAD.format(units="mm")).project.shop
    assert SCHEMA_VERSION == 1
    assert MIGRATIONS == ()
    assert shop.yard == ()
    assert shop.machine.saw.depth is None
    assert (shop.cutting.end_trim, shop.cutting.keep_length, shop.currency) == (25.0, 400.0, "")


def test_an_unknown_wood_says_where_and_which_there_are():
    error = refused(row(), row(name='"elm"', wood='"elm"'))
    assert "shop.yard[2].wood" in error.where
    assert "line 19" in error.where
    assert error.allowed == "ash, oak"


@pytest.mark.parametrize(
    ("changes", "key", "word"),
    [
        ({"price": "-3"}, "price", "out of range"),
        ({"price": '"dear"'}, "price", "cannot read"),
        ({"length": "0"}, "length", "out of range"),
        ({"width": "-40"}, "width", "out of range"),
        ({"thickness": "1e7"}, "thickness", "out of range"),
        ({"count": "-1"}, "count", "out of range"),
        ({"count": "1.5"}, "count", "out of range"),
        ({"price_per": '"stone"'}, "price_per", "'stone'"),
        ({"name": '""'}, "name", "cannot be used"),
        ({"price": None}, "price", "missing"),
        ({"colour": '"red"'}, "colour", "not known"),
    ],
)
def test_what_no_board_can_be_is_refused(changes, key, word):
    error = refused(row(**changes))
    assert f"shop.yard[1].{key}" in error.where
    assert word in error.problem


def test_one_name_for_two_rows_is_refused():
    error = refused(row(), row(name='"oak"', wood='"oak"'), row(name='"Ash  52"'))
    assert "shop.yard[3].name" in error.where
    assert "twice" in error.problem


@pytest.mark.parametrize("name", ["board 3", "Board 12 (odd)"])
def test_a_name_of_the_rack_is_refused(name):
    assert "could be that of a board on the rack" in refused(row(name=f'"{name}"')).problem


def test_a_board_by_another_name_is_taken():
    assert [r.name for r in yard(row(name='"board, planed"'))] == ["board, planed"]


def test_a_sheet_of_which_nothing_is_left_is_refused():
    text = HEAD.format(units="mm") + "[shop.cutting]\nsheet_trim = 610\n"
    with pytest.raises(ProjectError, match="something left of the sheet") as error:
        read(text)
    assert "shop.cutting.sheet_trim" in error.value.where
    assert read(text.replace("610", "609")).project.shop.cutting.sheet_trim == 609.0
