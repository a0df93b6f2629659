"""Every fixed text that drawings and template pages carry, in one place.

A second language is a second mapping with the same keys; writers take the mapping as
an argument. Values that change are named in braces and filled by :func:`say`.
"""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["ENGLISH", "MARK_WORDS", "say"]

ENGLISH: Mapping[str, str] = {
    "drawing": "drawing",
    "trial": "TRIAL FORM",
    "clamp": "clamp {number}",
    "dowel": "dowel",
    "screw": "screw",
    "stop": "stop",
    "page_of": "Page {page} of {pages}",
    "page_map": "Page map",
    "full_size": "Print at 100 % (actual size), no fit to page.",
    "bar": "100 mm",
    "bar_check": "100 mm (3-15/16 in), across and up: measure both.",
    "left": "Cut the left edge, lay it over {page}: crosses {marks}.",
    "top": "Cut the top edge, lay it over {page}: crosses {marks}.",
    "right": "{page} goes over the right edge: crosses {marks}.",
    "bottom": "{page} goes over the bottom edge: crosses {marks}.",
    "alone": "This page stands alone: nothing to join.",
    "bridge": "No line crosses this page: it holds the others in place.",
    "and": "{first} and {last}",
    "sheets_one": "1 page, {paper} {way}, after this one.",
    "sheets": "{count} pages, {paper} {way}, after this one.",
    "portrait": "portrait",
    "landscape": "landscape",
    "a4": "A4",
    "a3": "A3",
    "letter": "Letter",
    "tabloid": "11 x 17 in",
    "language": "en",
    "map_how": "How to join the pages",
    "step_print": "Print every page at 100 % (“actual size”). No fit to page.",
    "step_measure": (
        "Measure the two black-and-white bars on every page, one across and one up. "
        "Each must be 100 mm (3-15/16 in). If one is not, set the printer right and print again."
    ),
    "step_frame": (
        "Look at the grey frame round each page. If a side is missing, the printer cut it off: "
        "choose larger paper or a printer with narrower margins."
    ),
    "step_cut": (
        "Cut each page along its broken lines, left and top, where it has them. The cut runs "
        "through the middle of the ringed crosses."
    ),
    "step_lay": (
        "Lay the cut edge on its neighbour so that the half crosses meet the whole crosses with "
        "the same number. Tape. Do row A from left to right, then row B, and so on. Where a blank "
        "edge would cover a line, trim it back to the grey frame."
    ),
    "step_check": (
        "Measure the joined sheet from cross {first} (on {here}) to cross {last} (on {there}): "
        "{length}. "
        "If it is out, peel off the tape and join again."
    ),
    "step_single": "One page holds the whole template: nothing to join.",
    "map_alt": "Small drawing of the whole template with the pages marked on it",
    "page_alt": "Part {page} of the template at full size",
}

MARK_WORDS: Mapping[str, str] = {
    "wood.start": "wood ends",
    "wood.end": "wood ends",
    "trim.start": "trim, reference end",
    "trim.end": "trim",
    "tangent.start": "bend begins",
    "tangent.end": "bend ends",
    "middle": "middle",
}
"""What is written beside the witness marks of a form."""


def say(words: Mapping[str, str], key: str, **values: object) -> str:
    """Text under `key` with its values filled in.

    Parameters
    ----------
    words : the language, such as :data:`ENGLISH`.
    key : which text.
    values : what goes in the braces.

    Returns
    -------
    str

    Raises
    ------
    KeyError
        When the language lacks the text or a value is missing.

    Examples
    --------
    >>> say(ENGLISH, "page_of", page=3, pages=9)
    'Page 3 of 9'
    """
    return words[key].format(**values)
