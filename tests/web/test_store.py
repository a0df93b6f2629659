"""The shelf: new from an example, copy, rename, trash."""

import pytest

from overbend.errors import InputError, OutputError
from overbend.web.store import TRASH, Store, plain_name


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path / "pieces")


def test_a_new_piece_has_a_folder_and_its_own_name(store):
    id = store.new("low-stool", "Stool for Ann")
    assert id == "stool-for-ann/stool-for-ann"
    assert 'name = "Stool for Ann"' in store.path(id).read_text()
    assert [e.title for e in store.entries()] == ["Stool for Ann"]
    with pytest.raises(OutputError, match="of that name already"):
        store.new("slatted-bench", "stool for ann")


def test_copies_take_drawings_along_and_leave_books_behind(store):
    id = store.new("low-stool", "")
    folder = store.path(id).parent
    (folder / "leg.dxf").write_text("0")
    (folder / "low-stool-book").mkdir()
    (folder / "low-stool-book" / "plan.json").write_text("{}")
    copy = store.path(store.duplicate(id))
    assert sorted(p.name for p in copy.parent.iterdir()) == ["leg.dxf", "low-stool-2.toml"]
    assert store.duplicate(id).startswith("low-stool-3/")


def test_a_renamed_piece_keeps_what_lies_beside_it(store):
    id = store.new("low-stool", "")
    (store.path(id).parent / "leg.svg").write_text("0")
    renamed = store.rename(id, "Perch")
    assert renamed == "perch/perch"
    assert (store.path(renamed).parent / "leg.svg").exists()
    with pytest.raises(InputError):
        store.path(id)


def test_deleting_moves_to_the_trash_and_leaves_neighbours(store):
    for name in ("one", "two"):
        (store.root / f"{name}.toml").write_text(f"name = '{name}'")
    place = store.delete("one")
    assert place.parent.name == TRASH
    assert (place / "one.toml").read_text() == "name = 'one'"
    assert [e.id for e in store.entries()] == ["two"]
    (store.root / "one.toml").write_text("name = 'again'")
    assert store.delete("one") != place


def test_books_hidden_folders_and_the_trash_are_no_projects(store):
    for folder in ("x-book", ".git", TRASH):
        (store.root / folder).mkdir()
        (store.root / folder / "project.toml").write_text("name = 'x'")
    (store.root / "x-book" / "plan.json").write_text("{}")
    assert store.entries() == []


def test_names_that_leave_nothing_are_refused():
    for name in ("", "...", "///", "日本"):
        with pytest.raises(InputError):
            plain_name(name)
