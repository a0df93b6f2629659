"""A picture to trace: kept beside the project, placed by two points of known distance.

The picture lies beside the project file as ``NAME.trace.png`` (or .jpg, .webp), and where it
lies under the drawing in ``NAME.trace.json``; the project file does not know of it. Nothing here
decodes a picture: its first bytes say what it claims to be and how large it is, its last ones
whether it is whole, and only the browser draws it.
"""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from overbend.errors import DrawingFileError, OutputError, ProjectError
from overbend.units import System, parse_length
from overbend.web.words import words

__all__ = [
    "LARGEST_PICTURE", "MEDIA", "MOST_PIXELS", "Kept", "Placed", "as_data", "checked",
    "companions", "distance_of", "keep_picture", "kept", "picture_of", "placed", "put_back",
    "put_placed", "read_marks", "read_placed", "remove_picture", "scaled",
]  # fmt: skip

LARGEST_PICTURE = 4_500_000
"""Largest picture that is kept [bytes]; the page makes a larger one smaller before it sends it."""

MOST_PIXELS = 40_000_000
"""Most points of colour a picture may have."""

MEDIA = {".png": "image/png", ".jpg": "image/jpeg", ".webp": "image/webp"}
"""Media type of a kept picture by the ending of its name."""

_RECORD = 1
_LONGEST = 1e6  # mm

Pair = tuple[float, float]


@dataclass(frozen=True)
class Placed:
    """Where the picture lies under the drawing.

    A point of the picture ``(px, py)``, counted right and down from its left upper corner, lies
    at ``(x + m (px cos a + py sin a), y + m (px sin a - py cos a))`` of the curves' frame, with m
    the size of a point of colour and a the turn.

    Parameters
    ----------
    x, y : place of the left upper corner [mm].
    size : of one point of colour [mm].
    turn : of the picture, counter-clockwise [rad].
    width, height : of the picture [points of colour].
    marks : the two points the scale was taken from [points of colour], empty when it was not.
    distance : between them [mm], 0 when there is no scale yet.
    opacity : 0 to 1.
    shown : whether it is seen.
    """

    x: float = 0.0
    y: float = 0.0
    size: float = 1.0
    turn: float = 0.0
    width: int = 0
    height: int = 0
    marks: tuple[Pair, ...] = ()
    distance: float = 0.0
    opacity: float = 0.6
    shown: bool = True

    def at(self, px: float, py: float) -> Pair:
        """Place of a point of the picture in the curves' frame [mm].

        Examples
        --------
        >>> Placed(x=10.0, y=50.0, size=0.5).at(20, 30)
        (20.0, 35.0)
        """
        c, s = math.cos(self.turn), math.sin(self.turn)
        return self.x + self.size * (px * c + py * s), self.y + self.size * (px * s - py * c)


@dataclass(frozen=True)
class Kept:
    """A picture and where it lies, as it can be put back.

    Parameters
    ----------
    where : it lies; None when there is no picture.
    data : of its file.
    """

    where: Placed | None = None
    data: bytes = b""

    def lies_as(self, other: Kept) -> bool:
        """Whether it is the same picture in the same place, however strongly it is seen."""
        return self.data == other.data and self.looking(other) == other

    def looking(self, other: Kept) -> Kept:
        """Return it seen as strongly as another one."""
        if self.where is None or other.where is None:
            return self
        seen = replace(self.where, opacity=other.where.opacity, shown=other.where.shown)
        return replace(self, where=seen)


def scaled(placed: Placed, marks: Sequence[Pair], distance: float, level: str = "none") -> Placed:
    """Give the picture its scale by two of its points; the first one stays where it lies.

    Parameters
    ----------
    placed : where it lies now.
    marks : the two points [points of colour].
    distance : between them [mm], > 0.
    level : "level" or "plumb" turns the picture, by the smaller angle, so that the line between
        the two lies so; "none" leaves its turn.

    Raises
    ------
    DrawingFileError
        When the points lie on each other or the distance is none.

    Examples
    --------
    >>> p = scaled(Placed(), [(100.0, 40.0), (400.0, 440.0)], 1000.0)
    >>> round(p.size, 9), [round(v, 6) for v in p.at(100.0, 40.0)]
    (2.0, [100.0, -40.0])
    >>> p = scaled(Placed(), [(0.0, 0.0), (30.0, 2.0)], 600.0, "level")
    >>> abs(round(p.at(30.0, 2.0)[1], 9))
    0.0
    """
    (x0, y0), (x1, y1) = marks
    across = math.hypot(x1 - x0, y1 - y0)
    if across < 1.0:
        raise DrawingFileError(words("trace.marks.near"), todo=words("trace.marks.todo"))
    if not 0.0 < distance <= _LONGEST:
        raise DrawingFileError(words("trace.distance"), allowed="0.1 mm to 1000 m")
    turn = placed.turn
    if level in ("level", "plumb"):
        lies = math.atan2(-(y1 - y0), x1 - x0)  # of the line in the picture as it stands upright
        wanted = 0.0 if level == "level" else math.pi / 2.0
        turn = -_half_turn(lies - wanted)
    held = placed.at(x0, y0)
    fresh = replace(placed, size=distance / across, turn=turn, marks=((x0, y0), (x1, y1)),
                    distance=distance)  # fmt: skip
    moved = fresh.at(x0, y0)
    return replace(fresh, x=fresh.x + held[0] - moved[0], y=fresh.y + held[1] - moved[1])


def _half_turn(angle: float) -> float:
    """Angle within a quarter turn either way, as a line without direction has it."""
    return (angle + math.pi / 2.0) % math.pi - math.pi / 2.0


# -- what a picture says of itself ---------------------------------------------------------


def checked(data: bytes, name: str) -> tuple[str, int, int]:
    """Ending, width and height of a picture, from its first and last bytes.

    Parameters
    ----------
    data : of the file.
    name : it came under, for messages.

    Raises
    ------
    DrawingFileError
        Too large, no PNG, JPEG or WebP whatever its name says, or its end is missing.
    """
    name = name[:60]
    if len(data) > LARGEST_PICTURE:
        raise _too_large(name)
    for ending, reader in ((".png", _png), (".jpg", _jpeg), (".webp", _webp)):
        found = reader(data)
        if found is None:
            continue
        width, height, whole = found
        if not whole or not (width and height):
            raise DrawingFileError(words("trace.broken", name=name), todo=words("trace.again"))
        if width * height > MOST_PIXELS:
            raise _too_large(name)
        return ending, width, height
    raise DrawingFileError(words("trace.kind", name=name), allowed=words("trace.allowed"))


def _too_large(name: str) -> DrawingFileError:
    most = words(
        "trace.largest", size=f"{LARGEST_PICTURE / 1e6:g}", pixels=f"{MOST_PIXELS / 1e6:g}"
    )
    return DrawingFileError(words("trace.large", name=name), allowed=most)


Said = tuple[int, int, bool] | None


def _png(data: bytes) -> Said:
    if not data.startswith(b"\x89PNG\r\n\x1a\n"):
        return None
    if len(data) < 45 or data[12:16] != b"IHDR":
        return 0, 0, False
    return _big(data, 16, 4), _big(data, 20, 4), data.endswith(b"IEND\xaeB`\x82")


def _jpeg(data: bytes) -> Said:
    if not data.startswith(b"\xff\xd8\xff"):
        return None
    width = height = 0
    at = 2
    while at + 9 < len(data) and data[at] == 0xFF:
        kind = data[at + 1]
        if kind == 0xFF:  # filling
            at += 1
            continue
        if kind == 0xDA:  # the picture itself, in which the mark of its end never occurs
            return width, height, data.find(b"\xff\xd9", at) > 0
        if 0xC0 <= kind <= 0xCF and kind not in (0xC4, 0xC8, 0xCC):  # frame header
            width, height = _big(data, at + 7, 2), _big(data, at + 5, 2)
        at += 2 + max(_big(data, at + 2, 2), 2)
    return width, height, False


def _webp(data: bytes) -> Said:
    if data[:4] != b"RIFF" or data[8:12] != b"WEBP":
        return None
    whole = len(data) >= 8 + int.from_bytes(data[4:8], "little")
    kind = data[12:16]
    if len(data) < 30:
        return 0, 0, False
    if kind == b"VP8X":
        return _little(data, 24, 3) + 1, _little(data, 27, 3) + 1, whole
    if kind == b"VP8L" and data[20] == 0x2F:
        bits = _little(data, 21, 4)
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1, whole
    if kind == b"VP8 " and data[23:26] == b"\x9d\x01\x2a":
        return _little(data, 26, 2) & 0x3FFF, _little(data, 28, 2) & 0x3FFF, whole
    return 0, 0, False


def _big(data: bytes, at: int, size: int) -> int:
    return int.from_bytes(data[at : at + size], "big")


def _little(data: bytes, at: int, size: int) -> int:
    return int.from_bytes(data[at : at + size], "little")


# -- beside the project -------------------------------------------------------------------


def companions(project: Path) -> list[Path]:
    """Files of a project's tracing, picture and record, that there are."""
    endings = (*MEDIA, ".json")
    files = [project.with_name(f"{project.stem}.trace{ending}") for ending in endings]
    return [file for file in files if file.is_file() and not file.is_symlink()]


def picture_of(project: Path) -> Path | None:
    """The picture beside a project, None when there is none."""
    return next((f for f in companions(project) if f.suffix in MEDIA), None)


def keep_picture(project: Path, data: bytes, name: str) -> Path:
    """Write a checked picture beside the project, in place of the one there was.

    Raises
    ------
    DrawingFileError, OutputError
        When it cannot be used or kept.
    """
    ending, _, _ = checked(data, name)
    file = project.with_name(f"{project.stem}.trace{ending}")
    fresh = file.with_name(f".{file.name}.part")
    try:
        fresh.write_bytes(data)
        remove_picture(project)
        fresh.replace(file)
    except OSError as error:
        fresh.unlink(missing_ok=True)
        raise OutputError(words("trace.kept", why=error.strerror or error), file.name) from error
    return file


def remove_picture(project: Path) -> None:
    """Take the picture and its record away from beside the project."""
    for file in companions(project):
        file.unlink(missing_ok=True)


def placed(project: Path) -> Placed | None:
    """Where the picture lies, None when there is no picture; anew when the record is spoilt."""
    if picture_of(project) is None:
        return None
    try:
        record = json.loads(project.with_name(f"{project.stem}.trace.json").read_text("utf-8"))
        return read_placed(record)
    except (OSError, ValueError, ProjectError, RecursionError):
        return Placed()


def put_placed(project: Path, where: Placed) -> None:
    """Write where the picture lies.

    Raises
    ------
    OutputError
        When the folder refuses.
    """
    from overbend.project import save

    record = json.dumps({"record": _RECORD, **asdict(where)}, indent=1)
    save(project.with_name(f"{project.stem}.trace.json"), record + "\n")


def as_data(project: Path) -> dict[str, Any] | None:
    """Where the picture lies as the page reads it, None when there is no picture.

    Returns
    -------
    dict
        Fields of `Placed`, and ``picture``, another text whenever the file is written anew.
    """
    file, where = picture_of(project), placed(project)
    if file is None or where is None:
        return None
    return {**asdict(where), "picture": f"{file.stat().st_mtime_ns:x}"}


def kept(project: Path) -> Kept:
    """The picture beside a project and where it lies."""
    file = picture_of(project)
    return Kept() if file is None else Kept(placed(project), file.read_bytes())


def put_back(project: Path, wanted: Kept) -> bool:
    """Put a picture back where it was, seen as strongly as the one there is; whether it moved.

    Raises
    ------
    OutputError
        When the folder refuses.
    """
    now = kept(project)
    wanted = wanted.looking(now)
    if wanted == now:
        return False
    if wanted.where is None:
        remove_picture(project)
        return True
    if wanted.data != now.data:
        keep_picture(project, wanted.data, project.stem)
    put_placed(project, wanted.where)
    return True


def read_placed(record: object) -> Placed:
    """A place from a record of the file or the page, every value within reason.

    Raises
    ------
    ProjectError
        When it is no such record.
    """
    if not isinstance(record, dict):
        raise ProjectError(words("trace.placement"))
    where = Placed(
        x=_within(record, "x", -_LONGEST, _LONGEST),
        y=_within(record, "y", -_LONGEST, _LONGEST),
        size=_within(record, "size", 1e-6, 1e5),
        turn=_within(record, "turn", -10.0, 10.0),
        width=int(_within(record, "width", 0, 1e5)),
        height=int(_within(record, "height", 0, 1e5)),
        distance=_within(record, "distance", 0.0, _LONGEST),
        opacity=_within(record, "opacity", 0.0, 1.0),
        shown=record.get("shown") is not False,
    )
    return replace(where, marks=read_marks(record.get("marks") or []))


def read_marks(rows: object) -> tuple[Pair, ...]:
    """Two points of the picture, or none.

    Raises
    ------
    ProjectError
        When they are no points.
    """
    if rows in ([], ()):
        return ()
    if not isinstance(rows, list | tuple) or len(rows) != 2:
        raise ProjectError(words("trace.placement"), allowed=words("trace.marks"))
    found = []
    for row in rows:
        if not isinstance(row, list | tuple) or len(row) != 2:
            raise ProjectError(words("trace.placement"), allowed=words("trace.marks"))
        pair = {"x": row[0], "y": row[1]}
        found.append((_within(pair, "x", -1e5, 1e5), _within(pair, "y", -1e5, 1e5)))
    return tuple(found)


def _within(record: dict[str, Any], key: str, low: float, high: float) -> float:
    value = record.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise ProjectError(words("trace.placement"))
    return float(value)


def distance_of(text: str, unit: System) -> float:
    """Distance that was typed [mm].

    Raises
    ------
    UnitError
        When it does not read as a length.
    """
    return parse_length(text[:80], unit)
