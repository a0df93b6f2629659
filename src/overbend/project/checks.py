"""Checks across tables: names that must exist, and what only makes sense together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from overbend.errors import ProjectError, WoodError
from overbend.project.expressions import suggestion
from overbend.project.frame_checks import frame_checks
from overbend.project.lines import Place
from overbend.project.problems import Problem
from overbend.project.schema import CUSTOM, BentPart, MadeForm, MadeStrips, Project, StraightPart
from overbend.project.woods import adhesive_of, species_of
from overbend.project.yard import repeated_names
from overbend.wood.adhesives import find_adhesive
from overbend.wood.species import find_species

__all__ = ["cross_check"]


def cross_check(project: Project) -> list[Problem]:
    """Everything that is wrong between the tables of a project."""
    return [
        *_woods(project),
        *_adhesives(project),
        *(p for name, part in project.part.items() for p in _part(project, name, part)),
        *_made(project),
        *_yard(project),
        *frame_checks(project),
    ]


def _woods(project: Project) -> Iterator[Problem]:
    for name, wood in project.wood.items():
        key = "species"
        try:
            if wood.species != CUSTOM:
                find_species(wood.species)
            key = "override"
            species_of(name, wood)
        except WoodError as error:
            yield ("wood", name, key), error


def _adhesives(project: Project) -> Iterator[Problem]:
    for name, adhesive in project.adhesive.items():
        place: Place = ("adhesive", name, "kind")
        try:
            find_adhesive(adhesive.kind)
            place = ("adhesive", name)
            adhesive_of(adhesive)
        except WoodError as error:
            yield place, error


def _part(project: Project, name: str, part: BentPart | StraightPart) -> Iterator[Problem]:
    here: Place = ("part", name)
    if isinstance(part, StraightPart):
        yield from _named((*here, "wood"), part.wood, "wood", project.wood)
        return
    yield from _named((*here, "curve"), part.curve, "curve", project.curve)
    for i, ply in enumerate(part.ply):
        yield from _named((*here, "ply", i, "wood"), ply.wood, "wood", project.wood)
    if part.adhesive is not None:
        yield from _named((*here, "adhesive"), part.adhesive, "adhesive", project.adhesive)
    if part.form.steam_on != "same":
        place = (*here, "form", "steam_on")
        yield from _named(place, part.form.steam_on, "curve", project.curve)
        if part.method != "steam-laminate":
            yield (
                place,
                ProjectError(
                    f"a bending form of its own for method {part.method!r}",
                    allowed='"same", or a curve with method = "steam-laminate"',
                ),
            )


def _made(project: Project) -> Iterator[Problem]:
    for name, made in project.made.items():
        here: Place = ("made", name)
        yield from _named((*here, "part"), made.part, "part", project.part)
        part = project.part.get(made.part)
        if isinstance(part, StraightPart) and not isinstance(made, MadeStrips):
            what = "form" if isinstance(made, MadeForm) else "trial bend"
            yield (
                (*here, "part"),
                ProjectError(
                    f"a {what} for the straight part {made.part!r}", allowed="a bent part"
                ),
            )
        if isinstance(made, MadeStrips) and isinstance(part, BentPart) and made.ply > len(part.ply):
            yield (
                (*here, "ply"),
                ProjectError(
                    f"strips for ply {made.ply} of {made.part!r}",
                    allowed=f"1 to {len(part.ply)}",
                ),
            )


def _yard(project: Project) -> Iterator[Problem]:
    here: Place = ("shop", "yard")
    for i, row in enumerate(project.shop.yard):
        yield from _named((*here, i, "wood"), row.wood, "wood", project.wood)
    yield from (((*here, i, "name"), e) for i, e in repeated_names(project.shop.yard))
    trim, least = project.shop.cutting.sheet_trim, min(project.shop.sheet)
    if 2 * trim >= least:
        yield (
            ("shop", "cutting", "sheet_trim"),
            ProjectError(
                f"{trim:g} mm off each edge of a sheet {least:g} mm wide",
                allowed="something left of the sheet",
            ),
        )


def _named(place: Place, name: str, table: str, known: Iterable[str]) -> Iterator[Problem]:
    """Complain about a name that no table has."""
    names = list(known)
    if name not in names:
        yield (
            place,
            ProjectError(
                f"there is no {table} {name!r}",
                allowed=", ".join(names) or f"none: the file has no [{table}.NAME] table",
                todo=suggestion(name, names) or f"add a table [{table}.{name}]",
            ),
        )
