"""Sizes of a joint: those that may be changed, as numbers of the page, and those that follow."""

from __future__ import annotations

from typing import Any

from overbend.frame import Joint
from overbend.frame.joint_records import Check
from overbend.units import format_angle
from overbend.web.sections.at import At
from overbend.web.sentence import Piece, Pieces
from overbend.web.words import words

__all__ = ["change_fields", "size_rows", "size_words"]

_KEYS = ("thickness", "width", "length", "diameter", "count", "spacing", "reach")
_NAMES = {
    "thickness": ("tenon thickness",),
    "width": ("tenon width",),
    "length": ("tenon length", "housing depth", "screw length"),
    "diameter": ("tenon diameter", "dowel diameter", "screw diameter"),
    "count": ("dowels", "screws"),
}
"""What a size of the file is called among the sizes of a joint."""

_CURES = {
    "beside": ("thickness", "diameter"),
    "behind": ("length",),
    "to the end": ("width", "diameter"),
    "screw in": ("length", "diameter"),
    "gap": ("reach",),
}
"""Sizes that change a check, by a word in its name."""


def _keys(at: At, joint: Joint) -> list[str]:
    """Sizes that this kind of joint has in the file."""
    known = type(at.plan.project.joint[joint.spec.name]).model_fields
    return [key for key in _KEYS if key in known]


def _field(at: At, joint: Joint, key: str) -> dict[str, Any]:
    """A size as a number that may be changed; one that is left out shows what the rule gives."""
    name = joint.spec.name
    label = words("joints.size.label", size=words(f"joints.size.{key}"), joint=name)
    field = at.fields.number(f"joint.{name}.{key}", label)
    if field["raw"] == "":
        field["text"] = _ruled(at, joint, key)
    return field


def _ruled(at: At, joint: Joint, key: str) -> str:
    """What a size that is left out comes to."""
    if key == "reach":
        return at.say.length(25.0 if joint.spec.kind == "wedge" else 3.0)
    found = next((n for n in _NAMES.get(key, ()) if n in joint.sizes), "")
    return size_words(at, found, joint.sizes[found]) if found else words("joints.rule")


def size_words(at: At, what: str, value: float) -> str:
    """A size as the maker reads it: a count, an angle, an area or a length."""
    if what in ("dowels", "screws"):
        return f"{value:.0f}"
    if "angle" in what:
        return format_angle(value)
    if "face" in what or "area" in what:
        return at.say.area(value)
    return at.say.length(value)


def size_rows(at: At, joint: Joint) -> list[tuple[str, Piece]]:
    """Names and values: what may be changed first, then what follows from it.

    Parameters
    ----------
    at : the place on the page.
    joint : one of those made alike.
    """
    keys = _keys(at, joint)
    rows: list[tuple[str, Piece]] = [
        (words(f"joints.size.{key}"), _field(at, joint, key)) for key in keys
    ]
    said = {name for key in keys for name in _NAMES.get(key, ())}
    rows += [
        (what[:1].upper() + what[1:], size_words(at, what, value))
        for what, value in joint.sizes.items()
        if what not in said
    ]
    return rows


def change_fields(at: At, joint: Joint, check: Check) -> Pieces:
    """Sizes to change where a check does not hold, with their names before them."""
    wanted = next((sizes for word, sizes in _CURES.items() if word in check.what), ())
    pieces: Pieces = []
    for key in _keys(at, joint):
        if key in wanted:
            before = ", " if pieces else ""
            pieces += [f"{before}{words(f'joints.size.{key}').lower()} ", _field(at, joint, key)]
    return pieces
