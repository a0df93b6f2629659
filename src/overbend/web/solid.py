"""The piece in space for the page: corners of every part, few enough to send at once.

A part is a tube: rings of corners one after the other, its faces between them and at both
ends. The page joins them; only the corners travel, as whole tenths of a millimetre.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

import numpy as np

from overbend.curve import Floats
from overbend.draw.shapes import block_shape
from overbend.draw.tints import wood_tint
from overbend.errors import InputError
from overbend.frame import Block, Body
from overbend.plan.piece import Piece

__all__ = ["plotting_script", "solid_of"]

Data = dict[str, Any]
_TOLERANCE = 0.3  # mm, of bent faces
_UNIT = 0.1  # mm
_PUT_IN = ("tenon", "dowel", "screw")


def plotting_script() -> Path:
    """File of the plotting library's script, where its wheel was installed.

    Raises
    ------
    InputError
        When the library is not installed.
    """
    spec = importlib.util.find_spec("plotly")
    for place in (spec.submodule_search_locations or []) if spec else []:
        script = Path(place) / "package_data" / "plotly.min.js"
        if script.is_file():
            return script
    raise InputError("the plotting library is not installed", todo="install plotly")


def solid_of(piece: Piece) -> Data:
    """The piece as the page's data.

    Parameters
    ----------
    piece : the piece in space.

    Returns
    -------
    dict
        ``parts``: id, kind, colour of its wood, corners in a ring and all corners;
        ``pegs``: tenons, dowels and screws the same way, with the joint's name;
        ``joints``: places by the joint's name; ``box``: least and greatest x, y, z.
        Corners, places and box are whole numbers of tenths of a millimetre.
    """
    return {
        "parts": [_part(piece, body) for body in piece.bodies],
        "pegs": [
            {"joint": joint.spec.name, **_peg(block)}
            for joint in piece.joints
            for block in joint.blocks
            if block.what in _PUT_IN
        ],
        "joints": _joints(piece),
        "box": [_tenths(np.array(corner)) for corner in piece.box],
    }


def _part(piece: Piece, body: Body) -> Data:
    woods = piece.woods_of(body.kind)
    rings = body.rings(body.stations(_TOLERANCE))
    return {"id": body.id, "kind": body.kind, "tint": _colour(woods[0] if woods else ""),
            "n": 4, "at": _tenths(rings)}  # fmt: skip


def _peg(block: Block) -> Data:
    """A tenon, dowel or screw: the ring at its mouth and the one at its end."""
    n = 12 if block.round else 4
    sides = block_shape(block, "").faces[:n]
    return {"n": n, "at": _tenths(np.stack([sides[:, 0], sides[:, 3]]))}


def _joints(piece: Piece) -> dict[str, list[list[int]]]:
    found: dict[str, list[list[int]]] = {}
    for joint in piece.joints:
        found.setdefault(joint.spec.name, []).append(_tenths(joint.contact.point))
    return found


def _tenths(points: Floats) -> list[int]:
    found: list[int] = np.rint(points / _UNIT).astype(int).ravel().tolist()
    return found


def _colour(wood: str) -> str:
    """Colour of a wood as screens take it (sRGB, IEC 61966-2-1).

    Examples
    --------
    >>> _colour("white-ash")
    '#ddc8a4'
    """
    parts = (
        12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055 for c in wood_tint(wood)
    )
    return "#" + "".join(f"{round(255.0 * c):02x}" for c in parts)
