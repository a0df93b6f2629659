"""Example projects, and starting a piece of one's own from one."""

from __future__ import annotations

from pathlib import Path

from overbend.errors import InputError, OutputError
from overbend.examples import example_files
from overbend.project.expressions import suggestion

__all__ = ["example_names", "new_from_example"]


def example_names() -> tuple[str, ...]:
    """Names of the examples.

    Examples
    --------
    >>> "low-stool" in example_names()
    True
    """
    return tuple(example_files())


def new_from_example(folder: str | Path, name: str) -> Path:
    """Make a folder with a copy of an example in it.

    Parameters
    ----------
    folder : folder to make; it may exist when it holds no file of that name.
    name : one of `example_names`.

    Returns
    -------
    the new project file.

    Raises
    ------
    InputError
        When there is no such example.
    OutputError
        When the file is there already, or cannot be written.
    """
    files = example_files()
    if name not in files:
        raise InputError(
            f"there is no example {name!r}" if name else "no example is named",
            allowed=", ".join(files) or "none: the examples are not installed",
            todo=suggestion(name, files) or "name one of these",
        )
    file = Path(folder) / files[name].name
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        with file.open("xb") as stream:
            stream.write(files[name].read_bytes())
    except FileExistsError as error:
        raise OutputError(
            "there is something of that name already", str(file), todo="name another folder"
        ) from error
    except OSError as error:
        raise OutputError(
            f"the example cannot be written: {error.strerror or error}",
            str(file),
            todo="name a folder you may write to",
        ) from error
    return file
