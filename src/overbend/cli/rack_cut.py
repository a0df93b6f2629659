"""`overbend rack`: boards that lie there; booking a cutting plan on it, and undoing that."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from overbend.cli.shared import progress, said_plainly
from overbend.cli.trial import LedgerFile, Units

if TYPE_CHECKING:
    from overbend.ledger import Booking
    from overbend.plan import Plan

app = typer.Typer(help="Boards on the rack, and booking cutting plans on it.")

_PLAN, _FILE = "plan.json", "project.toml"

OwnUnits = Annotated[
    str | None, typer.Option(help="Unit of what is shown: mm or in; else the project's own.")
]
Yes = Annotated[bool, typer.Option("--yes", help="Do not ask.")]


@app.callback(invoke_without_command=True)
def rack(context: typer.Context, units: Units = "mm", ledger: LedgerFile = None) -> None:
    """List the boards that lie on the rack."""
    if context.invoked_subcommand is not None:
        return
    with said_plainly(units=units):
        from overbend.cli.rack_text import told_rack
        from overbend.cli.trial_input import Reader
        from overbend.ledger import open_ledger

        display = Reader(units).display
        with open_ledger(ledger, make=False) as book:
            text = told_rack(book, display)
    typer.echo(text)


@app.command()
def commit(
    project: Annotated[
        Path,
        typer.Argument(help="The book's folder, or the project file.", show_default=False),
    ],
    again: Annotated[
        bool, typer.Option("--again", help="Book a plan that was booked before once more.")
    ] = False,
    yes: Yes = False,
    on: Annotated[str | None, typer.Option(help="Day, such as 2026-05-17; else today.")] = None,
    units: OwnUnits = None,
    ledger: LedgerFile = None,
) -> None:
    """Book a cutting plan: boards leave the rack, off-cuts worth keeping enter it."""
    with said_plainly(project / _FILE if project.is_dir() else project, units):
        from overbend.cli.rack_text import told_booked, told_booking
        from overbend.cli.trial_input import Reader, day
        from overbend.ledger import book, check_booking, default_path, open_ledger

        when = day(on)
        asked = None if units is None else Reader(units)
        booking, own = _booking(project, ledger)
        display = (asked or Reader(own)).display
        if (ledger or default_path()).exists():
            with open_ledger(ledger, make=False) as opened:
                check_booking(opened, booking, again=again)
        typer.echo(told_booking(booking, display))
        _ask(yes)
        with open_ledger(ledger) as opened:
            done = book(opened, booking, when, again=again)
    typer.echo(told_booked(done))


@app.command()
def undo(yes: Yes = False, ledger: LedgerFile = None) -> None:
    """Take the last booking back: its off-cuts go, the boards lie on the rack again."""
    with said_plainly():
        from overbend.cli.rack_text import told_undoing
        from overbend.ledger import last_cut, open_ledger
        from overbend.ledger import undo as take_back

        with open_ledger(ledger, make=False) as opened:
            number, cut = last_cut(opened)
            typer.echo(told_undoing(opened, cut))
            _ask(yes)
            done = take_back(opened, number)
    typer.echo(f"Taken back: {done.project}, {len(done.left)} off-cuts out, {len(done.came)} in")


def _ask(yes: bool) -> None:
    if not yes and not typer.confirm("Go on?"):
        typer.echo("Nothing was changed.")
        raise typer.Exit(1)


# -- where the plan comes from -----------------------------------------------------------
def _booking(project: Path, ledger: Path | None) -> tuple[Booking, str]:
    """Plan as it was printed, where there is a book of this very file, else made anew; its unit."""
    from overbend.ledger import booking_of

    if project.is_dir():
        data = _printed(project / _PLAN)
        own = "in" if data.get("units_of_file") == "in" else "mm"
        return booking_of(data, str(project)), own
    plan = _plan(project, ledger)
    folder = Path(f"{project.stem}-book")
    if (folder / _PLAN).is_file():
        data = _printed(folder / _PLAN)
        if data.get("fingerprint") == plan.fingerprint:
            typer.echo(f"As printed in {folder}.")
            return booking_of(data, str(folder)), plan.project.units
    return booking_of(_computed(plan), str(project)), plan.project.units


def _plan(file: Path, ledger: Path | None) -> Plan:
    """Plan with the boards of the ledger, where there is one."""
    from overbend.ledger import default_path, open_ledger, shop_state
    from overbend.plan import open_plan

    if not (ledger or default_path()).exists():
        return open_plan(file)
    with open_ledger(ledger, make=False) as opened:
        return open_plan(file, None, shop_state(opened))


def _computed(plan: Plan) -> dict[str, Any]:
    from overbend.cli.boards import choose_boards
    from overbend.plan import cutting_data

    with progress() as step:
        choose_boards(plan, step)
    return {
        "project": plan.project.name,
        "fingerprint": plan.fingerprint,
        "cutting": cutting_data(plan),
    }


def _printed(file: Path) -> dict[str, Any]:
    """Plain data of a book."""
    from overbend.errors import LedgerError

    try:
        data = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise LedgerError(
            "the folder's plan cannot be read",
            str(file),
            allowed="a folder that overbend book wrote",
        ) from error
    if not isinstance(data, dict):
        raise LedgerError("the file holds no plan", str(file), "a folder that overbend book wrote")
    return data
