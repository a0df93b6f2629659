"""A folder written whole or not at all.

Everything is written into a new folder beside the old one; only when all of it is there
does it take the old one's place. A folder that this program did not write is never
replaced.
"""

from __future__ import annotations

import contextlib
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from overbend.errors import OutputError

__all__ = ["MARK", "replaced_whole"]

_STALE = 3600.0  # s
MARK = "plan.json"
"""The file by which a folder is known to be one of ours."""


@contextmanager
def replaced_whole(target: Path) -> Iterator[Path]:
    """Give a new empty folder that becomes `target` when the block ends without an error.

    Parameters
    ----------
    target : the folder to make or to replace.

    Yields
    ------
    The folder to write into, on the same disk.

    Raises
    ------
    OutputError
        When the place cannot be written, or holds something that is not a book of ours.
        Whatever was there before stays as it was.

    Examples
    --------
    >>> with tempfile.TemporaryDirectory() as place:
    ...     with replaced_whole(Path(place) / "book") as folder:
    ...         _ = (folder / "plan.json").write_text("{}")
    ...     [p.name for p in (Path(place) / "book").iterdir()]
    ['plan.json']
    """
    target = target.absolute()
    _check(target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _sweep(target)
        fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}.new-", dir=target.parent))
        fresh.chmod(0o755)
    except OSError as error:
        raise _unwritable(target, error) from error
    try:
        yield fresh
        _take_place(fresh, target)
    except OSError as error:
        raise _unwritable(target, error) from error
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _sweep(target: Path) -> None:
    """Clear what a killed run left beside the target more than an hour ago."""
    for kind in ("new", "old"):
        for stale in target.parent.glob(f".{target.name}.{kind}-*"):
            with contextlib.suppress(OSError):
                if time.time() - stale.stat().st_mtime > _STALE:
                    shutil.rmtree(stale)


def _check(target: Path) -> None:
    """Refuse a place that is a file or a folder of something else."""
    if not target.exists():
        return
    todo = "give another --out, or empty the folder yourself"
    if not target.is_dir():
        raise OutputError("is a file", str(target), "a folder, or a name not in use", todo)
    try:
        names = [entry.name for entry in target.iterdir()]
    except OSError as error:
        raise _unwritable(target, error) from error
    if names and MARK not in names:
        raise OutputError(
            f"holds {len(names)} things that are not a book of this program",
            str(target),
            f"an empty folder, or one with a {MARK} in it",
            todo,
        )


def _take_place(fresh: Path, target: Path) -> None:
    """Move the old folder aside, the new one in, and only then delete the old one."""
    old = fresh.with_name(fresh.name.replace(".new-", ".old-"))
    had = target.exists()
    if had:
        target.rename(old)
    try:
        fresh.rename(target)
    except OSError:
        if had:
            old.rename(target)
        raise
    with contextlib.suppress(OSError):
        shutil.rmtree(old) if had else None


def _unwritable(target: Path, error: OSError) -> OutputError:
    return OutputError(
        f"cannot be written: {error.strerror or error}",
        str(target),
        "a folder on a disk with room, where you may write",
        "choose another place with --out; nothing was changed there",
    )
