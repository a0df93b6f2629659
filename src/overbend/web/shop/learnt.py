"""The page of what trial bends teach: sentences, pictures, tables."""

from __future__ import annotations

import math
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from overbend.bend.capacity import Capacity
from overbend.draw.drawing import Drawing
from overbend.draw.learnt_chart import LearntPanel, TrialMark, learnt_drawing
from overbend.draw.set_chart import SetRow, set_drawing
from overbend.ledger import BreakFit, Fit, SetFit, fitted
from overbend.ledger.fit import set_range
from overbend.units import Display, format_length
from overbend.web.pictures import page_svg
from overbend.web.shop.entry import wood_name
from overbend.web.shop.place import Page, Shop, display_of
from overbend.web.shop.told import percent, time_words
from overbend.web.words import words

__all__ = ["LearntPage", "learnt_data"]

_Z90 = 1.645


class LearntPage:
    """Handler of the page.

    Parameters
    ----------
    page : fills a template.
    shop : the ledger.
    """

    def __init__(self, page: Page, shop: Shop) -> None:
        self.page, self.shop = page, shop

    def routes(self) -> list[Route]:
        """Address of the page."""
        return [Route("/shop/learnt", self.show)]

    async def show(self, request: Request) -> Response:
        """Everything the trial bends teach."""
        display = display_of(request)
        nothing: dict[str, Any] = {}
        data = await self.shop.read(lambda book: learnt_data(fitted(book), display), nothing)
        return self.page("shop_learnt.html", tab="learnt", units=display.system, learnt=data)


def learnt_data(fit: Fit, display: Display) -> dict[str, Any]:
    """What is learnt, in words and pictures; nothing without a trial bend.

    Parameters
    ----------
    fit : of the ledger's trial bends.
    display : the reader's units.
    """
    if not fit.trials:
        return {}
    data: dict[str, Any] = {
        "sets": [_set_row(one, display) for one in fit.sets],
        "breaks": [_break_row(one) for one in fit.breaks],
        "out": [
            words("learnt.out.row", number=o.number, after=time_words(o.after_hours), why=o.why)
            for o in fit.left_out
        ],
    }
    if fit.sets:
        low, middle, high = _creep(fit)
        data["creep"] = words("learnt.creep", low=low, middle=middle, high=high)
        data["rows"] = page_svg(_rows(fit, display))
        data["panels"] = page_svg(_panels(fit, display))
    return data


def _creep(fit: Fit) -> tuple[str, str, str]:
    """How a small loss grows between one hour and ten days, 5, 50 and 95 %."""
    mean, sd = fit.creep
    low, middle, high = (
        f"{math.exp((mean + z * sd) * math.log(240.0)):.1f}" for z in (-_Z90, 0.0, _Z90)
    )
    return low, middle, high


def _title(one: SetFit, display: Display) -> str:
    """Wood, treatment and sizes of a cell."""
    low, high = (format_length(size, display) for size in one.sizes)
    size = f"{words(f'learnt.size.{one.thickness}')}, {low}"
    size += f" to {high}" if high != low else ""
    treatment = words(f"trials.treatment.{one.treatment}")
    return f"{wood_name(one.wood)}, {treatment}, {size}"


def _lost(middle: float, sd: float) -> tuple[float, float, float]:
    """Share lost of the next part, 5, 50 and 95 %, from logit(phi)."""
    low, mid, high = set_range(middle, sd)
    return 1.0 - high, 1.0 - mid, 1.0 - low


def _learnt(one: SetFit) -> tuple[float, float]:
    """Middle and standard deviation of logit(phi) as learnt."""
    share = one.learnt.median
    return math.log(share / (1.0 - share)), one.learnt.sd_logit


def _rows(fit: Fit, display: Display) -> Drawing:
    rows = [
        SetRow(
            _title(one, display), _lost(*one.guess), _lost(*_learnt(one)),
            [lost.median for _, lost in one.trials],
        )
        for one in fit.sets
    ]  # fmt: skip
    legend = tuple(words(f"learnt.legend.{name}") for name in ("guess", "learnt", "trials"))
    return set_drawing(rows, words("learnt.set"), legend, words("learnt.axis"))


def _panels(fit: Fit, display: Display) -> Drawing:
    panels = [
        LearntPanel(
            _title(one, display), one.guess, _learnt(one),
            [TrialMark(f"trial {number}", *lost) for number, lost in one.trials],
        )
        for one in fit.sets
    ]  # fmt: skip
    return learnt_drawing(panels, words("learnt.each"))


def _set_row(one: SetFit, display: Display) -> str:
    """A cell in a sentence."""
    low, middle, high = (percent(v) for v in _lost(*_learnt(one)))
    glow, guess, ghigh = (percent(v) for v in _lost(*one.guess))
    count, others = one.learnt.trials, one.learnt.others
    title = _title(one, display)
    wood, _, rest = title.partition(", ")
    treatment, _, size = rest.partition(", ")
    return words(
        "learnt.set.row", wood=wood[:1].upper() + wood[1:], treatment=treatment, size=size,
        learnt=middle, low=low, high=high, guess=guess, glow=glow, ghigh=ghigh,
        trials=_counted("learnt.trials", count),
        others=_counted("learnt.others", others) if others else "",
    )  # fmt: skip


def _counted(key: str, count: int) -> str:
    return words(f"{key}.one" if count == 1 else key, count=count)


def _break_row(one: BreakFit) -> tuple[str, str, str, str, str]:
    wood, treatment = wood_name(one.wood), words(f"trials.treatment.{one.treatment}")
    size, face = words(f"learnt.size.{one.thickness}"), words(f"learnt.breaks.{one.face}")
    what = f"{wood}, {treatment}, {size}: {face}"
    return what, str(one.trials), str(one.broken), _strain(one.guess), _strain(one.learnt)


def _strain(capacity: Capacity) -> str:
    low, high = (capacity.median * math.exp(z * _Z90 * capacity.doubt) for z in (-1.0, 1.0))
    return f"{100 * capacity.median:.2f} % ({100 * low:.2f} to {100 * high:.2f})"
