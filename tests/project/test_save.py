"""Editing and writing keep what the maker wrote."""

import tomllib
from pathlib import Path

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from overbend.errors import OutputError, ProjectError
from overbend.project import dump, edit, load, read, save

HERE = Path(__file__).parent
SAMPLES = [HERE / "sample.toml", HERE / "sample_mm.toml"]
SAMPLE = SAMPLES[0].read_text(encoding="utf-8")


def comments(text):
    return [line.split("#", 1)[1] for line in text.splitlines() if "#" in line]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.name)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_round_trip_is_byte_identical(path, end, tmp_path):
    data = path.read_bytes().replace(b"\n", end.encode())
    file = tmp_path / "piece.toml"
    file.write_bytes(data)
    save(file, dump(load(file).document))
    assert file.read_bytes() == data


LINES = st.lists(
    st.one_of(
        st.sampled_from(["", "   ", "\t", "# note, [a] = 1", "   # indented"]),
        st.builds(
            lambda key, value, tail: f"{key} {tail}= {value}{tail}{'# ' + tail if tail else ''}",
            st.sampled_from(["width", "'quoted key'", "a.b"]),
            st.sampled_from(['"3/16 in"', "1_000", "0x1F", "1e3", "'raw'", "[1,2, ]", "{a=1}"]),
            st.sampled_from(["", " ", "\t "]),
        ),
    ),
    max_size=8,
)


@given(LINES, st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_any_layout_survives(lines, end, last):
    text = end.join(lines) + (end if last else "")
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    assert dump(tomlkit.parse(text)) == text


EDITS = [
    ("name", "Porch rocker II", 'name = "Porch rocker II"'),
    ("dimensions.seat_height", "17 in", 'seat_height = "17 in"   # to the front edge, unloaded'),
    ("part.rocker.width", "2 in", 'width = "2 in"'),
    ("part.rocker.ply.1.count", 6, "count = 6"),
    ("part.slat.set.median", 0.75, "set = { median = 0.75, low = 0.65, high = 0.9 }"),
    ("part.slat.ply.0.thickness", "3/8 in", '[{ wood = "ash", thickness = "3/8 in" }]'),
    ("made.milled.thickness.1", 0.181, 'thickness = ["3/16 in", 0.181, 0.19]'),
    ("shop.clamp.0.count", 20, "count = 20"),
    ("curve.runner.stations.front-foot", 11, 'stations = { "front-foot" = 11 }'),
]


@pytest.mark.parametrize(("key", "value", "written"), EDITS)
def test_edit_changes_one_line_only(key, value, written):
    loaded = read(SAMPLE)
    edit(loaded.document, key, value)
    text = dump(loaded.document)
    changed = [
        (old, new)
        for old, new in zip(SAMPLE.splitlines(), text.splitlines(), strict=True)
        if old != new
    ]
    assert len(changed) == 1
    assert written in changed[0][1]
    assert comments(text) == comments(SAMPLE)
    assert read(text).project != loaded.project


def test_edit_adds_and_takes_out():
    document = read(SAMPLE).document
    edit(document, "part.rung.note", "turned")
    edit(document, "shop.machine.surfacing.least_length", 10)
    edit(document, "part.slat.set", None)
    edit(document, "made.milled.thickness.2", None)
    edit(document, "part.nobody.width", None)
    project = read(dump(document)).project
    assert project.part["rung"].note == "turned"
    assert project.shop.machine.surfacing.least_length == 254.0
    assert project.part["slat"].set is None
    assert project.made["milled"].count == 2
    assert comments(dump(document)) == comments(SAMPLE)


@pytest.mark.parametrize(
    ("key", "says"),
    [
        ("name.first", "under a plain value"),
        ("name.first.second", "under a plain value"),
        ("part.rocker.ply.7.count", "list of 2"),
        ("part.rocker.ply.first", "list of 2"),
    ],
)
def test_keys_that_lead_nowhere(key, says):
    with pytest.raises(ProjectError, match=says):
        edit(read(SAMPLE).document, key, 1)


def test_text_lengths_stay_as_typed_when_the_unit_changes():
    document = read(SAMPLE).document
    edit(document, "dimensions.seat_width", "20 in")
    edit(document, "units", "mm")
    text = dump(document)
    typed = [line for line in SAMPLE.splitlines() if '"1-3/4 in"' in line or "7/8" in line]
    assert typed
    assert all(line in text.splitlines() for line in typed)
    assert read(text).project.part["rocker"].width == 44.45


def test_save_replaces_and_keeps_permissions(tmp_path):
    file = tmp_path / "piece.toml"
    file.write_text("old")
    file.chmod(0o640)
    save(file, "größer\r\n")
    assert file.read_bytes() == "größer\r\n".encode()
    assert file.stat().st_mode & 0o777 == 0o640
    assert [f.name for f in tmp_path.iterdir()] == ["piece.toml"]


def test_save_through_a_link_changes_the_file_behind_it(tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text("old")
    link.symlink_to(real)
    save(link, "new")
    assert real.read_text() == "new"
    assert link.is_symlink()


def test_failed_save_keeps_the_old_file(tmp_path, monkeypatch):
    file = tmp_path / "piece.toml"
    file.write_text("old")

    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(OutputError, match="No space left"):
        save(file, "new")
    assert file.read_text() == "old"
    assert [f.name for f in tmp_path.iterdir()] == ["piece.toml"]


def test_save_where_it_cannot(tmp_path):
    with pytest.raises(OutputError, match="cannot be written"):
        save(tmp_path / "none" / "piece.toml", "text")
    with pytest.raises(OutputError, match="cannot be written"):
        save(tmp_path / "piece.toml", "\ud800")
    assert list(tmp_path.iterdir()) == []
