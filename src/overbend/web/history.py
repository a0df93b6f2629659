"""Every text a project has had since it was opened, for undo and redo without limit."""

from __future__ import annotations

import zlib

__all__ = ["History"]


class History:
    """Texts in order, with a place among them.

    Texts are kept compressed, about a kilobyte each, so that a day's work fits easily.

    Parameters
    ----------
    text : the first.

    Examples
    --------
    >>> history = History("one")
    >>> history.add("two")
    >>> history.undo(), history.undo(), history.redo()
    ('one', None, 'two')
    """

    def __init__(self, text: str) -> None:
        self._texts = [_packed(text)]
        self._at = 0

    def add(self, text: str) -> None:
        """Put a text after the present one; what was undone is let go."""
        self._at += 1
        self._texts[self._at :] = [_packed(text)]

    def undo(self) -> str | None:
        """Go one back and return the text there; None at the beginning."""
        return self._go(-1) if self.can_undo else None

    def redo(self) -> str | None:
        """Go one forward and return the text there; None at the end."""
        return self._go(1) if self.can_redo else None

    @property
    def can_undo(self) -> bool:
        """Whether there is an earlier text."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """Whether something undone can come back."""
        return self._at < len(self._texts) - 1

    def _go(self, step: int) -> str:
        self._at += step
        return zlib.decompress(self._texts[self._at]).decode()


def _packed(text: str) -> bytes:
    return zlib.compress(text.encode(), 6)
