"""The project's woods as they lie in the shop, and the pressure its glue asks for."""

from __future__ import annotations

from overbend.errors import OverbendError
from overbend.project import BentPart, Project, adhesive_of, schema, species_of
from overbend.wood import Value, Wood, choose_wood

__all__ = ["HOLD_DOWN", "pressure_of", "wood_of"]

HOLD_DOWN = Value(0.3, "MPa", "what holds a solid bend down on its form", "assumed", "pressure")
"""Pressure taken for a part without glue, to size its form."""


def wood_of(name: str, table: schema.Wood) -> Wood:
    """Look up a wood of the project, with the maker's own figures over the book's.

    Parameters
    ----------
    name : of the table, for messages.
    table : as read from the project file.

    Raises
    ------
    WoodError
        Unknown species, or a figure or moisture that cannot be meant.
    """
    try:
        return choose_wood(species_of(name, table), table.dried, table.moisture)
    except OverbendError as error:
        raise error.at(f"wood.{name}") from error


def pressure_of(part: BentPart, project: Project) -> Value:
    """Pressure on the part's glue lines: the maker's data sheet, else the table's figure.

    Parameters
    ----------
    part : as read.
    project : holds its adhesive.
    """
    if part.adhesive is None:
        return HOLD_DOWN
    return adhesive_of(project.adhesive[part.adhesive]).pressure
