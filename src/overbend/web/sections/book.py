"""The book: the whole folder with progress, and templates and lists singly."""

from __future__ import annotations

from typing import Any

from overbend.plan import BentPlan
from overbend.web.sections.at import At, register
from overbend.web.sentence import Pieces, block, table
from overbend.web.words import words

__all__ = ["section"]

_KINDS = ("pdf", "dxf", "svg")
_LISTS = (("strips.csv", "book.csv"), ("plan.json", "book.json"), ("project.toml", "book.toml"))


@register("book", quick=False)
def section(at: At, part: BentPlan) -> dict[str, Any]:  # noqa: ARG001 - the book is of all parts
    """A button that makes the folder, and single files."""
    rows = [row for name, bent in at.plan.bent.items() for row in _templates(name, bent)]
    lists: Pieces = []
    for file, key in _LISTS:
        lists += [", "] if lists else []
        lists.append({"file": file, "text": words(key)})
    return {
        "lead": [block("lead", words("book.lead")), {"kind": "book"}],
        "more": [
            block("heading", words("book.single")),
            table([words("book.template"), "", "", ""], rows),
            block("heading", words("book.lists")),
            block("text", lists),
        ],
    }


def _templates(name: str, part: BentPlan) -> list[list[Any]]:
    """Rows of template files: one for each body of the form, one for the part at rest."""
    bodies = part.part.form.parts
    found = []
    for i in range(bodies):
        file = f"{name}-form" + (f"-{i + 1}" if bodies > 1 else "")
        text = words("book.form", part=name)
        if bodies > 1:
            text = words("book.form.half", part=name, number=i + 1)
        found.append(_row(file, text))
    return [*found, _row(f"{name}-at-rest", words("book.rest", part=name))]


def _row(file: str, text: str) -> list[Any]:
    links = [
        [
            {
                "file": f"{file}.{kind}",
                "text": words(f"book.{kind}.short"),
                "label": f"{text}, {kind}",
            }
        ]
        for kind in _KINDS
    ]
    return [text, *links]
