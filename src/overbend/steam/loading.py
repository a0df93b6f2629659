"""Can this shop load the form before the wood stiffens, and what helps if not.

The time from opening the box to the last clamp that matters is laid against the working
window. When it does not fit, each remedy is tried: its own window is computed and its own
time counted, and the remedies are ranked by what came out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

from overbend.errors import SteamError
from overbend.steam.air import Air
from overbend.steam.assumed import (
    BEND_SECONDS,
    CLAMP_SECONDS,
    OUT_SECONDS,
    SECOND_HAND,
    SOFTENING,
    STRAP_SECONDS,
    STRIP_SECONDS,
)
from overbend.steam.cooling import Window, working_window
from overbend.steam.section import Section
from overbend.wood.thermal import ThermalWood

__all__ = [
    "FormLoad",
    "Hands",
    "LoadingCheck",
    "Remedy",
    "Surroundings",
    "Verdict",
    "check_loading",
    "judge",
    "loading_seconds",
]

Verdict = Literal["holds", "close", "fails"]
_ORDER: dict[Verdict, int] = {"holds": 0, "close": 1, "fails": 2}


@dataclass(frozen=True)
class Hands:
    """How fast this shop works. Every default is assumed: time a dry run and type your own.

    Parameters
    ----------
    people : at the form.
    out : opening the box and walking to the form [s].
    per_strip : taking out and laying up one loose strip, one pair of hands [s].
    strap : hooking a bundle into its strap [s].
    bend : pulling the stack round the form [s].
    per_clamp : closing one clamp, one pair of hands [s].
    share : work of each further person as a part of the first's [-].
    """

    people: int = 1
    out: float = OUT_SECONDS.value
    per_strip: float = STRIP_SECONDS.value
    strap: float = STRAP_SECONDS.value
    bend: float = BEND_SECONDS.value
    per_clamp: float = CLAMP_SECONDS.value
    share: float = SECOND_HAND.value

    def __post_init__(self) -> None:
        if self.people < 1:
            raise SteamError(f"{self.people} people at the form", allowed="1 or more")
        times = (self.out, self.per_strip, self.strap, self.bend, self.per_clamp, self.share)
        if not all(math.isfinite(t) and t >= 0.0 for t in times):
            raise SteamError("a time at the form that is below zero", allowed="seconds, 0 or more")

    @property
    def pairs(self) -> float:
        """Pairs of hands that work lasts on [-]."""
        return 1.0 + (self.people - 1) * self.share


@dataclass(frozen=True)
class FormLoad:
    """What goes onto the form in one go.

    Parameters
    ----------
    strip : section of one strip, or of a solid blank [mm].
    strips : how many.
    clamps : closed before the bend holds by itself.
    strapped : carried as one bundle in its strap, laid up before the box.
    """

    strip: Section
    strips: int
    clamps: int
    strapped: bool = False

    def __post_init__(self) -> None:
        if self.strips < 1 or self.clamps < 0:
            raise SteamError(
                f"a load of {self.strips} strips and {self.clamps} clamps",
                allowed="1 strip or more, 0 clamps or more",
            )

    @property
    def carried(self) -> Section:
        """What cools as one solid on the way [mm]."""
        return self.strip.stacked(self.strips) if self.strapped else self.strip


@dataclass(frozen=True)
class Surroundings:
    """What the window depends on beside the piece; parameters as in `cooling.cool`."""

    start: float = 98.0
    air: Air = field(default_factory=Air)
    softening: float = SOFTENING.value

    def window(self, section: Section, wood: ThermalWood, *, warm_form: bool = False) -> Window:
        """Window of a section carried through these surroundings."""
        return working_window(
            section, wood, start=self.start, air=self.air, softening=self.softening,
            warm_form=warm_form,
        )  # fmt: skip


@dataclass(frozen=True)
class Remedy:
    """One thing tried.

    Parameters
    ----------
    kind : ``strap``, ``fewer``, ``hands``, ``thicker``, ``warm form`` or ``together``.
    text : what to do, in one sentence.
    load, hands : what it makes of the load and of the shop.
    seconds : time to load the form [s].
    low, high : its window, wet and dry surface [s].
    verdict : of its time against its window.
    helps : whether it comes nearer to fitting than the load as it stands.
    note : what it costs, or what its figures leave out.
    """

    kind: str
    text: str
    load: FormLoad
    hands: Hands
    seconds: float
    low: float
    high: float
    verdict: Verdict
    helps: bool
    note: str


@dataclass(frozen=True)
class LoadingCheck:
    """The time to load the form against the window.

    Parameters
    ----------
    load, hands : what was asked.
    seconds : time to load the form [s].
    low, high : the window, wet and dry surface [s].
    verdict : ``holds`` within the low bound, ``close`` within the high one, ``fails`` beyond.
    reason : the verdict in one sentence with its numbers.
    remedies : what was tried, best first; empty when it holds.
    """

    load: FormLoad
    hands: Hands
    seconds: float
    low: float
    high: float
    verdict: Verdict
    reason: str
    remedies: tuple[Remedy, ...]


def loading_seconds(load: FormLoad, hands: Hands) -> float:
    """Time from opening the box until the clamps that matter are closed [s].

    Opening and bending take the same with more people; laying up strips and closing clamps
    are shared. A strapped bundle is laid up before it goes into the box.

    Examples
    --------
    >>> seven = FormLoad(Section(50.0, 3.2), 7, clamps=5)
    >>> loading_seconds(seven, Hands()), loading_seconds(seven, Hands(people=2)) < 60.0
    (81.0, True)
    """
    laying = hands.strap if load.strapped else load.strips * hands.per_strip
    return hands.out + hands.bend + (laying + load.clamps * hands.per_clamp) / hands.pairs


def judge(seconds: float, low: float, high: float) -> Verdict:
    """Verdict of a time against a window.

    Examples
    --------
    >>> judge(30.0, 7.0, 42.0)
    'close'
    """
    if seconds <= low:
        return "holds"
    return "close" if seconds <= high else "fails"


def check_loading(
    load: FormLoad,
    wood: ThermalWood,
    hands: Hands | None = None,
    around: Surroundings | None = None,
    *,
    thickest: float | None = None,
) -> LoadingCheck:
    """Lay the time to load the form against the working window.

    Parameters
    ----------
    load : what goes onto the form.
    wood : its wood as it leaves the box.
    hands : the shop's pace; None takes the assumed one, alone.
    around : box temperature, air and softening temperature; None takes the assumed ones.
    thickest : thickest strip the curve allows [mm]; None leaves the thicker strip to the maker.

    Returns
    -------
    The verdict, and when it does not hold the remedies tried, best first.

    Examples
    --------
    >>> seven = FormLoad(Section(50.0, 3.2), 7, clamps=5)
    >>> check = check_loading(seven, ThermalWood(0.56, 20.0))
    >>> check.verdict, check.remedies[0].kind
    ('fails', 'together')
    """
    hands, around = hands or Hands(), around or Surroundings()
    window = around.window(load.carried, wood)
    seconds, low, high = loading_seconds(load, hands), window.low, window.high
    verdict = judge(seconds, low, high)
    reason = _reason(seconds, window, verdict)
    if verdict == "holds" or window.governed == "box":
        return LoadingCheck(load, hands, seconds, low, high, verdict, reason, ())
    trial = _Trial(load, wood, hands, around, thickest, high / seconds)
    remedies = sorted(trial.all(), key=lambda r: (_ORDER[r.verdict], -r.high / r.seconds))
    return LoadingCheck(load, hands, seconds, low, high, verdict, reason, tuple(remedies))


def _reason(seconds: float, window: Window, verdict: Verdict) -> str:
    if window.governed == "box":
        return (
            f"the piece leaves the box at {window.wet.start:g} C, below the softening temperature "
            f"of {window.wet.softening:g} C: there is no window"
        )
    span = f"{math.floor(window.low)} s with a wet surface, {math.floor(window.high)} s with a dry"
    need = f"loading takes about {math.ceil(seconds)} s"
    said = {
        "holds": "within both bounds",
        "close": "between the bounds: rehearse it cold with a clock",
        "fails": "beyond both bounds",
    }[verdict]
    return f"{need}, the window is {span}: {said}"


@dataclass(frozen=True)
class _Trial:
    """Tries remedies on one load."""

    load: FormLoad
    wood: ThermalWood
    hands: Hands
    around: Surroundings
    thickest: float | None
    margin: float

    def all(self) -> Iterator[Remedy]:
        """Every remedy that can be tried on this load."""
        if self.load.strips > 1 and not self.load.strapped:
            yield self._strap()
            yield self._fewer()
            yield from self._thicker()
        yield self._more_hands()
        yield self._warm_form()
        yield self._together()

    def _try(
        self, kind: str, text: str, note: str, load: FormLoad, hands: Hands, warm: bool = False
    ) -> Remedy:
        window = self.around.window(load.carried, self.wood, warm_form=warm)
        seconds, low, high = loading_seconds(load, hands), window.low, window.high
        verdict, helps = judge(seconds, low, high), high / seconds > self.margin
        return Remedy(kind, text, load, hands, seconds, low, high, verdict, helps, note)

    def _strap(self) -> Remedy:
        return self._try(
            "strap",
            f"Lay up all {self.load.strips} strips in their strap, steam and carry them as one.",
            "Without stickers the bundle heats as a solid: give it the solid's time in the box.",
            replace(self.load, strapped=True),
            self.hands,
        )

    def _fewer(self) -> Remedy:
        window = self.around.window(self.load.strip, self.wood)
        times = [
            loading_seconds(replace(self.load, strips=n), self.hands)
            for n in range(1, self.load.strips)
        ]
        within = [sum(t <= bound for t in times) for bound in (window.low, window.high)]
        count = next((n for n in within if n), 1)
        rounds = math.ceil(self.load.strips / count)
        return self._try(
            "fewer",
            f"Bend {count} at a time, in {rounds} rounds, and glue them once they have dried.",
            "Each round needs the form, or a form of its own radius, until it has set.",
            replace(self.load, strips=count),
            self.hands,
        )

    def _thicker(self) -> Iterator[Remedy]:
        count = math.ceil(self.load.strips / 2)
        ply = self.load.strip.thickness * self.load.strips / count
        if self.thickest is not None and ply > self.thickest:
            return
        strip = Section(self.load.strip.width, ply)
        yield self._try(
            "thicker",
            f"Use {count} strip{'s' * (count > 1)} of {ply:.1f} mm and bend more slowly.",
            "Thicker strips strain more and spring back more: check the bend again.",
            replace(self.load, strip=strip, strips=count),
            replace(self.hands, bend=self.hands.bend * ply / self.load.strip.thickness),
        )

    def _more_hands(self) -> Remedy:
        return self._try(
            "hands",
            f"Work with {self.hands.people + 1} at the form.",
            "Agree who lays up, who pulls and who clamps, and rehearse it cold.",
            self.load,
            replace(self.hands, people=self.hands.people + 1),
        )

    def _warm_form(self) -> Remedy:
        return self._try(
            "warm form",
            "Warm the form (and the strap) before the bend.",
            "At best: computed as if the face on the form lost nothing from the box onwards.",
            self.load,
            self.hands,
            warm=True,
        )

    def _together(self) -> Remedy:
        strapped = self.load.strips > 1
        means = "a strap, a warm form and one more person" if strapped else "a warm form and help"
        return self._try(
            "together",
            f"Take {means} together.",
            "The costs of each come together too.",
            replace(self.load, strapped=strapped),
            replace(self.hands, people=self.hands.people + 1),
            warm=True,
        )
