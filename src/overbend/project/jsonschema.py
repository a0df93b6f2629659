"""JSON Schema of the project file, for editors that complete and check as one types."""

from __future__ import annotations

from functools import cache
from typing import Any

from overbend.project.schema import Project

__all__ = ["json_schema", "schema_at"]


def json_schema() -> dict[str, Any]:
    """JSON Schema of the project file (Draft 2020-12).

    Lengths are ``number | string``. Defaults are texts with their unit, so that they hold in
    a file of any unit.

    Examples
    --------
    >>> json_schema()["properties"]["units"]["enum"]
    ['mm', 'in']
    """
    made = Project.model_json_schema(by_alias=True)
    _tidy(made)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **made,
        "title": "Overbend project file",
    }


def _tidy(node: object) -> None:
    """Write defaults with their units, drop those of whole tables, close named tables."""
    if isinstance(node, list):
        for item in node:
            _tidy(item)
    if not isinstance(node, dict):
        return
    if "default" in node and not isinstance(node["default"], str | bool):
        _tidy_default(node)
    if "patternProperties" in node:
        node["additionalProperties"] = False
    for child in node.values():
        _tidy(child)


def _tidy_default(node: dict[str, Any]) -> None:
    default = node.pop("default")
    parts = node.get("prefixItems", [node])
    values = default if "prefixItems" in node else [default]
    if not all(isinstance(value, int | float) for value in values):
        return
    texts = [
        f"{value:.10g} mm" if part.get("x-kind") == "length" else value
        for part, value in zip(parts, values, strict=True)
    ]
    node["default"] = texts if "prefixItems" in node else texts[0]


@cache
def _whole() -> dict[str, Any]:
    return json_schema()


def schema_at(place: tuple[str | int, ...]) -> dict[str, Any]:
    """Schema of the value at a place of the file, ``{}`` when there is none.

    A place may name the kind of a part, as pydantic's own error places do:
    ``("part", "leg", "bent", "width")``.

    Examples
    --------
    >>> schema_at(("part", "leg", "bent", "width"))["description"]
    'Finished width, across the strips.'
    """
    node = _whole()
    for step in place:
        node = _resolved(_step(node, step))
    return node


def _step(node: dict[str, Any], step: str | int) -> dict[str, Any]:
    """Schema one step further in."""
    if isinstance(step, int):
        prefix: list[dict[str, Any]] = node.get("prefixItems", [])
        items: dict[str, Any] = node.get("items", {})
        return prefix[step] if step < len(prefix) else items
    mapping = node.get("discriminator", {}).get("mapping", {})
    if step in mapping:
        return {"$ref": mapping[step]}
    if step in node.get("properties", {}):
        found: dict[str, Any] = node["properties"][step]
        return found
    return next(iter(node.get("patternProperties", {}).values()), {})


def _resolved(node: dict[str, Any]) -> dict[str, Any]:
    """Follow references and the one schema beside null, keeping the outer description."""
    choices = [c for c in node.get("anyOf", []) if c.get("type") != "null"]
    inner = choices[0] if len(choices) == 1 else {}
    if "$ref" in node:
        inner = _whole()["$defs"][node["$ref"].rsplit("/", 1)[-1]]
    if not inner:
        return node
    return {**_resolved(inner), **{k: v for k, v in node.items() if k == "description"}}
