"""How much room a text takes, before any typesetter sees it.

Sizes are heights of a capital letter in mm on paper, the nominal size of ISO 3098-1;
2.5, 3.5, 5 and 7 are its usual steps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from overbend.curve import Floats

__all__ = ["LINE_STEP", "Block", "block", "text_width", "turned_box", "upright"]

LINE_STEP = 1.75
"""Distance between the base lines of two lines of one text, in capital heights."""

_WIDTHS = {
    0.3: "'",
    0.4: " ,.:;|′·",
    0.45: "!\\ijl‘’",
    0.5: "()/Ift{}",
    0.55: '"-',
    0.6: "*[]r°″“”",
    0.65: "`",
    0.7: "Jcszç",
    0.8: "#$0123456789?_abdegkoqvxyäöéè§θκ",
    0.85: "L^hnpu~üñ–≤≥≈µ",
    0.9: "+<=>Fß±×σ",
    0.95: "BEPSTYZφ",
    1.0: "KΔ",
    1.05: "CRUVXÜ",
    1.1: "&ADGNOQØÄÖ",
    1.15: "H",
    1.2: "w½¼¾⅛⅜⅝⅞",
    1.25: "%m",
    1.3: "M",
    1.4: "—…",
    1.45: "@",
    1.5: "W",
    1.75: "→",
}
_WIDTH_OF = {letter: width for width, letters in _WIDTHS.items() for letter in letters}
_OTHER = 1.2


def text_width(text: str, size: float) -> float:
    """Room a text needs along its line, never less than it takes [mm on paper].

    Widths are the larger of two faces measured letter by letter, a book serif and a
    common sans, as multiples of the capital height and rounded up to a twentieth.

    Parameters
    ----------
    text : may hold several lines; the longest counts.
    size : height of a capital letter [mm on paper].

    Returns
    -------
    float

    Examples
    --------
    >>> text_width("R 1040", 2.5) > text_width("R 10", 2.5)
    True
    """
    lines = text.split("\n")
    return size * max(sum(_WIDTH_OF.get(c, _OTHER) for c in line) for line in lines)


@dataclass(frozen=True)
class Block:
    """The box a text fills, seen from its anchor point, unturned, y up [mm on paper].

    Parameters
    ----------
    left, right, bottom, top : edges; descenders of the last line are inside.
    lines : base line of each line above the anchor point, and its text.
    """

    left: float
    right: float
    bottom: float
    top: float
    lines: tuple[tuple[float, str], ...]


@lru_cache(maxsize=4096)
def block(text: str, size: float, anchor: str = "left", level: str = "base") -> Block:
    """Where the lines of a text go round its anchor point.

    Parameters
    ----------
    text : lines separated by newlines.
    size : height of a capital letter [mm on paper].
    anchor : "left", "centre" or "right": the part of the text at the anchor point.
    level : "base" (base line of the last line), "middle" or "top" (top of the first
        line's capitals) at the anchor point.

    Returns
    -------
    Block

    Examples
    --------
    >>> block("A", 10.0, "left", "top").lines
    ((-10.0, 'A'),)
    """
    lines = text.split("\n")
    height = size * (1.0 + LINE_STEP * (len(lines) - 1))
    last = {"base": 0.0, "middle": -0.5 * height, "top": -height}[level]
    width = text_width(text, size)
    left = {"left": 0.0, "centre": -0.5 * width, "right": -width}[anchor]
    steps = [last + LINE_STEP * size * k for k in reversed(range(len(lines)))]
    rows = tuple(zip(steps, lines, strict=True))
    return Block(left, left + width, last - 0.35 * size, last + height, rows)


def upright(angle: float) -> float:
    """Return the direction along the same line that reads from below or from the right [rad].

    Examples
    --------
    >>> round(upright(math.pi), 9)
    0.0
    """
    turned = math.remainder(angle, 2.0 * math.pi)
    if turned > 0.5 * math.pi + 1e-9:
        return turned - math.pi
    return turned + math.pi if turned <= -0.5 * math.pi + 1e-9 else turned


def turned_box(shape: Block, angle: float, grow: float = 0.0) -> Floats:
    """Corners of a text's box turned about its anchor point, shape (4, 2) [mm on paper].

    Examples
    --------
    >>> turned_box(block("A", 10.0), 0.0).tolist()[0]
    [0.0, -3.5]
    """
    x0, x1 = shape.left - grow, shape.right + grow
    y0, y1 = shape.bottom - grow, shape.top + grow
    c, s = math.cos(angle), math.sin(angle)
    box = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    return np.asarray(box @ np.array([[c, s], [-s, c]]))
