"""`overbend serve`: the page, served from this machine to its own browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from overbend.cli.shared import said_plainly
from overbend.cli.trial import LedgerFile

__all__ = ["serve"]


def serve(
    folder: Annotated[
        Path, typer.Argument(help="Folder of projects, or one project file.")
    ] = Path(),
    port: Annotated[
        int | None, typer.Option(help="Port; 8737 when not given, or a free one.")
    ] = None,
    browser: Annotated[bool, typer.Option(help="Open the browser.")] = True,
    lan: Annotated[
        bool,
        typer.Option(
            "--lan",
            help="Let phones and tablets in this network see the steam day, each with a code. "
            "Not encrypted: only on a network you trust.",
        ),
    ] = False,
    ledger: LedgerFile = None,
) -> None:
    """Open the page: design by dragging, answers as you drag."""
    with said_plainly():
        from overbend.web.serve import serve as run

        run(folder, port, browser=browser, lan=lan, ledger=ledger, say=typer.echo)
