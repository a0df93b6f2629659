"""What waits for the maker, as the page says it: with the place where it is answered.

The plan's own sentences are for the book and the terminal; where they name a table of the file
or a command, the page says it in its own words and leads to the field or page instead.
"""

from __future__ import annotations

from typing import Any

from overbend.book.us_units import Reader, reader_of
from overbend.errors import OverbendError
from overbend.plan import Hold, Plan
from overbend.web.words import words

__all__ = ["waits"]


def waits(plan: Plan) -> list[dict[str, Any]]:
    """Everything that waits.

    Returns
    -------
    list of dict
        ``kind``, ``part`` and ``text``; ``go``, the words of the link, with ``key``, the value
        it leads to, or ``href``, the page.
    """
    file = plan.loaded
    reader = reader_of(file.text, plan.display.system, raw=file.raw)
    try:
        return [_said(hold, reader) for hold in plan.holds]
    except OverbendError:
        return []


def _said(hold: Hold, reader: Reader) -> dict[str, Any]:
    """One hold with its way out."""
    data: dict[str, Any] = {"kind": hold.kind, "part": hold.part, "text": reader.words(hold.text)}
    if hold.kind == "trial":
        text, go = words("wait.trial", part=hold.part), words("wait.trial.go")
        return {**data, "text": text, "go": go, "href": "/shop/trials"}
    if not hold.key:
        return data
    way = hold.key.split(".")
    go = words("wait.field")
    if hold.kind == "moisture":
        go = words("wait.moisture.go", wood=way[1])
    elif hold.key.endswith(".least_length"):
        go = words("wait.machine.go", machine=words(f"wait.machine.{way[2]}"))
    return {**data, "go": go, "key": hold.key}
