"""Trial bends in sentences."""

from __future__ import annotations

import math
from dataclasses import dataclass

from overbend.bend.band import Range
from overbend.book.us_units import Reader
from overbend.errors import OverbendError
from overbend.ledger import Measurement, Trial
from overbend.ledger.evidence import lost_without_set, radius_after, release_of
from overbend.units import Display, format_duration, format_length
from overbend.web.shop.entry import wood_name
from overbend.web.words import words

__all__ = ["Told", "percent", "time_words", "told"]

_Z90 = 1.645


@dataclass(frozen=True)
class Told:
    """A trial bend as the page shows it: its number, title, day, sentences, note."""

    number: int
    title: str
    day: str
    lines: tuple[str, ...]
    note: str
    broken: bool


def percent(share: float) -> str:
    """A share in percent.

    Examples
    --------
    >>> percent(0.0589)
    '5.9 %'
    """
    return f"{100 * share:.1f} %"


def time_words(hours: float) -> str:
    """Time after release in the largest unit that leaves it whole.

    Examples
    --------
    >>> time_words(240.0), time_words(1.0), time_words(0.0), time_words(36.0)
    ('10 days', '1 h', 'at once', '36 h')
    """
    if hours == 0.0:
        return words("trials.once")
    days = hours / 24.0
    if hours >= 24.0 and abs(days - round(days)) < 1e-9:
        return f"{round(days)} day" + ("s" if round(days) != 1 else "")
    return format_duration(3600.0 * hours) if hours < 24.0 else f"{hours:g} h"


def told(number: int, trial: Trial, rest: Range | None, display: Display) -> Told:
    """Say what was bent, what came off, and what is expected at ten days.

    Parameters
    ----------
    number, trial : of the ledger.
    rest : share of the bend lost at ten days; None when nothing can be said.
    display : the reader's units.
    """
    size = format_length(trial.thickness, display)
    one = trial.plies == 1
    strips = words("trials.strips.one" if one else "trials.strips", size=size, count=trial.plies)
    wood = wood_name(trial.species)
    title = words(
        "trials.line",
        wood=wood[:1].upper() + wood[1:],
        treatment=words(f"trials.treatment.{trial.treatment}"),
        strips=strips,
        side=words(f"trials.side.{trial.side}"),
        radius=format_length(trial.form_radius, display),
    )
    title += f", {words('trials.strap')}" if trial.strap else ""
    lines = [_read(trial, m, display) for m in sorted(trial.measurements, key=_after)]
    lines += [_rest(trial, rest, display)] if rest is not None else []
    if trial.treatment == "cold" and trial.measurements:
        lines.append(words("trials.cold", lost=percent(lost_without_set(trial))))
    lines += [] if lines or trial.broken else [words("trials.whole")]
    reader = Reader(display.system)
    return Told(
        number, title, trial.bent_on, tuple(map(reader.words, lines)), trial.note, trial.broken
    )


def _after(measured: Measurement) -> float:
    return measured.after_hours


def _read(trial: Trial, measured: Measurement, display: Display) -> str:
    try:
        read = release_of(trial, measured)
    except OverbendError as error:
        return str(error)
    lost = read.release.lost
    said = words(
        "trials.read",
        after=time_words(measured.after_hours),
        radius=_radius(radius_after(trial, lost), display),
        lost=percent(lost),
        error=percent(_Z90 * read.release.sd),
    )
    return f"{said} {read.doubt[:1].upper()}{read.doubt[1:]}." if read.doubt else said


def _rest(trial: Trial, rest: Range, display: Display) -> str:
    near, radius, far = (_radius(radius_after(trial, lost), display) for lost in rest)
    low, middle, high = (percent(lost) for lost in rest)
    return words("trials.rest", lost=middle, low=low, high=high, radius=radius, near=near, far=far)


def _radius(mm: float, display: Display) -> str:
    if math.isinf(mm) or mm > 1e5:
        return words("trials.straight")
    return format_length(round(mm, 1) if mm < 1000.0 else round(mm), display)
