"""What every command shares: plain words for errors, steps shown while it works."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import typer

from overbend.errors import OverbendError

__all__ = ["Step", "progress", "said_plainly"]

Step = Callable[[str, int, int], None]


def _stop(_number: int, _frame: object) -> None:
    """Stop as Ctrl-C does, so that nothing half written stays."""
    raise KeyboardInterrupt


@contextmanager
def said_plainly() -> Iterator[None]:
    """Turn an error of ours into its message and exit code 1; never a traceback."""
    before = signal.signal(signal.SIGTERM, _stop)
    try:
        yield
    except OverbendError as error:
        typer.echo(f"overbend: {error}", err=True)
        raise typer.Exit(1) from None
    except KeyboardInterrupt:
        typer.echo("overbend: stopped; nothing was changed", err=True)
        raise typer.Exit(130) from None
    finally:
        signal.signal(signal.SIGTERM, before)


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
