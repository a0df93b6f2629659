"""What a tab asks to change about the curve of its part: each is one step of the history."""

from __future__ import annotations

import asyncio
import math
from typing import TYPE_CHECKING, Any

import numpy as np

from overbend.errors import ProjectError
from overbend.web.points import MOST_POINTS, as_points, closeness, with_points, with_traced
from overbend.web.segments import KINDS, Drawn
from overbend.web.store import plain_name
from overbend.web.words import words

if TYPE_CHECKING:
    from overbend.web.session import Client, Session

__all__ = ["reshape"]

_LONGEST = 1e6  # mm


async def reshape(session: Session, client: Client, message: dict[str, Any]) -> None:
    """Change the curve of the part a tab looks at.

    Parameters
    ----------
    session, client : who asks.
    message : ``act`` and what it needs: "point", "line", "arc", "easement" after ``index``
        (``before`` it when true), "split", "remove", "at" a place ``x``, ``y`` of the sheet,
        "station" called ``name``, "points" (``count``, and ``use`` to keep them), "trace"
        through ``points`` of the model, for the part or as a curve called ``name``.

    Raises
    ------
    ProjectError, CurveError
        When it cannot be done; nothing is changed then.
    """
    loaded, act = session.readable(), str(message.get("act", ""))[:20]
    bent = loaded.project.bent
    name = client.view.part if client.view.part in bent else next(iter(bent), "")
    if act == "trace":
        await _trace(session, client, message, name)
        return
    if not name:
        raise ProjectError(words("handle.none"))
    drawn = Drawn(loaded, bent[name].curve)
    if act == "points":
        await _points(session, client, message, drawn)
        return
    await session.commit(_changed(drawn, act, message, client), client, words("curve.changed"))


def _changed(drawn: Drawn, act: str, message: dict[str, Any], client: Client) -> str:
    """Text of the project after one of the small changes."""
    if act == "at":
        if client.pane is None:
            raise ProjectError(words("curve.none"))
        return drawn.at(*client.pane.in_model(_number(message, "x"), _number(message, "y")))
    if act == "station":
        return drawn.with_station(_text(message, "name", 60))
    index = _whole(message, "index")
    if act == "point":
        return drawn.after_point(index)
    if act == "split":
        return drawn.split(index)
    if act == "remove":
        through = drawn.table.through is not None
        return drawn.without_point(index) if through else drawn.without_segment(index)
    kind = next((k for k in KINDS if k == act), None)
    if kind is None:
        raise ProjectError(f"the page asked to {act!r}")
    return drawn.with_segment(index, kind, before=message.get("before") is True)


async def _points(session: Session, client: Client, message: dict[str, Any], drawn: Drawn) -> None:
    """Offer the curve as points, or keep what was offered."""
    offer = await asyncio.to_thread(as_points, drawn, _whole(message, "count"))
    display = client.view.display(drawn.loaded)
    count, off = len(offer.points), closeness(offer.deviation, display)
    if message.get("use") is not True:
        pane, line = client.pane, offer.curve.point(offer.curve.even_grid(161))
        await client.send({
            "type": "offer", "count": count, "most": MOST_POINTS,
            "text": words("points.offer", count=count, deviation=off),
            "line": [] if pane is None else np.round(pane.on_sheet(line), 2).tolist(),
            "points": [] if pane is None else np.round(pane.on_sheet(offer.points), 2).tolist(),
        })  # fmt: skip
        return
    await session.commit(with_points(drawn, offer), client, words("curve.changed"))
    said = words("points.done", count=count, deviation=off)
    await client.send({"type": "notice", "kind": "points", "text": said})


async def _trace(session: Session, client: Client, message: dict[str, Any], part: str) -> None:
    """Make a curve of traced points."""
    rows = message.get("points")
    if not isinstance(rows, list) or len(rows) > MOST_POINTS:
        raise ProjectError(words("trace.count", count=len(rows) if isinstance(rows, list) else 0),
                           allowed=f"2 to {MOST_POINTS}")  # fmt: skip
    points = np.array([_place(row) for row in rows], float).reshape(-1, 2)
    own = message.get("own") is True
    part = "" if own else part
    name = plain_name(_text(message, "name", 60) or "traced") if own else f"{part}-traced"
    text, said = with_traced(session.readable(), points, part, name)
    await session.commit(text, client, words("curve.changed"))
    await client.send({"type": "notice", "kind": "points", "text": said})


# -- reading messages ---------------------------------------------------------------------


def _text(message: dict[str, Any], name: str, longest: int) -> str:
    value = message.get(name, "")
    if not isinstance(value, str) or len(value) > longest or not value.isprintable():
        raise ProjectError(f"the page sent no usable {name}")
    return value.strip()


def _number(message: dict[str, Any], name: str) -> float:
    return _finite(message.get(name), name)


def _whole(message: dict[str, Any], name: str) -> int:
    value = _finite(message.get(name, 0), name)
    if not value.is_integer():
        raise ProjectError(f"the page sent no usable {name}")
    return int(value)


def _finite(value: object, name: str) -> float:
    usable = isinstance(value, int | float) and not isinstance(value, bool)
    if not usable or not math.isfinite(float(value)) or abs(float(value)) > _LONGEST:  # type: ignore[arg-type]  # checked just before
        raise ProjectError(f"the page sent no usable {name}")
    return float(value)  # type: ignore[arg-type]  # checked just before


def _place(row: object) -> tuple[float, float]:
    if not isinstance(row, list) or len(row) != 2:
        raise ProjectError("the page sent no usable points")
    return _finite(row[0], "points"), _finite(row[1], "points")
