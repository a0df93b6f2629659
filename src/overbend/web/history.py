"""Every step a project has taken since it was opened, for undo and redo without limit."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, replace

from overbend.web.tracing import Kept

__all__ = ["History"]


@dataclass(frozen=True)
class _Step:
    """A text, compressed, and the traced picture beside it; None where it is not known."""

    text: bytes
    picture: Kept | None


class History:
    """Texts and traced pictures in the order they came, with a place among them.

    Texts are kept compressed, about a kilobyte each, so that a day's work fits easily; of a
    picture that is only moved there is one copy.

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
        self._steps = [_Step(_packed(text), None)]
        self._at = 0

    def add(self, text: str) -> None:
        """Put a text after the present one; what was undone is let go."""
        self._put(_Step(_packed(text), self.picture))

    def trace(self, before: Kept, after: Kept) -> None:
        """Put another picture, or another place of it, after the present one.

        Parameters
        ----------
        before, after : what lay beside the text, and what does now.
        """
        if self.picture is not None and self.picture.data == before.data:
            before = replace(before, data=self.picture.data)
        if after.data == before.data:
            after = replace(after, data=before.data)
        here = replace(self._steps[self._at], picture=before)
        self._steps[self._at] = here
        self._put(replace(here, picture=after))

    def undo(self) -> str | None:
        """Go one back and return the text there; None at the beginning."""
        return self._go(-1) if self.can_undo else None

    def redo(self) -> str | None:
        """Go one forward and return the text there; None at the end."""
        return self._go(1) if self.can_redo else None

    @property
    def picture(self) -> Kept | None:
        """The traced picture at the present place; None where it was never changed."""
        return self._steps[self._at].picture

    @property
    def can_undo(self) -> bool:
        """Whether there is an earlier step."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """Whether something undone can come back."""
        return self._at < len(self._steps) - 1

    def _put(self, step: _Step) -> None:
        self._at += 1
        self._steps[self._at :] = [step]

    def _go(self, by: int) -> str:
        self._at += by
        return zlib.decompress(self._steps[self._at].text).decode()


def _packed(text: str) -> bytes:
    return zlib.compress(text.encode(), 6)
