"""What `overbend trial` says."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from overbend.units import Display, format_duration, format_length

if TYPE_CHECKING:
    from overbend.bend.band import Range
    from overbend.bend.capacity import Capacity
    from overbend.ledger import BreakFit, Fit, Measurement, SetFit, Trial

__all__ = ["fit_svg", "table", "time_words", "told_fit", "told_trial"]

_Z90 = 1.645
_HOUR, _DAY = 1.0, 24.0
_FACES = {"convex": "outside tears", "concave": "inside crumples"}


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Columns side by side, as wide as their widest cell.

    Examples
    --------
    >>> print(table(("wood", "trials"), [("white-ash", "3")]))
    wood       trials
    white-ash  3
    """
    widths = [max(map(len, column)) for column in zip(head, *rows, strict=True)]
    return "\n".join(
        "  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip()
        for row in (head, *rows)
    )


def time_words(hours: float) -> str:
    """Time after release in the largest unit that leaves it whole.

    Examples
    --------
    >>> time_words(240.0), time_words(1.0), time_words(0.0), time_words(36.0)
    ('10 days', '1 h', 'at once', '36 h')
    """
    if hours == 0.0:
        return "at once"
    days = hours / _DAY
    if hours >= _DAY and abs(days - round(days)) < 1e-9:
        return f"{round(days)} day" + ("s" if round(days) != 1 else "")
    return format_duration(hours * 3600.0) if hours < _DAY else f"{hours:g} h"


def told_trial(number: int, trial: Trial, rest: Range | None, display: Display) -> str:
    """Say what was bent, what came off, and what is expected at ten days.

    Parameters
    ----------
    number, trial : of the ledger.
    rest : share of the bend lost at ten days; None when nothing can be said.
    display : how lengths are shown.
    """
    from overbend.ledger.evidence import lost_without_set

    strips = "one strip" if trial.plies == 1 else f"{trial.plies} strips"
    size = format_length(trial.thickness, display)
    lines = [
        f"Trial {number}  {trial.bent_on or 'no day'}  {_wood(trial.species)}, {trial.treatment}, "
        f"{strips} of {size} on a {trial.side} face of radius "
        f"{format_length(trial.form_radius, display)}"
        + (", strap" if trial.strap else "")
        + (": broken" if trial.broken else "")
    ]
    lines += [f"  after {time_words(m.after_hours)}: {_came_off(trial, m, display)}"
              for m in sorted(trial.measurements, key=lambda m: m.after_hours)]  # fmt: skip
    if not trial.measurements and not trial.broken:
        lines.append(f"  not measured yet: overbend trial measure {number}")
    if rest is not None:
        lines.append(f"  {_at_rest(trial, rest, display)}")
    if trial.treatment == "cold" and trial.measurements:
        lines.append(f"  bent cold, computed: {_percent(lost_without_set(trial))} lost")
    return "\n".join(lines)


def _came_off(trial: Trial, measured: Measurement, display: Display) -> str:
    from overbend.ledger.evidence import radius_after, release_of

    read = release_of(trial, measured)
    lost, radius = read.release.lost, radius_after(trial, read.release.lost)
    return (
        f"radius {_radius(radius, display)}, lost {_percent(lost)} of the bend "
        f"(known to {_percent(_Z90 * read.release.sd)} either way)"
        + (f"; {read.doubt}" if read.doubt else "")
    )


def _at_rest(trial: Trial, rest: Range, display: Display) -> str:
    from overbend.ledger.evidence import radius_after

    radii = [_radius(radius_after(trial, lost), display) for lost in rest]
    return (
        f"at ten days about {_percent(rest.median)} lost ({_percent(rest.low)} to "
        f"{_percent(rest.high)}), radius {radii[1]} ({radii[0]} to {radii[2]})"
    )


def told_fit(fit: Fit, display: Display) -> str:
    """Say what trial bends teach, as tables."""
    if not fit.trials:
        return "No trial bend yet: overbend trial add"
    return "\n\n".join(_fit_parts(fit, display))


def fit_svg(fit: Fit, display: Display) -> str:
    """Picture of the guess, the trials and what was learnt of the set, as SVG.

    Raises
    ------
    OutputError
        When there is nothing to draw.
    """
    from overbend.draw.learnt_chart import LearntPanel, TrialMark, learnt_drawing
    from overbend.draw.svg import to_svg

    panels = []
    for one in fit.sets:
        wood, treatment, strips, *_ = _set_row(one, display)
        marks = [TrialMark(f"trial {number}", *lost) for number, lost in one.trials]
        learnt = (_logit(one.learnt.median), one.learnt.sd_logit)
        title = f"{wood}, {treatment}, {strips}"
        panels.append(LearntPanel(title, one.guess, learnt, marks))
    return to_svg(learnt_drawing(panels, "What trial bends taught about set"))


def _fit_parts(fit: Fit, display: Display) -> Iterator[str]:
    if fit.sets:
        head = ("wood", "treatment", "strips", "trials", "others", "keeps, guess", "keeps, learnt")
        rows = [_set_row(s, display) for s in fit.sets]
        yield (
            "Share of its bend that a steamed strip keeps at ten days; nine in ten of the next "
            f"parts within the brackets\n{table(head, rows)}"
        )
        yield _creep(fit.creep)
    else:
        yield "No steamed trial bend is measured yet; bent cold, strips keep nothing."
    if fit.breaks:
        faces = ("wood", "treatment", "strips", "face", "trials", "broken", "guess", "learnt")
        yield (
            "Strain at which half of them break; the brackets are how well that is known\n"
            f"{table(faces, [_break_row(b) for b in fit.breaks])}"
        )
    for left in fit.left_out:
        yield f"Trial {left.number}, {time_words(left.after_hours)}: {left.why}"


def _set_row(fit: SetFit, display: Display) -> tuple[str, ...]:
    from overbend.ledger.fit import set_range

    learnt = fit.learnt
    low, high = (format_length(size, display) for size in fit.sizes)
    return (
        _wood(fit.wood),
        fit.treatment,
        f"{fit.thickness}, {low}" + (f" to {high}" if high != low else ""),
        str(learnt.trials),
        str(learnt.others),
        _range(set_range(*fit.guess)),
        _range(set_range(_logit(learnt.median), learnt.sd_logit)),
    )


def _break_row(fit: BreakFit) -> tuple[str, ...]:
    return (
        _wood(fit.wood),
        fit.treatment,
        fit.thickness,
        _FACES[fit.face],
        str(fit.trials),
        str(fit.broken),
        _strain(fit.guess),
        _strain(fit.learnt),
    )


def _creep(creep: tuple[float, float]) -> str:
    """How a small loss grows between one hour and ten days."""
    mean, sd = creep
    low, middle, high = (
        math.exp((mean + sign * _Z90 * sd) * math.log(240.0)) for sign in (-1.0, 0.0, 1.0)
    )
    return (
        f"Between one hour and ten days a small loss grows {middle:.1f} times in this shop "
        f"({low:.1f} to {high:.1f})."
    )


def _strain(capacity: Capacity) -> str:
    low, high = (capacity.median * math.exp(s * _Z90 * capacity.doubt) for s in (-1.0, 1.0))
    return f"{100 * capacity.median:.2f} % ({100 * low:.2f} to {100 * high:.2f})"


def _wood(species: str) -> str:
    """Name of a wood; one that the table does not hold goes by what it was called."""
    from overbend.errors import WoodError
    from overbend.wood import find_species

    try:
        return find_species(species).name
    except WoodError:
        return species


def _logit(share: float) -> float:
    return math.log(share / (1.0 - share))


def _range(values: Range) -> str:
    low, middle, high = (f"{100 * v:.0f}" for v in values)
    return f"{middle} % ({low} to {high})"


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"


def _radius(mm: float, display: Display) -> str:
    if math.isinf(mm) or mm > 1e5:
        return "straight"
    return format_length(round(mm, 1) if mm < 1000.0 else round(mm), display)
