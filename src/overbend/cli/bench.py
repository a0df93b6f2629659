"""`overbend bench`: the solvers measured on instances from files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from overbend.cli.shared import said_plainly
from overbend.errors import StockError

if TYPE_CHECKING:
    from overbend.solver import Solution
    from overbend.stock.sticks import Sticks

__all__ = ["app"]

app = typer.Typer(help="Measure the solvers.", no_args_is_help=True)


@app.callback()
def bench() -> None:
    """Measure the solvers on instances from files."""


@app.command()
def cutting(
    folder: Annotated[
        Path,
        typer.Argument(help="Folder of instances, its folders too (.txt).", show_default=False),
    ],
    seconds: Annotated[float, typer.Option(help="Time for each instance.")] = 10.0,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print one JSON object a line for each instance.")
    ] = False,
    compare: Annotated[
        bool,
        typer.Option(
            "--compare", help="Also solve by one CP-SAT program and by first fit decreasing."
        ),
    ] = False,
) -> None:
    """Fewest sticks of one length: solve every instance of a folder.

    A file holds the number of lengths, the stock length, then one line a length with how many.
    """
    proven = total = unread = 0
    with said_plainly():
        for path in _files(folder):
            sticks = _read(path)
            if sticks is None:
                unread += 1
                continue
            row = _row(sticks, seconds, compare)
            typer.echo(json.dumps(row) if as_json else _line(row))
            proven += row["status"] == "optimal"
            total += 1
    if not as_json:
        typer.echo(f"{proven} of {total} proven")
    raise typer.Exit(1 if unread else 0)


@app.command()
def boards(
    seeds: Annotated[int, typer.Option(help="How many made-up shops.", min=1)] = 5,
    seconds: Annotated[float, typer.Option(help="Time for each.", min=0.1)] = 20.0,
    strips: Annotated[int, typer.Option(help="Strips in all.", min=1)] = 2000,
    kinds: Annotated[int, typer.Option(help="Kinds of strip.", min=1)] = 30,
    stocks: Annotated[int, typer.Option(help="Kinds of board.", min=1)] = 15,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print one JSON object a line for each shop.")
    ] = False,
) -> None:
    """Least cost of boards for large made-up shops: how near to the least possible."""
    from overbend.solver import Stop
    from overbend.stock import cut
    from overbend.stock.sample import large_shop

    with said_plainly():
        if kinds > strips:
            raise StockError(f"{kinds} kinds of {strips} strips", "--kinds", "at most --strips")
        for seed in range(seeds):
            demands, supply, shop = large_shop(seed, strips, kinds, stocks)
            result = cut(demands, supply, shop, Stop(seconds), seed)
            row = {"instance": f"shop {seed}", **_told(result.cost)}
            typer.echo(json.dumps(row) if as_json else _shop_line(row, result.cost.gap))
            for refusal in result.refusals:
                typer.echo(f"overbend: {refusal.part}: {refusal.why}", err=True)


def _told(found: Solution) -> dict[str, object]:
    return {
        "objective": found.objective, "bound": found.bound, "status": found.status,
        "seconds": round(found.runtime, 3),
    }  # fmt: skip


def _shop_line(row: dict[str, object], gap: float) -> str:
    """One shop for reading."""
    if row["objective"] is None:
        return f"{row['instance']}: no plan, {row['status']}, {row['seconds']} s"
    text = f"{row['instance']}: cost {row['objective']:.2f}, at least {row['bound']:.2f}, "
    return text + f"{100 * gap:.2f} % could still be saved, {row['seconds']} s"


def _files(folder: Path) -> list[Path]:
    """Instance files in the order of their paths."""
    found = [folder] if folder.is_file() else sorted(folder.rglob("*.txt"))
    files = [path for path in found if path.is_file()]
    if not files:
        raise StockError("no .txt file", str(folder), "a folder of instances")
    return files


def _read(path: Path) -> Sticks | None:
    """The instance of a file; None when it is none, which is said on standard error."""
    from overbend.stock.sticks import read_sticks

    try:
        return read_sticks(path.read_text(errors="replace"), path.stem)
    except StockError as error:
        typer.echo(f"overbend: {error}", err=True)
        return None


def _row(sticks: Sticks, seconds: float, compare: bool) -> dict[str, object]:
    from overbend.stock.sticks import direct_program, first_fit, solve_sticks

    found = solve_sticks(sticks, seconds).solution
    row: dict[str, object] = {"instance": sticks.name, **_told(found)}
    if compare and found.objective is not None:
        other = direct_program(sticks, seconds)
        row["direct"] = _told(other)
        row["first_fit"] = first_fit(sticks)
    return row


def _line(row: dict[str, object]) -> str:
    """One instance for reading: sticks, bound, status, time, and the others beside."""
    if row["objective"] is None:
        return f"{row['instance']}: a length is longer than the stick"
    text = f"{row['instance']}: {row['objective']} sticks, at least {row['bound']}, "
    text += f"{row['status']}, {row['seconds']} s"
    if isinstance(other := row.get("direct"), dict):
        text += f"; one program {other['objective']} ({other['status']})"
        text += f"; first fit {row['first_fit']}"
    return text
