"""The strap sheet: where the stops go, what the strap carries, who pulls how hard.

A strap with end stops keeps the convex face from stretching; all of the bend is then squeezed
into the wood. The strap's pull is as large as the whole crushing force of the section, so the
sheet refuses a strap whose stated rating is not above it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from overbend.bend.hot import HotWood, bend_strapped
from overbend.errors import LayupError

__all__ = [
    "CAUTIONS",
    "LINE_BARE_STEEL",
    "PULL_LIMIT",
    "RATING_MARGIN",
    "SQUEEZE_PER_END",
    "STAINING",
    "STRAP_MODULUS",
    "Blank",
    "Crew",
    "Strap",
    "StrapSheet",
    "stains",
    "strap_sheet",
]

SQUEEZE_PER_END = 0.5  # mm the end grain beds into each stop: assumed
STRAP_MODULUS = 200_000.0  # MPa, steel: from memory
RATING_MARGIN = 1.5  # assumed: hot crushing 0.20 for 0.175 of dry, times the strongest wood in 20
CLOSE_MARGIN = 1.25  # our choice: `close` when the rating is within a quarter of what is needed
PULL_LIMIT = 250.0  # N one person pulls steadily at a lever: assumed

STAINING = ("oak", "walnut", "cherry", "chestnut")  # tannin and iron: common practice, no source

CAUTIONS = (
    "Nobody stands in line with the strap or behind its ends: a stop that lets go flies along it.",
    "Look at strap, stops and fastenings before each bend; a strap once creased is thrown away.",
    "Strap and wood scald: dry heat-proof gloves, long sleeves.",
    "The bent wood pushes back: clamp both ends before anyone lets go of a lever.",
)
LINE_BARE_STEEL = "Line bare steel: this wood stains black where iron touches it wet."


@dataclass(frozen=True)
class Blank:
    """The piece to be bent.

    Parameters
    ----------
    wood : the hot wood.
    thickness : in the plane of the bend [mm].
    width : across it [mm].
    length : from end to end, straight [mm].
    species : name, for what steel does to it; "" when not known.
    """

    wood: HotWood
    thickness: float
    width: float
    length: float
    species: str = ""


@dataclass(frozen=True)
class Strap:
    """The strap, as its maker states it.

    Parameters
    ----------
    thickness : [mm], > 0.
    width : [mm], > 0.
    rating : working load of strap, stops and fastenings together, stated by whoever made them
        [N]; None when nobody has.
    bare_steel : whether bare steel touches the wood.
    modulus : of the strap [MPa].
    """

    thickness: float
    width: float
    rating: float | None
    bare_steel: bool = True
    modulus: float = STRAP_MODULUS


@dataclass(frozen=True)
class Crew:
    """Who bends it.

    Parameters
    ----------
    people : at each lever, >= 1.
    lever : from the place where wood and form meet to the hands [mm], > 0.
    pull : what one person pulls steadily [N].
    """

    people: int
    lever: float
    pull: float = PULL_LIMIT


@dataclass(frozen=True)
class StrapSheet:
    """What is set and what is felt when a strapped blank is bent.

    Parameters
    ----------
    verdict : of the strap's rating: ``holds``, ``close`` or ``fails``.
    stop_spacing : between the faces of the end stops, strap straight and unloaded [mm].
    take_up : blank length less stop spacing [mm]: what wedges or screws at the stops push up
        when it is above 0, the play left when it is below.
    tension : pull in the strap at the tightest place, an upper bound [N].
    stop_load : thrust of the end grain on each stop, as large [N].
    stop_pressure : the same over the section [MPa].
    strap_stress : the pull over the strap's section [MPa].
    needed_rating : least rating that this sheet accepts [N].
    rating : the strap's stated rating [N], or None.
    moment : at the tightest place [N mm].
    pull : of each person at the end of the lever [N].
    pull_limit : what one person pulls steadily [N].
    least_lever : lever at which the pull is within that [mm].
    cautions : what is to be printed with it.
    """

    verdict: Literal["holds", "close", "fails"]
    stop_spacing: float
    take_up: float
    tension: float
    stop_load: float
    stop_pressure: float
    strap_stress: float
    needed_rating: float
    rating: float | None
    moment: float
    pull: float
    pull_limit: float
    least_lever: float
    cautions: tuple[str, ...]

    @property
    def too_heavy(self) -> bool:
        """Whether the pull is more than a person manages steadily."""
        return self.pull > self.pull_limit

    def words(
        self,
        length: Callable[[float], str] = "{:.1f} mm".format,
        force: Callable[[float], str] | None = None,
    ) -> tuple[str, ...]:
        """Say it in sentences; `length` and `force` turn mm and N into the reader's units."""
        say = force or _newtons
        said = [self._rating_words(say)]
        if self.verdict != "fails":
            said.append(f"Set the stops {length(self.stop_spacing)} apart.")
        heavy = f"Each person pulls about {say(self.pull)} at the lever"
        if self.too_heavy:
            heavy += f", too much: use a lever of {length(self.least_lever)} or more people"
        return (*said, f"{heavy}.")

    def _rating_words(self, say: Callable[[float], str]) -> str:
        need = f"up to {say(self.tension)} in the strap; rated {say(self.needed_rating)}"
        if self.rating is None:
            return f"Fails: no rating is stated for this strap. It needs one: {need} or more."
        stated = f"this one is rated {say(self.rating)}"
        return f"{self.verdict.capitalize()}: {need} is needed, {stated}."


def strap_sheet(
    blank: Blank,
    strap: Strap,
    crew: Crew,
    kappa: float,
    *,
    stretch: float = 0.0,
    squeeze_per_end: float = SQUEEZE_PER_END,
) -> StrapSheet:
    """Strap sheet of one blank.

    The stops stand at blank (1 + stretch) - 2 squeeze - (pull/(E A)) blank, so that under load,
    the ends bedded in and the strap drawn out, the convex face has stretched by `stretch`.

    Parameters
    ----------
    blank : the piece.
    strap : the strap; as wide as the blank or wider.
    crew : who bends it.
    kappa : tightest curvature of the blank's mid-depth line on the form [1/mm]; size counts.
    stretch : stretch of the convex face let in on purpose, >= 0.
    squeeze_per_end : what the end grain beds into each stop [mm], >= 0.

    Returns
    -------
    StrapSheet
        ``fails`` when the rating is not stated or below :data:`RATING_MARGIN` times the pull.

    Raises
    ------
    LayupError
        When a size, a number of people or a lever is not above zero.

    Notes
    -----
    The pull takes the neutral axis on the convex face, or as far in as `stretch` puts it: all
    or nearly all of the section crushes. One shop's reading was 30 to 40 % of the full crushing
    force (an anecdote), so the true pull is likely lower; the sheet does not count on it.
    Friction on the form, the weight of the levers and the strap's own stiffness are left out.

    Examples
    --------
    >>> ash = HotWood.from_dry(12000.0, 51.1)
    >>> blank = Blank(ash, thickness=25.0, width=40.0, length=900.0, species="Ash, white")
    >>> sheet = strap_sheet(blank, Strap(1.5, 45.0, 20000.0), Crew(2, 900.0), 1 / 162.5)
    >>> for sentence in sheet.words():
    ...     print(sentence)
    Holds: up to 8900 N in the strap; rated 13300 N is needed, this one is rated 20000 N.
    Set the stops 898.4 mm apart.
    Each person pulls about 70 N at the lever.
    """
    _check(blank, strap, crew, squeeze_per_end)
    hot = bend_strapped(blank.wood, blank.thickness, kappa, stretch, strap.thickness)
    tension = float(hot.strap_tension) * blank.width
    moment = float(hot.moment) * blank.width
    stress = tension / (strap.thickness * strap.width)
    drawn = blank.length * stress / strap.modulus
    spacing = blank.length * (1.0 + stretch) - 2.0 * squeeze_per_end - drawn
    needed = RATING_MARGIN * tension
    steel = strap.bare_steel and stains(blank.species)
    return StrapSheet(
        verdict=_verdict(strap.rating, needed),
        stop_spacing=spacing,
        take_up=blank.length - spacing,
        tension=tension,
        stop_load=tension,
        stop_pressure=tension / (blank.thickness * blank.width),
        strap_stress=stress,
        needed_rating=needed,
        rating=strap.rating,
        moment=moment,
        pull=moment / (crew.lever * crew.people),
        pull_limit=crew.pull,
        least_lever=moment / (crew.pull * crew.people),
        cautions=(*CAUTIONS, LINE_BARE_STEEL) if steel else CAUTIONS,
    )


def stains(species: str) -> bool:
    """Whether bare steel stains a wet wood of this name.

    Examples
    --------
    >>> [stains(s) for s in ("Oak, white", "black cherry", "Ash, white", "Mountain oakum")]
    [True, True, False, False]
    """
    words = re.findall(r"[a-z]+", species.lower())
    return any(word in STAINING for word in words)


def _check(blank: Blank, strap: Strap, crew: Crew, squeeze: float) -> None:
    """Refuse sizes that cannot be."""
    sizes = (
        blank.thickness, blank.width, blank.length, strap.thickness, strap.width, strap.modulus,
        crew.people, crew.lever, crew.pull,
    )  # fmt: skip
    if not (all(math.isfinite(v) and v > 0.0 for v in sizes) and squeeze >= 0.0):
        raise LayupError(
            "a blank, strap or lever with a size of zero or less",
            allowed="sizes, people and pull above zero, squeezing of 0 or more",
            todo=f"look at {blank}, {strap} and {crew}",
        )


def _verdict(rating: float | None, needed: float) -> Literal["holds", "close", "fails"]:
    """Judge a stated rating against the one needed."""
    if rating is None or rating < needed:
        return "fails"
    return "close" if rating < CLOSE_MARGIN * needed else "holds"


def _newtons(force: float) -> str:
    """Round up to two or three figures: never less than computed."""
    step = 10.0 if force < 1000.0 else 100.0
    return f"{step * math.ceil(force / step):.0f} N"
