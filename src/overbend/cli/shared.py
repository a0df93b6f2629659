"""What every command shares: plain words for errors, steps shown while it works."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, cast

import typer

from overbend.errors import OverbendError

if TYPE_CHECKING:
    from overbend.book.us_units import Reader
    from overbend.units import System

__all__ = ["Step", "progress", "said_plainly"]

Step = Callable[[str, int, int], None]


def _stop(_number: int, _frame: object) -> None:
    """Stop as Ctrl-C does, so that nothing half written stays."""
    raise KeyboardInterrupt


@contextmanager
def said_plainly(file: Path | None = None, units: str | None = None) -> Iterator[None]:
    """Turn an error of ours into its message and exit code 1; never a traceback.

    Parameters
    ----------
    file : the project worked with, if any; its unit is that of the message.
    units : the unit asked for instead.
    """
    before = signal.signal(signal.SIGTERM, _stop)
    try:
        yield
    except OverbendError as error:
        typer.echo(f"overbend: {_reader(file, units).error(error)}", err=True)
        raise typer.Exit(1) from None
    except KeyboardInterrupt:
        typer.echo("overbend: stopped; nothing was changed", err=True)
        raise typer.Exit(130) from None
    finally:
        signal.signal(signal.SIGTERM, before)


def _reader(file: Path | None, units: str | None) -> Reader:
    """Who reads the messages about a project, whether its file reads or not."""
    from overbend.book.us_units import reader_of

    text = ""
    if file is not None:
        with suppress(OSError):
            text = file.read_text(encoding="utf-8", errors="replace")
    system = cast("System", units) if units in ("mm", "in") else None
    places = () if file is None else (file.name, str(file), str(file.absolute()))
    return reader_of(text, system, places)


@contextmanager
def progress() -> Iterator[Step]:
    """Show steps on standard error: a bar on a terminal, plain lines elsewhere."""
    if not sys.stderr.isatty():
        yield lambda what, done, of: typer.echo(f"{done}/{of} {what}", err=True)
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    columns = (BarColumn(24), TextColumn("{task.completed:.0f}/{task.total:.0f}"))
    with Progress(
        *columns, TextColumn("{task.description}"), console=Console(stderr=True), transient=True
    ) as bar:
        task = bar.add_task("reading", total=1)
        yield lambda what, done, of: bar.update(task, description=what, completed=done, total=of)
