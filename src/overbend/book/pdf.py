"""Set blocks as a PDF."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

from overbend.book.blocks import Block, block_data

__all__ = ["pdf_bytes"]


def pdf_bytes(
    blocks: Sequence[Block], title: str, footer: str, paper: str = "a4", lang: str = "en"
) -> bytes:
    """Set blocks on pages.

    Parameters
    ----------
    blocks : what the pages hold, in order.
    title : of the piece, at the foot of each page and in the file's properties.
    footer : what the pages rest on, in the middle of the foot.
    paper : "a4", "a3" (the book itself stays on A4) or "letter".
    lang : language for hyphenation.

    Returns
    -------
    The PDF file.

    Examples
    --------
    >>> from overbend.book.blocks import Text
    >>> pdf_bytes([Text("Mill nine.")], "Stool", "")[:5]
    b'%PDF-'
    """
    import typst

    pictures: dict[str, str] = {}
    data = {
        "title": title,
        "footer": footer,
        "paper": paper,
        "lang": lang,
        "blocks": [block_data(b, pictures) for b in blocks],
    }
    with tempfile.TemporaryDirectory(prefix="overbend-") as place:
        root = Path(place)
        root.joinpath("data.json").write_text(json.dumps(data), encoding="utf-8")
        template = files("overbend.book").joinpath("book.typ").read_text(encoding="utf-8")
        root.joinpath("book.typ").write_text(template, encoding="utf-8")
        for name, svg in pictures.items():
            root.joinpath(name).write_text(svg, encoding="utf-8")
        pdf = typst.compile(str(root / "book.typ"), root=place, ignore_system_fonts=True)
    return bytes(pdf)
