"""Colours of drawings: named tokens for screens in two themes, ink and greys for print."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from overbend.draw.drawing import Layer

__all__ = ["DXF_COLOURS", "PRINT_FACE", "THEMES", "Look", "Theme", "token_of"]

Theme: TypeAlias = Literal["light", "dark", "print", "page"]

PRINT_FACE = "Libertinus Serif"
"""The one text face built into the typesetter that has every glyph drawings use."""


@dataclass(frozen=True)
class Look:
    """A theme.

    Parameters
    ----------
    colours : colour of each token: paper, ink, faint, hairline, accent.
    face : font families, first choice first.
    capital : height of a capital letter over the font size.
    variables : whether to write colours as CSS variables too, for a page to override.
    own : whether the file sets the variables and paints its own paper.
    """

    colours: Mapping[str, str]
    face: str
    capital: float
    variables: bool
    own: bool


_LIGHT = {
    "paper": "#faf7f0",
    "ink": "#26221d",
    "faint": "#6a6156",
    "hairline": "#cfc6b8",
    "accent": "#9a3d1e",
}
_DARK = {
    "paper": "#1d1a17",
    "ink": "#ebe4d7",
    "faint": "#a89e90",
    "hairline": "#4b453d",
    "accent": "#e39068",
}
_PRINT = {
    "paper": "#ffffff",
    "ink": "#000000",
    "faint": "#595959",
    "hairline": "#8c8c8c",
    "accent": "#000000",
}
_SCREEN_FACE = "system-ui, sans-serif"

THEMES: Mapping[Theme, Look] = {
    "light": Look(_LIGHT, _SCREEN_FACE, 0.716, True, True),
    "dark": Look(_DARK, _SCREEN_FACE, 0.716, True, True),
    "page": Look(_LIGHT, _SCREEN_FACE, 0.716, True, False),
    "print": Look(_PRINT, f"{PRINT_FACE}, serif", 0.647, False, False),
}
"""The page theme leaves its colours to the variables of the page it stands in."""

_FAINT = {Layer.BAND, Layer.FIGURE, Layer.GROUND, Layer.GLUE, Layer.CENTRE, Layer.RELEASED}
_HAIRLINE = {Layer.SHEET}


def token_of(layer: Layer) -> str:
    """Colour token a layer is drawn in.

    Examples
    --------
    >>> token_of(Layer.TARGET), token_of(Layer.BAND)
    ('ink', 'faint')
    """
    if layer in _HAIRLINE:
        return "hairline"
    return "faint" if layer in _FAINT else "ink"


DXF_COLOURS: Mapping[Layer, int] = {
    Layer.BAND: 9,
    Layer.FIGURE: 9,
    Layer.GROUND: 8,
    Layer.SHEET: 9,
    Layer.BODY: 3,
    Layer.STOP: 2,
    Layer.PART: 7,
    Layer.GLUE: 8,
    Layer.CENTRE: 4,
    Layer.RELEASED: 5,
    Layer.FORM: 1,
    Layer.TARGET: 7,
    Layer.HOLE: 6,
    Layer.PIN: 200,
    Layer.MARK: 30,
    Layer.DIMENSION: 8,
    Layer.TEXT: 8,
}
"""Colour numbers of the DXF colour index: 1 red, 2 yellow, 3 green, 4 cyan, 5 blue, 6 magenta,
7 ink, 8 and 9 greys, 30 orange, 200 violet."""
