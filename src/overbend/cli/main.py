"""The command. It does what the page does, through the same facade.

Every command imports what it needs when it runs, so that help answers at once.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast

import typer

from overbend.cli.bench import app as bench
from overbend.cli.boards import choose_boards
from overbend.cli.rack import app as ledger_app
from overbend.cli.rack_cut import app as rack
from overbend.cli.serve import serve
from overbend.cli.shared import progress, said_plainly
from overbend.cli.suggest import suggest
from overbend.cli.trial import app as trial
from overbend.cli.wood import wood
from overbend.errors import OutputError

if TYPE_CHECKING:
    from overbend.draw.tile_plan import PaperName
    from overbend.plan import Plan

app = typer.Typer(
    help="From one project file to everything taken to the bench.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

app.command()(wood)
app.command()(serve)
app.command()(suggest)
app.add_typer(bench, name="bench")
app.add_typer(trial, name="trial")
app.add_typer(ledger_app, name="ledger")
app.add_typer(rack, name="rack")

File = Annotated[Path, typer.Argument(help="Project file (TOML).", show_default=False)]


Learnt = Annotated[
    bool, typer.Option("--learnt", help="Use the shop's ledger: what trial bends taught, its rack.")
]
LedgerPath = Annotated[
    Path | None, typer.Option("--ledger", help="Ledger to use; means --learnt too.")
]


def _plan(
    file: Path, units: str | None = None, learnt: bool = False, ledger: Path | None = None
) -> Plan:
    from overbend.plan import open_plan

    if not learnt and ledger is None:
        return open_plan(file, units)
    from overbend.ledger import open_ledger, shop_state

    with open_ledger(ledger, make=False) as shop:
        return open_plan(file, units, shop_state(shop))


@app.command()
def book(
    file: File,
    out: Annotated[
        Path | None,
        typer.Option(help="Folder to write; the file's name with -book when not given."),
    ] = None,
    paper: Annotated[
        str | None, typer.Option(help="Paper for pages and templates: a4, a3 or letter.")
    ] = None,
    units: Annotated[str | None, typer.Option(help="Show lengths in mm or in.")] = None,
    learnt: Learnt = False,
    ledger: LedgerPath = None,
) -> None:
    """Write the folder for the bench: book, templates, lists."""
    with said_plainly(file, units), progress() as step:
        from overbend.book import write_book

        if paper not in (None, "a4", "a3", "letter"):
            raise OutputError(f"paper {paper!r}", "--paper", "a4, a3 or letter")
        target = out or Path(f"{file.stem}-book")
        made = _plan(file, units, learnt, ledger)
        choose_boards(made, step)
        written = write_book(
            made,
            target,
            paper=cast("PaperName | None", paper),
            step=step,
        )
    typer.echo(f"{written.folder}: {len(written.files)} files, start with book.pdf")
    for line in written.fails:
        typer.echo(f"  fails: {line}")
    for line in written.holds:
        typer.echo(f"  waits for you: {line}")


@app.command()
def check(file: File, learnt: Learnt = False, ledger: LedgerPath = None) -> None:
    """Read the file, compute everything, say what holds, is close or fails."""
    with said_plainly(file), progress() as step:
        from overbend.book import check_report

        made = _plan(file, None, learnt, ledger)
        choose_boards(made, step)
        report, good = check_report(made)
    typer.echo(report)
    raise typer.Exit(0 if good else 1)


@app.command()
def plan(
    file: File,
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
    learnt: Learnt = False,
    ledger: LedgerPath = None,
) -> None:
    """Print everything computed; the keys are explained in docs/plan-json.md."""
    with said_plainly(file):
        from overbend.book import check_report
        from overbend.plan import plan_data

        made = _plan(file, None, learnt, ledger)
        text = json.dumps(plan_data(made), indent=1) if as_json else check_report(made)[0]
    typer.echo(text)


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(help="Folder to make.", show_default=False)],
    example: Annotated[str, typer.Option("--from", help="Example to start from.")] = "",
) -> None:
    """Start a piece of your own from an example."""
    with said_plainly():
        from overbend.project import new_from_example

        made = new_from_example(folder, example)
    typer.echo(f"{made}\nNext: overbend check {made}")


@app.command()
def schema() -> None:
    """Print the JSON Schema of the project file, for editors that complete it."""
    from overbend.project import json_schema

    typer.echo(json.dumps(json_schema(), indent=2))
