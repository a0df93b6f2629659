"""`overbend suggest`: which stacks of strips would do for a part."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from overbend.cli.shared import Step, progress, said_plainly
from overbend.errors import InputError, OverbendError

if TYPE_CHECKING:
    from overbend.book.say import Say
    from overbend.plan import BentPlan, Plan
    from overbend.study import Ask, Suggestion

__all__ = ["suggest"]

Many = list[str]


def suggest(
    file: Annotated[Path, typer.Argument(help="Project file (TOML).", show_default=False)],
    part: Annotated[str, typer.Argument(help="Name of a bent part.", show_default=False)],
    risk: Annotated[
        str, typer.Option(help="Greatest chance that a strip breaks: 0.05, 5 % or 1/20.")
    ] = "0.05",
    scatter: Annotated[
        str | None,
        typer.Option(help="Nine in ten tips off one form lie within this; else 5 mm or 3/16 in."),
    ] = None,
    depth: Annotated[str | None, typer.Option(help="Depth of the stack; else as drawn.")] = None,
    tolerance: Annotated[
        str | None, typer.Option(help="How far the depth may be off; else 5 %.")
    ] = None,
    step: Annotated[
        str | None, typer.Option(help="Step of the planer; else 0.1 mm or 1/64 in (assumed).")
    ] = None,
    method: Annotated[
        Many | None, typer.Option(help="Way of working to try: solid, laminate, steam-laminate.")
    ] = None,
    wood: Annotated[
        Many | None, typer.Option(help="Wood of the project to try by itself; else the part's own.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print every stack as JSON.")] = False,
    plot: Annotated[Path | None, typer.Option(help="Draw the trade-off as an SVG file.")] = None,
    learnt: Annotated[
        bool, typer.Option("--learnt", help="Use what trial bends in the shop's ledger taught.")
    ] = False,
    ledger: Annotated[
        Path | None, typer.Option("--ledger", help="Ledger to learn from; means --learnt too.")
    ] = None,
) -> None:
    """Find counts and thicknesses of strips that keep to a risk, a scatter and the window."""
    with said_plainly(file), progress() as show:
        from overbend import study
        from overbend.book.say import Say
        from overbend.book.us_units import names_of

        plan = _plan(file, learnt, ledger)
        bent = _part(plan, part)
        lengths = {"scatter": scatter, "depth": depth, "tolerance": tolerance, "step": step}
        ask = _ask(bent, risk, lengths, method or [], wood or [])
        found = study.suggest(bent, ask, _in_tenths(show))
        say = Say(plan.display, names_of(plan.loaded.raw))
        if plot is not None:
            _draw(plot, found, say)
        text = json.dumps(study.suggestion_data(found), indent=1) if as_json else _told(found, say)
    typer.echo(text)


def _in_tenths(show: Step) -> Step:
    """Show a tenth of the steps, and the last."""

    def shown(what: str, done: int, of: int) -> None:
        if done == of or done % max(1, of // 10) == 0:
            show(what, done, of)

    return shown


def _plan(file: Path, learnt: bool, ledger: Path | None) -> Plan:
    from overbend.plan import open_plan

    if not learnt and ledger is None:
        return open_plan(file)
    from overbend.ledger import open_ledger, shop_state

    with open_ledger(ledger) as shop:
        return open_plan(file, None, shop_state(shop))


def _part(plan: Plan, name: str) -> BentPlan:
    if name not in plan.bent:
        known = ", ".join(plan.bent) or "a project with a bent part"
        raise InputError(f"no bent part {name!r}", "PART", known)
    return plan.bent[name]


def _ask(
    part: BentPlan, risk: str, lengths: dict[str, str | None], method: Many, wood: Many
) -> Ask:
    """Read the options in the project's unit."""
    from overbend.study import ask_for

    given = {name: _length(part, name, text) for name, text in lengths.items() if text is not None}
    return ask_for(part, risk=_chance(risk), methods=method, woods=wood, **given)


def _length(part: BentPlan, name: str, text: str) -> float:
    from overbend.units import parse_length

    try:
        return parse_length(text, part.project.units)
    except OverbendError as error:
        raise error.at(f"--{name}") from error


def _chance(text: str) -> float:
    """A chance from a share or per cent."""
    from overbend.units import parse_number

    percent = text.strip().endswith("%")
    try:
        value = parse_number(text.strip().removesuffix("%"), "0.05, 5 % or 1/20")
    except OverbendError as error:
        raise error.at("--risk") from error
    return value / 100.0 if percent else value


def _draw(place: Path, found: Suggestion, say: Say) -> None:
    from overbend.book.chapters.suggest import suggest_drawing
    from overbend.draw.svg import to_svg
    from overbend.project import save

    save(place, to_svg(suggest_drawing(found, say)))


def _told(found: Suggestion, say: Say) -> str:
    """Answer, table and what was assumed, as text."""
    from overbend.book.chapters.suggest import suggest_rows, suggest_words

    head, rows, right = suggest_rows(found, say)
    cells = [head, *rows]
    wide = [max(len(row[k]) for row in cells) for k in range(len(head))]
    lines = [
        "  ".join(
            row[k].rjust(wide[k]) if k in right else row[k].ljust(wide[k]) for k in range(len(head))
        ).rstrip()
        for row in cells
    ]
    text = "\n".join([suggest_words(found, say), "", *lines, "", *found.notes])
    return say.words(text.replace("\u00a0", " "))
