"""What a search finds."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from overbend.bend.strain import Word
from overbend.steam.loading import Verdict
from overbend.study.ask import Ask
from overbend.study.stacks import Stack

__all__ = ["Candidate", "Figures", "Fit", "Reason", "ReasonKind", "Suggestion"]

ReasonKind = Literal["bend", "thin", "depth", "breaks", "spares", "scatter", "window"]


@dataclass(frozen=True)
class Fit:
    """Time to load the form against the working window.

    Parameters
    ----------
    seconds : to load the form [s].
    low, high : the window, wet and dry surface [s].
    verdict : of the time against the window.
    """

    seconds: float
    low: float
    high: float
    verdict: Verdict


@dataclass(frozen=True)
class Figures:
    """What a stack costs and risks.

    Parameters
    ----------
    springback : angle lost on release as a share of the angle on the form.
    verdict : of its strain: holds, close or fails.
    breaks : chance that the strip likeliest to break does.
    breaks_low, breaks_high : the same if the wood is stronger or weaker than thought.
    scatter : width of the range that holds nine in ten tips of parts off one form [mm].
    strips : good ones, for all parts.
    mill : strips to mill for them; None when no number is enough.
    wood : in the strips to mill, planing and saw cuts counted [mm3]; None without a number.
    fit : loading against the working window; None for cold work.
    """

    springback: float
    verdict: Word
    breaks: float
    breaks_low: float
    breaks_high: float
    scatter: float
    strips: int
    mill: int | None
    wood: float | None
    fit: Fit | None


@dataclass(frozen=True)
class Reason:
    """Why a stack does not meet what was asked.

    Parameters
    ----------
    kind : no form bends it, a strip too thin, the wrong depth, too many break, no number of
        spares is enough, tips scatter too far, or the wood stiffens before it is clamped.
    text : the same with its numbers.
    """

    kind: ReasonKind
    text: str


@dataclass(frozen=True)
class Candidate:
    """A stack that was looked at.

    Parameters
    ----------
    stack : the stack.
    present : whether it is the one the part is drawn with.
    figures : what it costs and risks; None when no form can bend it.
    reasons : why it does not meet what was asked; empty when it does.
    unbeaten : whether no other stack is better in one of wood, glue lines, chance of breaking
        and scatter, and as good in the rest.
    """

    stack: Stack
    present: bool
    figures: Figures | None
    reasons: tuple[Reason, ...]
    unbeaten: bool = False

    @property
    def meets(self) -> bool:
        """Whether it keeps every limit."""
        return not self.reasons

    @property
    def costs(self) -> tuple[float, float, float, float] | None:
        """Wood [mm3], glue lines, chance of breaking and scatter [mm]; None without wood."""
        found = self.figures
        if found is None or found.wood is None:
            return None
        return found.wood, float(self.stack.glue_lines), found.breaks, found.scatter


@dataclass(frozen=True)
class Suggestion:
    """Every stack that was looked at for a part.

    Parameters
    ----------
    part : its name.
    ask : what was asked.
    candidates : the drawn stack first, then by way of working, count and thickness.
    notes : what was assumed, in sentences.
    """

    part: str
    ask: Ask
    candidates: tuple[Candidate, ...]
    notes: tuple[str, ...]

    @property
    def present(self) -> Candidate:
        """The stack the part is drawn with."""
        return next(c for c in self.candidates if c.present)

    @property
    def meeting(self) -> tuple[Candidate, ...]:
        """Those that keep every limit."""
        return tuple(c for c in self.candidates if c.meets)

    @property
    def unbeaten(self) -> tuple[Candidate, ...]:
        """Those that no other beats, whether they keep the limits or not."""
        return tuple(c for c in self.candidates if c.unbeaten)

    def best(self, count: int = 5) -> tuple[Candidate, ...]:
        """Pick a few to look at first.

        Of those that keep every limit and that nothing beats: one for each number of strips,
        nearest to the depth asked for, the fewest glue lines first; when there are fewer
        numbers of strips than asked for, the next nearest too.

        Parameters
        ----------
        count : how many at most.
        """
        good = [c for c in self.candidates if c.meets and c.unbeaten]
        ranked = sorted(self._ranked(good), key=lambda pair: (pair[0], pair[1].stack.glue_lines))
        chosen = [c for _, c in ranked[:count]]
        return tuple(sorted(chosen, key=lambda c: (c.stack.glue_lines, c.stack.depth)))

    def nearest(self, count: int = 5) -> tuple[Candidate, ...]:
        """Pick a few of those that miss a limit and that nothing beats, the least far off first.

        Parameters
        ----------
        count : how many at most.
        """
        bad = [c for c in self.candidates if c.unbeaten and not c.meets]
        return tuple(sorted(bad, key=self._distance)[:count])

    def _distance(self, c: Candidate) -> tuple[float, int, float]:
        """Order of those that miss a limit: how far over, glue lines, how far from the depth."""
        off = abs(c.stack.depth - self.ask.depth)
        return round(self._over(c), 2), c.stack.glue_lines, off

    def _over(self, c: Candidate) -> float:
        """How far over its limits a stack is, as a factor: the worst of them."""
        found = c.figures
        if found is None:
            return math.inf
        late = found.fit.seconds / max(found.fit.high, 1e-9) if found.fit else 0.0
        return max(found.breaks / self.ask.risk, found.scatter / self.ask.scatter, late)

    def _ranked(self, good: list[Candidate]) -> Iterator[tuple[int, Candidate]]:
        """Each with its place among those of its method, woods and count."""
        seen = dict[tuple[object, ...], int]()
        for c in sorted(good, key=lambda c: abs(c.stack.depth - self.ask.depth)):
            kind = (c.stack.method, frozenset(c.stack.woods), c.stack.count)
            seen[kind] = seen.get(kind, -1) + 1
            yield seen[kind], c
