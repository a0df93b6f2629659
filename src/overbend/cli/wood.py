"""`overbend wood`: what is known of a wood, and where every figure comes from."""

from __future__ import annotations

from typing import Annotated

import typer

from overbend.cli.shared import said_plainly

__all__ = ["wood"]

_HEAD = ("density", "mor", "moe", "radial", "tangential", "unbroken")


def wood(
    name: Annotated[str, typer.Argument(help="Id or trade name; none lists all.")] = "",
) -> None:
    """Show the woods, or one wood's figures with the source and standing of each."""
    with said_plainly():
        lines = _one(name) if name else _all()
    typer.echo("\n".join(lines))


def _all() -> list[str]:
    """Return one line a wood; letters mark figures that were not read in a source."""
    from overbend.wood import species_table

    titles = ("kg/m3", "bending MPa", "stiffness MPa", "radial %", "tangential %", "unbroken %")
    lines = [f"{'wood':26}" + "".join(f"{t:>15}" for t in titles)]
    for row in species_table():
        cells = (
            f"{row.figures[key].value:.5g}{row.mark(key)}" if key in row.figures else "-"
            for key in _HEAD
        )
        lines.append(f"{row.species.id:26}" + "".join(f"{c:>15}" for c in cells))
    return [
        *lines,
        "",
        "At the moisture of the table, 12 % where not said otherwise. Marks: c computed, "
        "m from memory, a assumed; no mark: read in the source.",
        "overbend wood NAME shows the source of every figure.",
    ]


def _one(name: str) -> list[str]:
    """Return every figure of one wood with its range, standing and source."""
    from overbend.wood import FACTS, find_species

    species = find_species(name)
    also = f"; also {', '.join(species.also)}" if species.also else ""
    lines = [f"{species.name} ({species.botanical}), {species.kind}{also}", ""]
    for key, fact in FACTS.items():
        for value in species.opinions(key):
            lines.append(f"{fact.label:46} {value!s:28} {value.status}: {value.source}")
    return lines
