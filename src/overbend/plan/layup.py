"""The layup of a part: what each strip is, and how much of the bend it keeps by itself."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from overbend.bend import Layup, Ply, release_fraction, set_prior
from overbend.curve import Curve
from overbend.errors import LayupError
from overbend.form.made import made_from_chord
from overbend.project import BentPart, MadeTrial
from overbend.project.shop_state import Learnt, ShopState
from overbend.wood import Value, Wood

__all__ = ["SetUse", "StripUse", "set_of", "strip_uses", "trial_set"]

_Z90 = 1.645  # standard deviations from the median to the 5 and 95 % points of a normal
_LEAST, _MOST = 0.001, 0.999  # a set share of exactly 0 or 1 has no logit


@dataclass(frozen=True)
class StripUse:
    """One strip of the stack and where its numbers come from.

    Parameters
    ----------
    wood : name in the project; species, species_id : what it is.
    thickness : finished, or as measured when strips are made [mm].
    modulus : along the grain at the moisture of gluing [MPa], with its source.
    measured : whether the thickness was measured.
    """

    wood: str
    species: str
    species_id: str
    thickness: float
    modulus: Value
    measured: bool


@dataclass(frozen=True)
class SetUse:
    """Share of the bend a strip keeps by itself.

    Parameters
    ----------
    median : middle value; 0 when bent cold.
    sd_logit : standard deviation of log(phi / (1 - phi)).
    source : where it comes from, in words.
    proven : whether the form may be cut for good: cold work, or a trial bend is recorded.
    learnt : what the shop's ledger taught, when the set rests on it.
    """

    median: float
    sd_logit: float
    source: str
    proven: bool
    learnt: Learnt | None = None

    @property
    def range90(self) -> tuple[float, float]:
        """Nine in ten lie between these."""
        if self.median <= 0.0:
            return (0.0, 0.0)
        middle = math.log(self.median / (1.0 - self.median))
        low, high = (middle + sign * _Z90 * self.sd_logit for sign in (-1.0, 1.0))
        return (1.0 / (1.0 + math.exp(-low)), 1.0 / (1.0 + math.exp(-high)))


def strip_uses(
    part: BentPart, woods: Mapping[str, Wood], measured: Mapping[int, float]
) -> tuple[StripUse, ...]:
    """One entry for every strip of a part, outside in.

    Parameters
    ----------
    part : as read.
    woods : the project's woods by name.
    measured : thickness measured, by line of the part's plies counted from 1 [mm].
    """
    return tuple(
        StripUse(
            row.wood,
            woods[row.wood].species.name,
            woods[row.wood].species.id,
            measured.get(line, row.thickness),
            woods[row.wood].modulus(),
            line in measured,
        )
        for line, row in enumerate(part.ply, start=1)
        for _ in range(row.count)
    )


def set_of(
    part: BentPart,
    strips: tuple[StripUse, ...],
    target: Curve,
    trial: MadeTrial | None,
    shop: ShopState,
) -> SetUse:
    """Choose the set: typed, measured on this part's trial, learnt by the shop, or a guess.

    Parameters
    ----------
    part : as read.
    strips : its stack; the wood most strips are of speaks for all.
    target : middle line at rest.
    trial : the trial bend recorded in the project, if any.
    shop : what the shop has learnt.
    """
    if part.set is not None:
        low, middle, high = (
            min(max(v, _LEAST), _MOST) for v in (part.set.low, part.set.median, part.set.high)
        )
        sd = (_logit(high) - _logit(low)) / (2 * _Z90)
        proven = part.method == "laminate" or trial is not None
        return SetUse(middle, sd, "typed in the project file", proven)
    thickest = max(s.thickness for s in strips)
    ratio = thickest * abs(target.tightest[1])
    if part.method == "laminate":
        return SetUse(0.0, 0.0, "bent cold: none", True)
    median, sd = set_prior("steam", min(ratio, 1.9), thickest)
    learnt = None if trial else _learnt(strips, thickest, ratio, shop)
    if learnt is not None:
        source = f"your ledger: {learnt.words}"
        return SetUse(learnt.median, learnt.sd_logit, source, learnt.trials > 0, learnt)
    if trial is None:
        return SetUse(median, sd, "a guess for steamed wood, assumed; no trial bend yet", False)
    found = min(max(trial_set(part, strips, trial, target), _LEAST), _MOST)
    return SetUse(found, sd / 2, "your trial bend; its spread is assumed", True)


def _learnt(
    strips: tuple[StripUse, ...], thickest: float, ratio: float, shop: ShopState
) -> Learnt | None:
    """What the shop's trial bends say of the wood that most strips are of."""
    ids = [s.species_id for s in strips]
    most = max(dict.fromkeys(ids), key=ids.count)
    return shop.set_for(most, "steam", thickest, ratio) if ratio > 0.0 else None


def trial_set(
    part: BentPart, strips: tuple[StripUse, ...], trial: MadeTrial, target: Curve
) -> float:
    """Set share that a trial bend shows.

    With w the share of the angle lost, ``phi = 1 - w / w_cold``. From radii,
    ``w = 1 - r_n / r_n'`` on the middle line; from chord and rise, w is one less the ratio of
    the factors by which the part's own line is bent on the form and off it.

    Parameters
    ----------
    part : the part the trial was for, of the same strips.
    strips : its stack.
    trial : what was measured.
    target : middle line of the part at rest.

    Raises
    ------
    LayupError
        When the trial broke, or is contradictory.
    CurveError
        When chord and rise fit no bend of this part.
    """
    depth = math.fsum(s.thickness for s in strips)
    towards = 0.5 * depth if part.form.side == "concave" else -0.5 * depth
    if trial.radii is not None:
        on_form, after = (radius + towards for radius in trial.radii)
        given = f"bent on radius {trial.radii[0]:g} mm that came off at {trial.radii[1]:g} mm"
        kappa, kept = 1.0 / on_form, on_form / after
    elif trial.shapes is not None:
        on, off = (made_from_chord(target, towards, *size).tighter for size in trial.shapes)
        given = f"bent to a rise of {trial.shapes[0][1]:g} mm that came off at "
        given += f"{trial.shapes[1][1]:g} mm"
        kappa, kept = on * abs(target.tightest[1]), off / on
    else:
        raise LayupError("a trial that broke", allowed="one that was measured")
    if not (0.0 < kappa * depth < 2.0 and 0.0 < kept <= 1.0):
        raise LayupError(
            f"a trial {given}",
            allowed="a release to a more open shape than the form's",
            todo="measure both on the same face, between the same marks",
        )
    cold = Layup(tuple(Ply(s.thickness, s.modulus.value) for s in strips))
    return 1.0 - (1.0 - kept) / float(release_fraction(cold, kappa))


def _logit(share: float) -> float:
    return math.log(share / (1.0 - share))
