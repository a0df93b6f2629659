"""`overbend trial`: record trial bends, and see what they teach."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from overbend.cli.shared import said_plainly

if TYPE_CHECKING:
    from overbend.cli.trial_input import Reader
    from overbend.ledger import Ledger, Measurement

app = typer.Typer(help="Record trial bends and learn from them.", no_args_is_help=True)

LedgerFile = Annotated[
    Path | None,
    typer.Option(
        "--ledger",
        help="The shop's ledger; without it OVERBEND_LEDGER or the usual place.",
        show_default=False,
    ),
]
Units = Annotated[str, typer.Option(help="Unit of bare numbers and of what is shown: mm or in.")]
Radius = Annotated[
    str | None, typer.Option(help="Radius that came off, of the face that lay on the form.")
]
Chord = Annotated[str | None, typer.Option(help="Instead: straight between two of its points.")]
Rise = Annotated[str | None, typer.Option(help="With the chord: greatest distance from it.")]
PastHalf = Annotated[bool, typer.Option("--past-half", help="The arc is over half a circle.")]
Points = Annotated[
    Path | None, typer.Option(help="Instead: file of 3 to 50 points, x and y on a line.")
]
After = Annotated[
    str | None, typer.Option(help='Time from release to measuring: "1 h", "1 day", "10 days".')
]
Accuracy = Annotated[
    str | None,
    typer.Option(help="How well you can measure; else 0.5 mm, for a radius 1 % (assumed)."),
]


@app.command()
def add(
    species: Annotated[str, typer.Option(help="Wood, as the trade calls it.")],
    treatment: Annotated[str, typer.Option(help="cold, steam or soak-steam.")],
    thickness: Annotated[str, typer.Option(help="Thickness of a strip, in the bend.")],
    form_radius: Annotated[str, typer.Option(help="Radius of the form's face.")],
    plies: Annotated[int, typer.Option(help="Strips glued together; 1 for a solid bend.")] = 1,
    side: Annotated[
        str, typer.Option(help="Face of the part that lay on the form: concave or convex.")
    ] = "concave",
    strap: Annotated[bool, typer.Option("--strap", help="Bent with a strap and stops.")] = False,
    broken: Annotated[bool, typer.Option("--broken", help="It broke.")] = False,
    radius: Radius = None,
    chord: Chord = None,
    rise: Rise = None,
    past_half: PastHalf = False,
    points: Points = None,
    after: After = None,
    accuracy: Accuracy = None,
    steam: Annotated[str | None, typer.Option(help='Time in steam, "45 min".')] = None,
    soak: Annotated[str | None, typer.Option(help='Time in water, "24 h".')] = None,
    dried: Annotated[str, typer.Option(help="How the wood was dried: kiln, air, green.")] = "",
    moisture: Annotated[float | None, typer.Option(help="Its moisture when bent [%].")] = None,
    grain: Annotated[str | None, typer.Option(help='Slope of grain, "1 in 15".')] = None,
    on: Annotated[str | None, typer.Option(help="Day it was bent; else today.")] = None,
    run: Annotated[str, typer.Option(help="Steam run; else one for each day.")] = "",
    board: Annotated[int | None, typer.Option(help="Number of its board in the ledger.")] = None,
    form: Annotated[int | None, typer.Option(help="Number of its form in the ledger.")] = None,
    who: Annotated[str, typer.Option(help="Who bent it.")] = "",
    note: Annotated[str, typer.Option(help="Anything worth knowing.")] = "",
    own_wood: Annotated[
        bool, typer.Option("--own-wood", help="The wood is yours and in no table.")
    ] = False,
    units: Units = "mm",
    ledger: LedgerFile = None,
) -> None:
    """Record a trial bend, with what came off the form if it is measured already."""
    with said_plainly(units=units):
        from overbend.cli import trial_input as given
        from overbend.cli.trial_text import told_trial
        from overbend.ledger import Board, Form, open_ledger

        read = given.Reader(units)
        measured = _measured(read, radius, chord, rise, past_half, points, after, accuracy)
        with open_ledger(ledger) as book:
            trial = given.trial(
                species=given.wood_id(species, own_wood),
                treatment=treatment,
                thickness=read.length("--thickness", thickness),
                form_radius=read.length("--form-radius", form_radius),
                plies=plies,
                side=side,
                strap=strap,
                broken=broken,
                steam_minutes=read.duration("--steam", steam, 60.0),
                soak_hours=read.duration("--soak", soak, 3600.0),
                dried=dried,
                moisture=moisture,
                grain_slope=read.slope("--grain", grain),
                bent_on=given.day(on),
                run=run,
                board=given.uid_of(book, Board, board),
                form=given.uid_of(book, Form, form),
                who=who,
                note=note,
                measurements=[measured] if measured else [],
            )
            number = book.add(trial)
            text = told_trial(number, trial, _lost_at_ten_days(book).get(number), read.display)
            place = book.path
    typer.echo(f"Kept in {place}\n{text}")


@app.command()
def measure(
    number: Annotated[int, typer.Argument(help="Number of the trial bend.", show_default=False)],
    after: After = None,
    radius: Radius = None,
    chord: Chord = None,
    rise: Rise = None,
    past_half: PastHalf = False,
    points: Points = None,
    accuracy: Accuracy = None,
    units: Units = "mm",
    ledger: LedgerFile = None,
) -> None:
    """Measure a trial bend again: after an hour, a day, ten days."""
    with said_plainly(units=units):
        from overbend.cli import trial_input as given
        from overbend.cli.trial_text import told_trial
        from overbend.ledger import open_ledger

        read = given.Reader(units)
        measured = _measured(read, radius, chord, rise, past_half, points, after, accuracy)
        if measured is None:
            raise given.nothing_measured()
        with open_ledger(ledger, make=False) as book:
            trial = book.measure(number, measured)
            text = told_trial(number, trial, _lost_at_ten_days(book).get(number), read.display)
    typer.echo(text)


@app.command("list")
def list_trials(units: Units = "mm", ledger: LedgerFile = None) -> None:
    """Show every trial bend, and what is expected of it at ten days."""
    with said_plainly(units=units):
        from overbend.cli.trial_input import Reader
        from overbend.cli.trial_text import told_trial
        from overbend.ledger import Trial, open_ledger

        display = Reader(units).display
        with open_ledger(ledger, make=False) as book:
            trials, rest = book.all_of(Trial), _lost_at_ten_days(book)
            place = book.path
        lines = [told_trial(number, t, rest.get(number), display) for number, t in trials]
    typer.echo("\n".join(lines) or f"No trial bend in {place} yet: overbend trial add")


@app.command()
def remove(
    number: Annotated[int, typer.Argument(help="Number of the trial bend.", show_default=False)],
    ledger: LedgerFile = None,
) -> None:
    """Take out a trial bend that was recorded by mistake."""
    with said_plainly():
        from overbend.ledger import open_ledger

        with open_ledger(ledger, make=False) as book:
            book.remove_trial(number)
    typer.echo(f"Trial bend {number} is taken out.")


@app.command()
def fit(
    plot: Annotated[
        Path | None, typer.Option(help="Draw guess, trials and what was learnt.")
    ] = None,
    units: Units = "mm",
    ledger: LedgerFile = None,
) -> None:
    """Show what the trial bends teach: the guess before, what is known now, and from how many."""
    with said_plainly(units=units):
        from overbend.cli.trial_input import Reader
        from overbend.cli.trial_text import told_fit
        from overbend.ledger import fitted, open_ledger

        display = Reader(units).display
        with open_ledger(ledger, make=False) as book:
            found = fitted(book)
        text = told_fit(found, display)
        if plot is not None:
            from overbend.cli.trial_text import fit_svg
            from overbend.project import save

            save(plot, fit_svg(found, display))
            text += f"\n\nDrawn in {plot}"
    typer.echo(text)


def _measured(
    read: Reader,
    radius: str | None,
    chord: str | None,
    rise: str | None,
    past_half: bool,
    points: Path | None,
    after: str | None,
    accuracy: str | None,
) -> Measurement | None:
    """Measurement from its options; None when nothing was measured."""
    return read.measurement(
        after=after,
        lengths={"radius": radius, "chord": chord, "rise": rise, "accuracy": accuracy},
        past_half=past_half,
        points=points,
    )


def _lost_at_ten_days(book: Ledger) -> dict[int, Any]:
    """Share of the bend lost at ten days, by number of the trial."""
    from overbend.ledger import lost_at_ten_days

    return lost_at_ten_days(book)
