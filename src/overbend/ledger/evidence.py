"""What a recorded trial bend says about set and about breaking; contradictions are refused."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from overbend.bend import Layup, Spread, release_fraction
from overbend.bend.breakage import break_risk
from overbend.bend.calibrate import STEAMED, BreakTrial, Face, Release, SetTrial
from overbend.bend.capacity import (
    Capacity,
    cold_capacity,
    cold_compression,
    hot_compression,
    hot_tension,
)
from overbend.bend.hot import HotWood
from overbend.bend.layup import check_curvature, ply_offsets
from overbend.bend.section import layup_section, section
from overbend.bend.strain import BendWay
from overbend.curve import Floats
from overbend.errors import TrialError, WoodError
from overbend.ledger.measured import Bow, bow_of_chord, bow_of_points, bow_of_radius
from overbend.ledger.records import Measurement, Trial
from overbend.wood import Wood, choose_wood, find_species

__all__ = [
    "Read",
    "bow_of",
    "break_trial",
    "check_trial",
    "form_kappa",
    "lost_without_set",
    "radius_after",
    "release_of",
    "set_trial",
    "set_trials",
]

_BEYOND = 3.0  # standard errors by which a reading may contradict what can be
_ROUGH = 0.25  # a loss known no better than this says nothing
_MODULUS = 12000.0  # MPa; of one wood, its size does not count


@dataclass(frozen=True)
class Read:
    """One measurement as the share of the bend that was lost.

    Parameters
    ----------
    release : loss with its error.
    kappa : curvature of the part's middle when measured [1/mm].
    doubt : why the reading is left out of the set, "" when it is used.
    """

    release: Release
    kappa: float
    doubt: str = ""


def form_kappa(trial: Trial) -> float:
    """Curvature of the stack's middle on the form [1/mm].

    Raises
    ------
    TrialError, LayupError
        When the stack cannot lie on that face.

    Examples
    --------
    >>> bent = Trial(species="white-ash", treatment="steam", thickness=20.0, form_radius=390.0)
    >>> round(1.0 / form_kappa(bent), 6)
    400.0
    """
    kappa = Bow(1.0 / trial.form_radius, 0.0).parallel(_to_middle(trial)).kappa
    check_curvature(_stack(trial), kappa, "trial bend")
    return kappa


def bow_of(measurement: Measurement) -> Bow:
    """Curvature of the face that was measured.

    Raises
    ------
    TrialError
        When it was measured in no way, in two ways, or in one that contradicts itself.
    """
    m = measurement
    given = [k for k in ("radius", "chord", "rise", "points") if getattr(m, k) is not None]
    if given == ["radius"]:
        return bow_of_radius(m.radius or 0.0, m.error)
    if given == ["chord", "rise"]:
        return bow_of_chord(m.chord or 0.0, m.rise or 0.0, m.error, past_half=m.past_half)
    if given == ["points"]:
        return bow_of_points(m.points or (), m.error)
    raise TrialError(
        f"a measurement with {' and '.join(given) or 'nothing'} given",
        allowed="a radius; or a chord and its rise; or three to fifty points",
        todo="give one of them",
    )


def release_of(trial: Trial, measurement: Measurement) -> Read:
    """Share of the bend that was lost, from what was measured.

    With kappa and kappa' the curvature of the middle on the form and after release and e the
    offset of the fibre that keeps its length: ``w = (kappa - kappa')/(1 - e kappa')/kappa``.
    The error holds that of measuring, of the form as built, and for several strips the drift
    of the glue and the differences between strips (:class:`overbend.bend.spread.Spread`).

    Raises
    ------
    TrialError
        When the part is said to have come off tighter than the form, or was measured so
        roughly that its loss is not known to a quarter of the bend.

    Examples
    --------
    >>> bent = Trial(species="white-ash", treatment="steam", thickness=20.0, form_radius=390.0)
    >>> read = release_of(bent, Measurement(after_hours=24.0, radius=415.0)).release
    >>> print(f"{read.lost:.3f} {read.sd:.3f}")
    0.059 0.010
    """
    kappa, spread = form_kappa(trial), Spread()
    bow = bow_of(measurement).parallel(_to_middle(trial))
    shift = float(layup_section(_stack(trial), np.array(kappa)).shift)
    left = 1.0 - shift * bow.kappa
    lost = (kappa - bow.kappa) / left / kappa
    errors = [(1.0 - shift * kappa) / left**2 / kappa * bow.sd, (1.0 - lost) * spread.form]
    if trial.plies > 1:
        errors += [spread.drift, _strips_differ(trial, kappa)]
    sd = math.hypot(*errors)
    _refuse_impossible(trial, bow, lost, sd)
    return Read(Release(measurement.after_hours, lost, sd), bow.kappa, _doubt(trial, lost, sd))


def radius_after(trial: Trial, lost: float) -> float:
    """Radius of the measured face once a share of the bend is lost [mm]; inf when straight.

    Examples
    --------
    >>> bent = Trial(species="white-ash", treatment="steam", thickness=20.0, form_radius=390.0)
    >>> round(radius_after(bent, 0.0), 6), round(radius_after(bent, 0.0589), 1)
    (390.0, 415.0)
    """
    kappa = form_kappa(trial)
    shift = float(layup_section(_stack(trial), np.array(kappa)).shift)
    after = (1.0 - lost) * kappa / (1.0 - shift * lost * kappa)
    return 1.0 / after - _to_middle(trial) if after > 0.0 else math.inf


def lost_without_set(trial: Trial) -> float:
    """Share of the bend that the strips would lose if they kept nothing of it.

    Examples
    --------
    >>> bent = Trial(
    ...     species="white-ash", treatment="cold", thickness=3.0, plies=4, form_radius=500.0
    ... )
    >>> round(lost_without_set(bent), 4)
    0.0625
    """
    return float(release_fraction(_stack(trial), form_kappa(trial)))


def check_trial(trial: Trial) -> None:
    """Refuse a trial that contradicts itself.

    Raises
    ------
    TrialError, LayupError, WoodError
        Saying what contradicts what.
    """
    if trial.treatment == "cold" and (trial.steam_minutes or trial.soak_hours or trial.strap):
        what = "a strap" if trial.strap else "time in steam or water"
        raise TrialError(
            f"a trial bent cold with {what}",
            allowed="steam, soak-steam, or cold without it",
            todo="give the treatment that was meant",
        )
    if trial.treatment == "steam" and trial.soak_hours:
        raise TrialError(
            f"a trial only steamed that was soaked {trial.soak_hours:g} h",
            allowed="soak-steam for strips that were soaked",
        )
    if trial.broken and trial.measurements:
        raise TrialError(
            "a trial that broke and was measured after release",
            allowed="measurements of whole ones",
            todo="leave the measurements out, or take the mark of breaking off",
        )
    form_kappa(trial)
    for measurement in trial.measurements:
        release_of(trial, measurement)
    break_trial(trial)


def set_trial(trial: Trial) -> SetTrial | None:
    """What a trial says about set; None for cold, broken or unmeasured ones."""
    if trial.treatment not in STEAMED or trial.broken:
        return None
    kappa = form_kappa(trial)
    reads = [release_of(trial, m) for m in trial.measurements]
    used = tuple(r.release for r in reads if not r.doubt)
    if not used:
        return None
    return SetTrial(
        trial.species,
        trial.treatment,
        trial.thickness,
        trial.thickness * kappa,
        lost_without_set(trial),
        trial.plies,
        used,
        trial.run or (f"{trial.bent_on} {trial.treatment}" if trial.bent_on else trial.uid),
    )


def set_trials(trials: Iterable[Trial]) -> list[tuple[Trial, SetTrial]]:
    """Trials that say something about set, each with what it says."""
    return [(t, said) for t in trials if (said := set_trial(t)) is not None]


def break_trial(trial: Trial) -> BreakTrial | None:
    """What a trial says about breaking; None for a wood whose strength is not known."""
    kappa = form_kappa(trial)
    try:
        wood = _wood(trial)
        if wood is None:
            return None
        way, capacities = _stands(trial, wood)
    except WoodError as error:
        raise TrialError(error.problem, error.where, error.allowed, error.todo) from error
    own = kappa / (1.0 - kappa * _stack(trial).z)
    strains = dict(zip(capacities, way.faces(trial.thickness, own), strict=True))
    risks = {face: break_risk(strains[face], capacities[face]) for face in capacities}
    face = max(risks, key=lambda f: risks[f].expected)
    return BreakTrial(
        trial.species,
        trial.treatment,
        trial.thickness,
        trial.thickness * kappa,
        face,
        risks[face].strain,
        capacities[face],
        trial.plies,
        trial.broken,
        trial.board or trial.bent_on or trial.uid,
    )


def _to_middle(trial: Trial) -> float:
    """From the face on the form to the middle of the stack, away from the centre [mm]."""
    half = 0.5 * trial.plies * trial.thickness
    return half if trial.side == "concave" else -half


def _stack(trial: Trial) -> Layup:
    return Layup.equal(trial.plies, trial.thickness, _MODULUS)


def _refuse_impossible(trial: Trial, bow: Bow, lost: float, sd: float) -> None:
    if lost < -_BEYOND * sd:
        raise TrialError(
            f"a trial bent on a face of radius {trial.form_radius:g} mm that came off tighter, "
            f"at {1.0 / bow.kappa - _to_middle(trial):.4g} mm",
            allowed=f"a loss no further below zero than its error, {100 * sd:.1f} % of the bend",
            todo="measure the form and the part on the same face",
        )
    if sd > _ROUGH:
        raise TrialError(
            f"a measurement from which the loss is known only to {100 * sd:.0f} % of the bend",
            allowed=f"an error up to {100 * _ROUGH:.0f} %",
            todo="measure over a longer chord, take points farther apart, or bend it sharper",
        )


def _doubt(trial: Trial, lost: float, sd: float) -> str:
    """Why a reading cannot speak for the set."""
    cold = lost_without_set(trial)
    if lost <= cold + _BEYOND * sd:
        return ""
    return (
        f"lost {100 * lost:.1f} % of the bend, more than the {100 * cold:.1f} % that strips "
        "without any set would lose: left out of the set"
    )


def _strips_differ(trial: Trial, kappa: float) -> float:
    """Standard error of the loss without set, from strips that differ in modulus and size."""
    spread, n = Spread(), trial.plies
    more = np.hstack([np.zeros((n, 1)), np.eye(n), np.zeros((n, n))])
    thicker = np.hstack([np.zeros((n, 1)), np.zeros((n, n)), np.eye(n)])
    t = trial.thickness + spread.thickness * thicker
    E = _MODULUS * (1.0 + spread.modulus_strip * more)
    lost: Floats = section(t, E, ply_offsets(t), np.zeros_like(t), np.array(kappa)).lost
    return float(np.sqrt(np.sum((lost[1:] - lost[0]) ** 2))) / kappa


def _wood(trial: Trial) -> Wood | None:
    """Return the wood of a trial; None for one that the table does not hold."""
    try:
        species = find_species(trial.species)
    except WoodError:
        return None
    if not trial.dried:
        return choose_wood(species, "air")
    return choose_wood(species, trial.dried, trial.moisture)


def _stands(trial: Trial, wood: Wood) -> tuple[BendWay, dict[Face, Capacity]]:
    """How it was bent, and what either face was thought to stand."""
    if trial.treatment == "cold":
        mor, moe = (wood.need(key, trial.moisture).value for key in ("mor", "moe"))
        tension = cold_capacity(mor, moe, slope=trial.grain_slope)
        return BendWay(), {"convex": tension, "concave": cold_compression()}
    kiln = None if not trial.dried else trial.dried == "kiln"
    known = wood.species.fact("unbroken")
    share = None if known is None else min(max(known.value / 100.0, 0.01), 0.99)
    crushing = wood.strength("comp_parallel", 12.0) or wood.estimate("comp_parallel", 12.0)
    hot = HotWood.from_dry(wood.need("moe", 12.0).value, crushing.value)
    return BendWay(hot, strap=trial.strap), {
        "convex": hot_tension(slope=trial.grain_slope, kiln_dried=kiln, unbroken=share),
        "concave": hot_compression(kiln_dried=kiln, unbroken=share),
    }
