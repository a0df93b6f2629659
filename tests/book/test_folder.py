"""The folder is replaced whole or not at all."""

import os
import sys

import pytest

from overbend.book.folder import MARK, replaced_whole
from overbend.errors import OutputError
from support.folders import names_in


def fill(folder, text):
    (folder / MARK).write_text(text)
    (folder / "sub").mkdir()
    (folder / "sub" / "a.txt").write_text(text)


def test_a_new_folder_appears_whole(tmp_path):
    out = tmp_path / "deep" / "book"
    with replaced_whole(out) as folder:
        fill(folder, "one")
        assert not out.exists()
    assert (out / "sub" / "a.txt").read_text() == "one"
    assert names_in(out.parent) == ["book"]


def test_an_old_book_is_replaced_and_nothing_of_it_stays(tmp_path):
    out = tmp_path / "book"
    with replaced_whole(out) as folder:
        fill(folder, "one")
        (folder / "extra.txt").write_text("old")
    with replaced_whole(out) as folder:
        fill(folder, "two")
    assert names_in(out) == [MARK, "sub"]
    assert names_in(tmp_path) == ["book"]


def test_an_error_on_the_way_leaves_the_old_book(tmp_path):
    out = tmp_path / "book"
    with replaced_whole(out) as folder:
        fill(folder, "one")

    def interrupted():
        with replaced_whole(out) as folder:
            fill(folder, "two")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        interrupted()
    assert (out / MARK).read_text() == "one"
    assert names_in(tmp_path) == ["book"]


def test_a_folder_of_something_else_is_never_touched(tmp_path):
    out = tmp_path / "photos"
    out.mkdir()
    (out / "bird.jpg").write_text("x")
    with pytest.raises(OutputError, match="not a book"), replaced_whole(out):
        pass
    assert names_in(out) == ["bird.jpg"]


def test_a_file_in_the_way_is_refused(tmp_path):
    out = tmp_path / "note"
    out.write_text("mine")
    with pytest.raises(OutputError, match="is a file"), replaced_whole(out):
        pass
    assert out.read_text() == "mine"


@pytest.mark.skipif(sys.platform != "linux", reason="needs a place no user can write")
def test_a_place_that_cannot_be_written_is_said(tmp_path):
    with (
        pytest.raises(OutputError, match="cannot be written"),
        replaced_whole(tmp_path.__class__("/proc/book")),
    ):
        pass


def test_when_the_last_move_fails_the_old_book_is_put_back(tmp_path, monkeypatch):
    out = tmp_path / "book"
    with replaced_whole(out) as folder:
        fill(folder, "one")
    real = out.__class__.rename

    def rename(self, target):
        if ".new-" in self.name:
            raise OSError(28, "No space left on device")
        return real(self, target)

    monkeypatch.setattr(out.__class__, "rename", rename)
    with pytest.raises(OutputError, match="No space left"), replaced_whole(out) as folder:
        fill(folder, "two")
    assert (out / MARK).read_text() == "one"


def test_what_a_killed_run_left_is_swept_after_an_hour(tmp_path):
    old, fresh = tmp_path / ".book.new-aaa", tmp_path / ".book.new-bbb"
    for left in (old, fresh):
        left.mkdir()
    os.utime(old, (1.0, 1.0))
    with replaced_whole(tmp_path / "book") as folder:
        fill(folder, "one")
    assert names_in(tmp_path) == [".book.new-bbb", "book"]
