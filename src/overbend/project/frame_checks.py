"""Checks of places and joints across tables: the parts they name must exist and stand."""

from __future__ import annotations

from collections.abc import Iterator

from overbend.errors import ProjectError
from overbend.project.expressions import suggestion
from overbend.project.lines import Place
from overbend.project.parts import BentPart, StraightPart, instances
from overbend.project.places import Between, Spot
from overbend.project.problems import Problem
from overbend.project.schema import Project

__all__ = ["frame_checks"]


def frame_checks(project: Project) -> Iterator[Problem]:
    """Everything that places and joints name and that is not there."""
    standing = [
        name
        for part, table in project.part.items()
        if table.stand is not None
        for name in {part: None, **dict.fromkeys(instances(part, table))}
    ]
    for name, part in project.part.items():
        for key, spot in _spots(part):
            if spot.part is not None:
                yield from _named(("part", name, *key, "part"), spot.part, standing, project)
    for name, joint in project.joint.items():
        yield from _named(("joint", name, "part"), joint.part, standing, project)
        yield from _named(("joint", name, "to"), joint.to, standing, project)


def _spots(part: BentPart | StraightPart) -> Iterator[tuple[Place, Spot]]:
    stand = part.stand
    if isinstance(stand, Between):
        yield ("between", "from"), stand.start
        yield ("between", "to"), stand.end
    elif stand is not None and stand.on is not None:
        yield ("place", "on"), stand.on


def _named(place: Place, name: str, standing: list[str], project: Project) -> Iterator[Problem]:
    """Complain about a part that is not there, or that stands nowhere."""
    if name in standing:
        return
    part = name.split("/")[0]
    if part in project.part and project.part[part].stand is None:
        yield (
            place,
            ProjectError(
                f"part {part!r} stands nowhere",
                allowed="a part with a place, or between two places",
                todo=f"give [part.{part}] a place",
            ),
        )
        return
    if any(known.startswith(f"{name}/") for known in standing) and place[0] == "joint":
        return
    yield (
        place,
        ProjectError(
            f"there is no part {name!r} that stands in the piece",
            allowed=", ".join(standing) or "none: no part has a place",
            todo=suggestion(name, standing),
        ),
    )
