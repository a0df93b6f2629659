"""File and page in step: nothing of either side is lost."""

import os

from overbend.web.disk import Disk


def touch(path, text):
    path.write_text(text)
    now = path.stat().st_mtime_ns + 5_000_000
    os.utime(path, ns=(now, now))


def open_disk(tmp_path, text="one"):
    file = tmp_path / "a.toml"
    file.write_text(text)
    return file, Disk(file, text)


def test_nothing_happens_while_nothing_changes(tmp_path):
    file, disk = open_disk(tmp_path)
    stamp = file.stat().st_mtime_ns
    assert disk.settle("one") is None
    assert file.stat().st_mtime_ns == stamp


def test_what_the_page_changed_is_written(tmp_path):
    file, disk = open_disk(tmp_path)
    assert disk.settle("two").kind == "saved"
    assert file.read_text() == "two"
    assert disk.settle("two") is None


def test_what_an_editor_changed_is_taken_in(tmp_path):
    file, disk = open_disk(tmp_path)
    touch(file, "theirs")
    change = disk.settle("one")
    assert (change.kind, change.text) == ("taken", "theirs")
    assert disk.settle("theirs") is None


def test_both_changed_keeps_both(tmp_path):
    file, disk = open_disk(tmp_path)
    touch(file, "theirs")
    change = disk.settle("mine")
    assert change.kind == "conflict"
    assert file.read_text() == "mine"
    assert (tmp_path / change.file).read_text() == "theirs"


def test_both_came_to_the_same(tmp_path):
    file, disk = open_disk(tmp_path)
    touch(file, "same")
    assert disk.settle("same").kind == "saved"
    assert [p.name for p in tmp_path.iterdir()] == ["a.toml"]


def test_a_file_that_was_taken_away_is_written_again(tmp_path):
    file, disk = open_disk(tmp_path)
    file.unlink()
    assert disk.settle("one").kind == "gone"
    assert file.read_text() == "one"


def test_a_file_that_is_no_text_is_not_taken_in(tmp_path):
    file, disk = open_disk(tmp_path)
    file.write_bytes(b"\xff\xfe\x00")
    assert disk.settle("one") is None
