"""What a section is made from, and the registry that sections enter themselves in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from overbend.book.say import Say
from overbend.plan import BentPlan, Plan
from overbend.plan.steam import PartSteam
from overbend.web.fields import Fields
from overbend.web.sawing import Sawn

__all__ = ["SECTIONS", "At", "Section", "register"]

Data = dict[str, Any]


@dataclass(frozen=True)
class At:
    """The place on the page a section is made for.

    Parameters
    ----------
    plan : the whole piece.
    part : the part that is selected, None when nothing is bent.
    fields : values of the file.
    say : formats numbers for the reader.
    steamed : what steam does, by part; empty while something is dragged.
    draft : whether something is being dragged.
    sawn : how the search for boards stands.
    open : sections that are open, None for all.
    """

    plan: Plan
    part: BentPlan | None
    fields: Fields
    say: Say
    steamed: dict[str, PartSteam]
    draft: bool = False
    sawn: Sawn = Sawn()  # noqa: RUF009 - frozen and empty
    open: frozenset[str] | None = None

    def folded(self, id: str) -> bool:
        """Whether what a section holds below its first sentences may wait for the drag to end.

        Such a section says ``"folded": True`` instead, and the page keeps what it has.
        """
        return self.draft and self.open is not None and id not in self.open


Make = Callable[[At, BentPlan], Data]


@dataclass(frozen=True)
class Section:
    """One section of the notes.

    Parameters
    ----------
    id : of the section; its title is the catalogue's ``section.ID``.
    make : its data: ``lead`` and ``more`` blocks, and ``verdict`` where there is one.
    quick : whether it is computed while something is dragged.
    """

    id: str
    make: Make
    quick: bool


SECTIONS: dict[str, Section] = {}
"""Sections by id, in the order of the job."""


def register(id: str, *, quick: bool) -> Callable[[Make], Make]:
    """Enter a section; the order of entering is the order on the page."""

    def enter(make: Make) -> Make:
        SECTIONS[id] = Section(id, make, quick)
        return make

    return enter
