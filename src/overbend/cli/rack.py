"""`overbend ledger`: what the shop has, and all of it out and in again."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from overbend.cli.shared import said_plainly
from overbend.cli.trial import LedgerFile, Units

if TYPE_CHECKING:
    from overbend.ledger import Record

app = typer.Typer(
    help="The shop's ledger: boards, forms, clamps, adhesives, trial bends, builds.",
    no_args_is_help=True,
)

Note = Annotated[str, typer.Option(help="Anything worth knowing.")]
Day = Annotated[str | None, typer.Option(help="Day, such as 2026-05-17; else today.")]


@app.command("export")
def export_all(
    file: Annotated[
        Path | None, typer.Argument(help="File to write; else it is printed.", show_default=False)
    ] = None,
    ledger: LedgerFile = None,
) -> None:
    """Write everything in the ledger as JSON."""
    with said_plainly():
        from overbend.ledger import export_json, open_ledger
        from overbend.project import save

        with open_ledger(ledger, make=False) as book:
            text = export_json(book)
        if file is not None:
            save(file, text)
    typer.echo(text if file is None else f"Written to {file}", nl=file is not None)


@app.command("import")
def import_all(
    file: Annotated[Path, typer.Argument(help="What an export wrote.", show_default=False)],
    ledger: LedgerFile = None,
) -> None:
    """Add what an export holds, all of it or nothing; what is there already stays."""
    with said_plainly():
        from overbend.errors import LedgerError
        from overbend.ledger import import_json, open_ledger

        try:
            text = file.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise LedgerError("the file cannot be read", str(file), "a file of text") from error
        with open_ledger(ledger) as book:
            done = import_json(book, text, str(file))
    typer.echo(f"{done.added} records added, {done.there} were there already")


@app.command()
def show(units: Units = "mm", ledger: LedgerFile = None) -> None:
    """Say where the ledger is and list what it holds, trial bends apart."""
    with said_plainly(units=units):
        from overbend.cli.rack_text import told_ledger
        from overbend.cli.trial_input import Reader
        from overbend.ledger import open_ledger

        display = Reader(units).display
        with open_ledger(ledger, make=False) as book:
            text = told_ledger(book, display)
    typer.echo(text)


@app.command()
def board(
    species: Annotated[str, typer.Option(help="Wood, as the trade calls it.")],
    length: Annotated[str, typer.Option(help="Length.")],
    width: Annotated[str, typer.Option(help="Width.")],
    thickness: Annotated[str, typer.Option(help="Thickness.")],
    dried: Annotated[str, typer.Option(help="How it was dried: kiln, air, green.")] = "",
    moisture: Annotated[float | None, typer.Option(help="Its moisture [%].")] = None,
    place: Annotated[str, typer.Option(help="Where it lies.")] = "",
    cost: Annotated[float | None, typer.Option(help="What it cost.")] = None,
    on: Day = None,
    note: Note = "",
    own_wood: Annotated[
        bool, typer.Option("--own-wood", help="The wood is yours and in no table.")
    ] = False,
    name: Annotated[str, typer.Option(help="What is written on it.")] = "",
    defect: Annotated[
        list[str] | None,
        typer.Option(
            help='Span that cannot be used, from its marked end: "700-820 mm". May come again.'
        ),
    ] = None,
    surfaced: Annotated[bool, typer.Option("--surfaced", help="Planed and straight.")] = False,
    units: Units = "mm",
    ledger: LedgerFile = None,
) -> None:
    """Take a board into the rack."""
    with said_plainly(units=units):
        from overbend.cli.rack_input import span
        from overbend.cli.trial_input import Reader, day, wood_id

        read = Reader(units)
        sizes = {"length": length, "width": width, "thickness": thickness}
        values = {
            "species": wood_id(species, own_wood),
            **{name: read.length(f"--{name}", text) for name, text in sizes.items()},
            "dried": dried,
            "moisture": moisture,
            "place": place,
            "cost": cost,
            "in_on": day(on),
            "note": note,
            "name": name,
            "surfaced": surfaced,
            "defects": [span("--defect", text, read.unit) for text in defect or ()],
        }
        _keep("boards", values, ledger)


@app.command()
def out(
    number: Annotated[int, typer.Argument(help="Number of the board.", show_default=False)],
    on: Day = None,
    ledger: LedgerFile = None,
) -> None:
    """Take a board out of the rack; what was bent from it stays known."""
    with said_plainly():
        from overbend.cli.trial_input import day, record_of
        from overbend.ledger import Board, open_ledger, read_record

        with open_ledger(ledger, make=False) as book:
            held = record_of(book, Board, number)
            gone = read_record(Board, {**held.model_dump(), "out_on": day(on)}, f"board {number}")
            book.replace(number, gone)
    typer.echo(f"Board {number} is out of the rack.")


@app.command()
def form(
    name: Annotated[str, typer.Option(help="What it is called.")],
    side: Annotated[str, typer.Option(help="Face of the part on it: concave or convex.")] = (
        "concave"
    ),
    radius: Annotated[str | None, typer.Option(help="Radius of its face.")] = None,
    chord: Annotated[str | None, typer.Option(help="Chord of its face.")] = None,
    rise: Annotated[str | None, typer.Option(help="Rise of its face over that chord.")] = None,
    on: Day = None,
    note: Note = "",
    units: Units = "mm",
    ledger: LedgerFile = None,
) -> None:
    """Keep a form that was built."""
    with said_plainly(units=units):
        from overbend.cli.trial_input import Reader, day

        read = Reader(units)
        sizes = {"radius": radius, "chord": chord, "rise": rise}
        given = {k: read.length(f"--{k}", t) for k, t in sizes.items() if t is not None}
        _keep(
            "forms",
            {"name": name, "side": side, **given, "made_on": day(on), "note": note},
            ledger,
        )


@app.command()
def clamps(
    name: Annotated[str, typer.Option(help="What they are called.")],
    count: Annotated[int, typer.Option(help="How many.")],
    opening: Annotated[str, typer.Option(help="Widest opening.")],
    force: Annotated[str, typer.Option(help="Force of one: N, kgf or lbf.")],
    note: Note = "",
    units: Units = "mm",
    ledger: LedgerFile = None,
) -> None:
    """Keep clamps of one kind."""
    with said_plainly(units=units):
        from overbend.cli.trial_input import Reader
        from overbend.units import parse_force

        values = {
            "name": name,
            "count": count,
            "opening": Reader(units).length("--opening", opening),
            "force": parse_force(force),
            "note": note,
        }
        _keep("clamps", values, ledger)


@app.command()
def adhesive(
    kind: Annotated[str, typer.Option(help="Kind, as in the table of adhesives.")],
    name: Annotated[str, typer.Option(help="What is on the bottle.")] = "",
    grams: Annotated[float | None, typer.Option(help="How much there is [g].")] = None,
    use_by: Annotated[str, typer.Option(help="Last day to use it.")] = "",
    on: Day = None,
    note: Note = "",
    ledger: LedgerFile = None,
) -> None:
    """Keep an adhesive that is on the shelf."""
    with said_plainly():
        from overbend.cli.trial_input import day
        from overbend.wood import find_adhesive

        values = {
            "kind": find_adhesive(kind).id,
            "name": name,
            "grams": grams,
            "bought_on": day(on),
            "use_by": use_by,
            "note": note,
        }
        _keep("adhesives", values, ledger)


@app.command()
def build(
    project: Annotated[Path, typer.Argument(help="Project file it was built from.")],
    pieces: Annotated[int, typer.Option(help="How many pieces.")] = 1,
    hours: Annotated[float | None, typer.Option(help="Hours of work.")] = None,
    started: Annotated[str, typer.Option(help="Day it was begun.")] = "",
    on: Day = None,
    note: Note = "",
    ledger: LedgerFile = None,
) -> None:
    """Keep a piece that was built, with the version of its project file."""
    with said_plainly(project):
        from overbend.cli.trial_input import day
        from overbend.plan import open_plan

        plan = open_plan(project)
        values = {
            "project": plan.project.name,
            "fingerprint": plan.fingerprint,
            "pieces": pieces,
            "started_on": started,
            "finished_on": day(on),
            "hours": hours,
            "note": note,
        }
        _keep("builds", values, ledger)


def _keep(table: str, values: dict[str, Any], ledger: Path | None) -> None:
    """Add a record and say its number."""
    from overbend.cli.rack_text import NOUNS
    from overbend.ledger import KINDS, open_ledger, read_record

    record: Record = read_record(KINDS[table], values, NOUNS[table])
    with open_ledger(ledger) as book:
        number = book.add(record)
    typer.echo(f"{NOUNS[table].capitalize()} {number} is kept in {book.path}")
