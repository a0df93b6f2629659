"""Everything one reader sees, from one plan: drawing, curvature, sections, what waits."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from overbend.book.say import Say
from overbend.book.us_units import names_of
from overbend.draw.arcs import Box
from overbend.draw.drawing import Drawing, Layer
from overbend.draw.form_sheet import form_drawing
from overbend.draw.overview import overview_drawing
from overbend.draw.part_sheet import part_drawing
from overbend.errors import OverbendError, ProjectError
from overbend.plan import BentPlan, Plan
from overbend.project import Loaded
from overbend.units import Display, System
from overbend.web.comb import comb, comb_lines, lever_of
from overbend.web.curvature import curvature_strip
from overbend.web.fields import Fields
from overbend.web.handles import Handle, handles_of, shown
from overbend.web.names import handle_lines
from overbend.web.pictures import fitted, page_svg
from overbend.web.replan import Replanner
from overbend.web.sawing import Sawn
from overbend.web.scene import Pane, fitted_pane, scene
from overbend.web.sections import SECTIONS, At
from overbend.web.sentence import reworded
from overbend.web.troubles import trouble
from overbend.web.views import WHOLE, whole_scene
from overbend.web.waits import waits
from overbend.web.words import words

__all__ = ["View", "Views", "answers", "one_section", "slow_answers"]

Data = dict[str, Any]
Views = ("curve", "sheet", "form", "all", *WHOLE)
"""What the drawing may show: a part as drawn, with sizes, on its form; all parts; the piece."""


@dataclass(frozen=True)
class View:
    """What one reader looks at.

    Parameters
    ----------
    part : the part selected, "" for the first.
    mode : one of `Views`.
    width, height, strip : of the drawing, and height of the strip under it [mm].
    system : "mm" or "in", None for the file's own.
    window : part of the model shown while something is dragged [mm].
    open : sections that are open, None for all: what is folded away waits until a drag ends.
    """

    part: str = ""
    mode: str = "curve"
    width: float = 180.0
    height: float = 110.0
    strip: float = 34.0
    system: System | None = None
    window: Box | None = None
    open: frozenset[str] | None = None

    def display(self, loaded: Loaded) -> Display:
        """The reader's units."""
        return Display(self.system or loaded.project.units)


@dataclass
class Answer:
    """An answer as the page's data, and what the server keeps to understand the next drag."""

    data: Data
    handles: dict[str, Handle] = field(default_factory=dict)
    window: Box | None = None


def answers(replanner: Replanner, loaded: Loaded, view: View, draft: bool) -> Answer:
    """Compute what follows quickly: drawing, curvature, the quick sections, each verdict.

    Parameters
    ----------
    replanner : keeps what did not change.
    loaded : the project as read.
    view : what the reader looks at.
    draft : whether something is being dragged.
    """
    plan = replanner.plan(loaded, view.display(loaded), draft)
    at = _at(plan, view, draft)
    answer = Answer({"stage": "quick", "draft": draft, "part": at.part.name if at.part else ""})
    answer.data["parts"] = [_line(part, at.say) for part in plan.bent.values()]
    answer.data["units"] = plan.display.system
    answer.data["name"] = plan.project.name
    if at.part is None:
        nothing = words("scene.none")
        answer.data["sections"] = {}
        answer.data["trouble"] = trouble(ProjectError(nothing), at.say.reader)
        return answer
    answer.data["sections"] = dict(_sections(at, quick=True))
    _draw(answer, at, view)
    return answer


def slow_answers(
    replanner: Replanner,
    loaded: Loaded,
    view: View,
    stop: Callable[[], bool],
    sawn: Sawn = Sawn(),  # noqa: B008 - frozen and empty
) -> Iterator[Data]:
    """Compute the rest piece by piece; `stop` is asked before each.

    Parameters
    ----------
    replanner : keeps what did not change.
    loaded : the project as read.
    view : what the reader looks at.
    stop : whether to end.
    sawn : how the search for boards stands.

    Yields
    ------
    Data of one piece: the drawings with a form in them, each slow section, what waits.
    """
    plan = replanner.plan(loaded, view.display(loaded))
    plan.__dict__["steamed"] = {}
    at = replace(_at(plan, view, False), sawn=sawn)
    if at.part is None:
        yield {"stage": "full", "sections": {}, "holds": waits(plan)}
        return
    if stop():
        return
    if view.mode in WHOLE:
        size = view.width, view.height
        drawn = whole_scene(plan.piece, view.mode, size, plan.display)
        if "none" in drawn:
            drawn = {**drawn, "none": at.say.words(drawn["none"])}
        yield {"stage": "rest", "scene": drawn}
    for part in plan.bent.values():
        if stop():
            return
        with suppress(OverbendError):  # said where it is shown
            part.form_used  # noqa: B018 - the longest step of those that follow
    with_steam = _steamed(replanner, plan)
    if stop():
        return
    yield {"stage": "rest", "holds": waits(plan)}
    if view.mode == "form" and not stop():
        yield {"stage": "rest", "scene": _sheet(at, view)}
    for id, section in SECTIONS.items():
        if stop():
            return
        if not section.quick:
            yield {"stage": "rest", "sections": {id: _made(replace(at, steamed=with_steam), id)}}
    yield {"stage": "full"}


def one_section(replanner: Replanner, loaded: Loaded, view: View, id: str, sawn: Sawn) -> Data:
    """Compute one section anew.

    Parameters
    ----------
    replanner, loaded, view, sawn : see `slow_answers`.
    id : of the section.
    """
    plan = replanner.plan(loaded, view.display(loaded))
    at = replace(_at(plan, view, False), sawn=sawn)
    return {"stage": "news", "sections": {id: _made(at, id)}}


def _at(plan: Plan, view: View, draft: bool) -> At:
    name = view.part if view.part in plan.bent else next(iter(plan.bent), "")
    fields = Fields(plan.loaded, plan.display)
    say = Say(plan.display, names_of(plan.loaded.raw) if plan.display.system == "in" else ())
    return At(plan, plan.bent.get(name), fields, say, {}, draft, open=view.open)


def _steamed(replanner: Replanner, plan: Plan) -> dict[str, Any]:
    """Steam of all parts; none when it cannot be computed, the section says why."""
    try:
        return replanner.steamed(plan)
    except OverbendError:
        return {}


def _line(part: BentPlan, say: Say) -> Data:
    """One part in the list: its name, count and verdict."""
    try:
        return {"name": part.name, "count": part.count, "word": part.risk.strain.verdict.word}
    except OverbendError as error:
        return {"name": part.name, "count": part.count, "word": "",
                "why": str(say.reader.error(error))}  # fmt: skip


def _sections(at: At, *, quick: bool) -> Iterator[tuple[str, Data]]:
    for id, section in SECTIONS.items():
        if section.quick == quick:
            yield id, _made(at, id)


def _made(at: At, id: str) -> Data:
    """One section, or what keeps it from being computed."""
    title = words(f"section.{id}")
    if at.part is None:
        return {}
    try:
        made = SECTIONS[id].make(at, at.part)
    except OverbendError as error:
        return {"title": title, "trouble": trouble(error, at.say.reader), "lead": [], "more": []}
    if at.say.unit == "in":
        made = reworded(made, at.say.words)
    return {"title": title, **made} if made else {}


# -- the drawing --------------------------------------------------------------------------


def _draw(answer: Answer, at: At, view: View) -> None:
    """Put drawing, handles and curvature into an answer; an error leaves the old drawing."""
    part = at.part
    if part is None:
        return
    try:
        if view.mode == "curve":
            _scene(answer, part, at, view)
        elif view.mode not in ("form", *WHOLE) and not at.draft:
            answer.data["scene"] = _sheet(at, view)
        answer.data["strip"] = curvature_strip(part, view.width, view.strip, at.say.display)
    except OverbendError as error:
        answer.data["trouble"] = trouble(error, at.say.reader)


def _scene(answer: Answer, part: BentPlan, at: At, view: View) -> None:
    window = view.window if at.draft else None
    pane = fitted_pane(part, Pane(view.width, view.height, window), at.say.display)
    handles = handles_of(part.part.curve, part.drawn, at.fields, lever_of(part, pane.scale))
    places = ((np.array([h.x, h.y]), np.array(h.root) if h.root else None) for h in handles)
    keep = [*comb_lines(part, pane.scale), *handle_lines(places, pane.scale)]
    drawn = scene(part, pane, at.say.display, keep)
    answer.handles = {h.id: h for h in handles}
    answer.window = drawn["window"]
    drawn["handles"] = [shown(h, pane, at.fields) for h in handles]
    drawn["comb"] = comb(part, pane)
    drawn["mode"] = "curve"
    answer.data["scene"] = drawn


def _sheet(at: At, view: View) -> Data:
    """A drawing without handles, as large as the sheet allows."""
    part, display = at.part, at.say.display
    if part is None:
        return {}
    draw: Callable[[float], Drawing] = {
        "sheet": lambda scale: part_drawing(part, scale, display),
        "form": lambda scale: form_drawing(part, scale, display),
        "all": lambda scale: overview_drawing(at.plan, scale),
    }[view.mode]
    plain = draw(0.1).without(Layer.DIMENSION, Layer.TEXT, Layer.MARK, Layer.CENTRE)
    room = 22.0 if view.mode != "all" else 8.0
    scale, _ = fitted(plain.bounds, view.width, view.height, min(room, 0.18 * view.height))
    drawing = draw(scale)
    extent = drawing.extent(scale)
    cx, cy = 0.5 * (extent[0] + extent[2]), 0.5 * (extent[1] + extent[3])
    half = 0.5 * view.width / scale, 0.5 * view.height / scale
    window = (cx - half[0], cy - half[1], cx + half[0], cy + half[1])
    return {"svg": page_svg(drawing, scale, window=window), "handles": [], "track": [],
            "mode": view.mode, "scale": scale, "window": window}  # fmt: skip
