"""Moisture in and out across the grain: soaking, steaming, drying on the form.

One-dimensional diffusion with faces at once in balance with what surrounds them. Diffusion
coefficients of wood are poorly known, so every answer is a range, computed with a low, a
middle and a high coefficient. No answer is a permission to release a bend or to glue it.

References
----------
Crank, *The Mathematics of Diffusion*, 2nd ed., section 4.3 (plane sheet, constant surface
concentration), eq. 4.18 (from memory): the series that `change_fraction` sums.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from overbend.curve import Floats
from overbend.errors import SteamError
from overbend.steam.assumed import DIFFUSION_DOUBT, SETTING_MARGIN, STEAM_MOISTURE
from overbend.steam.conduction import FilmExchange, march
from overbend.steam.mesh import slab_mesh
from overbend.steam.trace import Trace
from overbend.wood.diffusion import SOURCE, transverse_diffusion
from overbend.wood.thermal import FIBRE_SATURATION

__all__ = [
    "DRYING_DOUBTS",
    "HOLD",
    "SETTING_NOTE",
    "Diffusion",
    "Place",
    "SpanOfDays",
    "Uptake",
    "change_fraction",
    "drying_days",
    "moisture_after",
    "moisture_time",
    "setting_days",
    "uptake",
    "wetting_days",
]

Coefficient = float | Callable[[float, Floats], Floats]
"""Transverse diffusion coefficient [mm2/s]: a number, or a function of temperature [deg C] and
moisture [%]."""

Place = Literal["mean", "middle"]

HOLD = (
    "Days are a range and never a permission: release, and glue, by a moisture reading or by the "
    "target mass of a witness strip."
)
"""Printed with every number of days."""

DRYING_DOUBTS = (
    "Diffusion coefficients of wood are known to a few times at best.",
    "The faces are taken as at once in balance with the air; thin strips in still air take longer.",
    "Glue lines, straps and the form close faces.",
    "Water above fibre saturation moves in other ways and is not computed.",
)
"""Printed with every number of days."""

SETTING_NOTE = (
    "Shops release inch-thick bends after about a week, long before they are in balance: such a "
    "bend goes on drying, and moving, off the form. Brace it until a reading says it is dry."
)
"""Printed with the days on the form."""

_DAY = 86400.0
_TERMS = np.arange(200)
_ODD = (2.0 * _TERMS + 1.0) * np.pi


@dataclass(frozen=True)
class Diffusion:
    """A diffusion coefficient with its doubt.

    Parameters
    ----------
    low, mid, high : coefficients [mm2/s], numbers or functions of temperature and moisture.
    source : where they come from, and how far to be believed.

    Examples
    --------
    >>> Diffusion.about(4e-5, "from memory", factor=2.0).high
    8e-05
    """

    low: Coefficient
    mid: Coefficient
    high: Coefficient
    source: str

    @classmethod
    def about(
        cls, mid: Coefficient, source: str, factor: float = DIFFUSION_DOUBT.value
    ) -> Diffusion:
        """Return a range of a factor either way; 2.5 is assumed."""

        def scaled(by: float) -> Coefficient:
            if callable(mid):
                law = mid
                return lambda T, M: by * law(T, M)
            return by * mid

        return cls(scaled(1.0 / factor), mid, scaled(factor), source)

    @classmethod
    def of_wood(cls, gravity: float) -> Diffusion:
        """Return the range of `overbend.wood.diffusion` for a specific gravity.

        Parameters
        ----------
        gravity : oven-dry mass over volume [-].
        """

        def law(place: int) -> Coefficient:
            return lambda T, M: 1e6 * transverse_diffusion(T, M, gravity)[place]

        return cls(law(0), law(1), law(2), SOURCE)


@dataclass(frozen=True)
class SpanOfDays:
    """A time as a range, infinite where the moisture is never reached.

    Parameters
    ----------
    low, mid, high : [days].
    reason : "" or why it is never reached.
    source : of the diffusion coefficients.
    """

    low: float
    mid: float
    high: float
    reason: str
    source: str


@dataclass(frozen=True)
class Uptake:
    """Moisture after a time in steam or water, an estimate.

    Parameters
    ----------
    low, mid, high : mean moisture of the piece [%].
    middle : range at the middle of its thickness [%].
    source : of the diffusion coefficients.
    """

    low: float
    mid: float
    high: float
    middle: tuple[float, float]
    source: str


def change_fraction(fourier: float, place: Place = "mean") -> float:
    """Share of the change that has happened in a slab with both faces open.

    Mean: ``1 - sum 8/((2n+1)^2 pi^2) exp(-(2n+1)^2 pi^2 F)`` with ``F = D t / L^2``, L the
    thickness; middle: ``1 - sum 4 (-1)^n/((2n+1) pi) exp(...)``.

    Parameters
    ----------
    fourier : D t / L^2 [-], 0 or more.
    place : over the thickness, or at its middle.

    Examples
    --------
    >>> round(change_fraction(0.212), 3)
    0.9
    """
    decay = np.exp(-_ODD * _ODD * fourier)
    if place == "mean":
        left = float((8.0 / _ODD**2 * decay).sum())
    else:
        left = float((4.0 / _ODD * (-1.0) ** _TERMS * decay).sum())
    return min(1.0, max(0.0, 1.0 - left))


def _fourier(share: float, place: Place) -> float:
    """D t / L^2 at which a share of the change has happened, by bisection."""
    low, high = 0.0, 8.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if change_fraction(middle, place) < share:
            low = middle
        else:
            high = middle
    return high


def _check_moistures(*moistures: float) -> None:
    for M in moistures:
        if not 0.0 <= M <= FIBRE_SATURATION:
            raise SteamError(
                f"a wood moisture of {M:g} %",
                allowed=f"0 to {FIBRE_SATURATION:g} % (fibre saturation)",
                todo="water above it is not computed: begin when the wood has dried to it",
            )


def _span(thickness: float, faces: int) -> float:
    """Thickness of the slab, open on both faces, that dries alike [mm]."""
    if not thickness > 0.0:
        raise SteamError(f"a thickness of {thickness:g} mm", allowed="above zero")
    if faces not in (1, 2):
        raise SteamError(f"{faces} open faces", allowed="1 or 2")
    return thickness * (2.0 if faces == 1 else 1.0)


def _positive(D: float) -> float:
    if not (math.isfinite(D) and D > 0.0):
        raise SteamError(f"a diffusion coefficient of {D:g} mm2/s", allowed="above zero")
    return D


class _MoistureStore:
    """Moisture against the integral of diffusivity over it, which turns D(M) linear.

    Diffusivity is counted in its mean over all moistures, so that the potential is in %.
    """

    def __init__(self, law: Callable[[float, Floats], Floats], T: float) -> None:
        self._M = np.linspace(0.0, FIBRE_SATURATION, 301)
        D = 1e-6 * np.broadcast_to(np.asarray(law(T, self._M), float), self._M.shape)
        if not (np.isfinite(D).all() and (D > 0.0).all()):
            raise SteamError("a diffusion coefficient that is not above zero at every moisture")
        self.scale = float(D.mean())
        self._D = D / self.scale
        steps = 0.5 * (self._D[1:] + self._D[:-1]) * np.diff(self._M)
        self._p = np.concatenate([[0.0], np.cumsum(steps)])

    def amount(self, p: Floats) -> Floats:
        """Moisture [%] at potential p."""
        return np.asarray(np.interp(p, self._p, self._M))

    def potential(self, u: Floats) -> Floats:
        """Potential at moisture u."""
        return np.asarray(np.interp(u, self._M, self._p))

    def slope(self, p: Floats) -> Floats:
        """Relative diffusivity at potential p."""
        return np.asarray(np.interp(self.amount(p), self._M, self._D))


def _march_moisture(
    span: float,
    start: float,
    surface: float,
    law: Callable[[float, Floats], Floats],
    T: float,
    stop: tuple[Place, float, float],
) -> dict[Place, Trace]:
    """Moisture in the mean and at the middle until a target or a time is reached."""
    place, target, limit = stop
    store, mesh = _MoistureStore(law, T), slab_mesh(span)
    weights = mesh.mean if place == "mean" else mesh.core
    p0, ps = (float(store.potential(np.array(M))) for M in (start, surface))
    rising = surface > start
    history = march(
        mesh, store.scale, store, FilmExchange(store.scale / mesh.gap, ps), p0,
        lambda p: bool((store.amount(p) @ weights > target) == rising),
        tolerance=2e-3 * abs(ps - p0), limit=limit,
    )  # fmt: skip
    moisture = store.amount(history.potentials)
    rates = history.rates / store.slope(history.potentials)
    return {
        "mean": Trace(history.times, moisture @ mesh.mean, rates @ mesh.mean),
        "middle": Trace(history.times, moisture @ mesh.core, rates @ mesh.core),
    }


def moisture_time(
    thickness: float,
    start: float,
    target: float,
    surface: float,
    diffusion: Coefficient,
    *,
    temperature: float = 20.0,
    faces: int = 2,
    place: Place = "mean",
) -> float:
    """Time for a piece to go from one moisture to another [s].

    Parameters
    ----------
    thickness : [mm].
    start, target : moisture at first and wanted [%], 0 to 30.
    surface : moisture the surroundings hold the faces at [%]: the balance of the room's air, or
        30 in steam or water.
    diffusion : coefficient [mm2/s].
    temperature : handed to a coefficient that is a function [deg C].
    faces : faces open, 1 or 2.
    place : mean over the thickness, or its middle.

    Returns
    -------
    Seconds; 0 when it is there already, infinite when the surroundings never bring it there.

    Raises
    ------
    SteamError : moisture outside 0 to fibre saturation, or a coefficient not above zero.

    Examples
    --------
    >>> round(moisture_time(6.0, 20.0, 9.0, 8.0, 4e-5) / 86400.0, 1)
    2.4
    """
    _check_moistures(start, target, surface)
    span = _span(thickness, faces)
    if target == start:
        return 0.0
    share = (target - start) / (surface - start) if surface != start else math.inf
    if not 0.0 < share < 1.0:
        return math.inf
    if not callable(diffusion):
        return _fourier(share, place) * span**2 / _positive(diffusion)
    stop = (place, target, math.inf)
    return _march_moisture(span, start, surface, diffusion, temperature, stop)[place].when(target)


def moisture_after(
    thickness: float,
    start: float,
    seconds: float,
    surface: float,
    diffusion: Coefficient,
    *,
    temperature: float = 20.0,
    faces: int = 2,
    place: Place = "mean",
) -> float:
    """Moisture of a piece after a time [%]. Parameters as in `moisture_time`.

    Examples
    --------
    >>> round(moisture_after(6.0, 20.0, 86400.0 * 2.4, 8.0, 4e-5), 1)
    9.0
    """
    _check_moistures(start, surface)
    span = _span(thickness, faces)
    return _moistures_after(span, start, seconds, surface, diffusion, temperature)[place]


def _moistures_after(
    span: float, start: float, seconds: float, surface: float, diffusion: Coefficient, T: float
) -> dict[Place, float]:
    """Moisture in the mean and at the middle after a time."""
    places: tuple[Place, Place] = ("mean", "middle")
    if seconds <= 0.0 or start == surface:
        return dict.fromkeys(places, start)
    if not callable(diffusion):
        fourier = _positive(diffusion) * seconds / span**2
        return {p: start + change_fraction(fourier, p) * (surface - start) for p in places}
    stop: tuple[Place, float, float] = ("mean", surface, seconds)
    found = _march_moisture(span, start, surface, diffusion, T, stop)
    return {p: float(found[p].at(seconds)) for p in places}


def _days(
    diffusion: Diffusion,
    thickness: float,
    start: float,
    target: float,
    surface: float,
    T: float,
    *,
    faces: int = 2,
    place: Place = "mean",
) -> tuple[float, float, float]:
    """Days with the high, the middle and the low coefficient."""
    low, mid, high = (
        moisture_time(thickness, start, target, surface, D, temperature=T, faces=faces, place=place)
        / _DAY
        for D in (diffusion.high, diffusion.mid, diffusion.low)
    )
    return low, mid, high


def wetting_days(
    thickness: float,
    start: float,
    target: float,
    diffusion: Diffusion,
    *,
    temperature: float = 20.0,
    surface: float = STEAM_MOISTURE.value,
) -> SpanOfDays:
    """Days in water or steam until the mean reaches a moisture for bending, an estimate.

    Parameters
    ----------
    thickness, start, target : [mm], [%], [%].
    diffusion : coefficient with its doubt.
    temperature : of the water or steam, handed to coefficients that are functions [deg C].
    surface : moisture of the faces [%]; assumed 30.

    Returns
    -------
    The range; zero when it is as wet already. Water along the grain and in the cells is left
    out, so that short pieces, and open-pored woods, are quicker.

    Examples
    --------
    >>> soak = wetting_days(6.0, 8.0, 18.0, Diffusion.about(4e-5, "from memory"))
    >>> round(soak.low, 1), round(soak.high, 1)
    (0.2, 1.1)
    """
    if target <= start:
        return SpanOfDays(0.0, 0.0, 0.0, "", diffusion.source)
    low, mid, high = _days(diffusion, thickness, start, target, surface, temperature)
    reason = ""
    if math.isinf(mid):
        reason = f"faces held at {surface:g} % never bring it to {target:g} %"
    return SpanOfDays(low, mid, high, reason, diffusion.source)


def drying_days(
    thickness: float,
    start: float,
    target: float,
    balance: float,
    diffusion: Diffusion,
    *,
    temperature: float = 20.0,
    faces: int = 2,
    place: Place = "mean",
) -> SpanOfDays:
    """Days until a piece reaches a moisture, gluing moisture for one, as a range.

    Parameters
    ----------
    balance : moisture the room's air holds wood at [%].
    diffusion : coefficient with its doubt.
    thickness, start, target, temperature, faces, place : as in `moisture_time`.

    Returns
    -------
    The range; zero when it is as dry already, infinite and with a reason when this air never
    brings it there. Print `HOLD`
    and `DRYING_DOUBTS` with it.

    Examples
    --------
    >>> span = drying_days(3.0, 20.0, 9.0, 8.0, Diffusion.about(4e-5, "from memory"))
    >>> round(span.low, 1), round(span.high, 1)
    (0.2, 1.5)
    """
    if target >= start:
        return SpanOfDays(0.0, 0.0, 0.0, "", diffusion.source)
    low, mid, high = _days(
        diffusion, thickness, start, target, balance, temperature, faces=faces, place=place
    )
    reason = ""
    if math.isinf(mid):
        reason = (
            f"air that holds wood at {balance:g} % never brings it to {target:g} %: "
            "dry in warmer or drier air, or accept a moisture nearer the room's"
        )
    return SpanOfDays(low, mid, high, reason, diffusion.source)


def setting_days(
    thickness: float,
    start: float,
    balance: float,
    diffusion: Diffusion,
    *,
    temperature: float = 20.0,
    margin: float = SETTING_MARGIN.value,
) -> SpanOfDays:
    """Days on the form, one face closed by it, until the bend is within a margin of balance.

    Parameters
    ----------
    thickness : of the piece on the form, as one solid [mm].
    start : moisture off the box [%].
    balance : moisture the room's air holds wood at [%].
    diffusion : coefficient with its doubt.
    temperature : of the room [deg C].
    margin : points over balance at which it counts as dried; assumed 2.

    Returns
    -------
    The range; it leaves out what dries through the edges. Reported practice
    (`practice.SETTING_DAYS`), `SETTING_NOTE` and `HOLD` belong beside it.

    Examples
    --------
    >>> span = setting_days(6.0, 20.0, 9.0, Diffusion.about(4e-5, "from memory"))
    >>> span.low < span.mid < span.high
    True
    """
    target = min(start, balance + margin)
    return drying_days(
        thickness, start, target, balance, diffusion, temperature=temperature, faces=1
    )


def uptake(
    thickness: float,
    start: float,
    seconds: float,
    diffusion: Diffusion,
    *,
    temperature: float = 98.0,
    surface: float = STEAM_MOISTURE.value,
) -> Uptake:
    """Moisture after steaming or soaking, an estimate below fibre saturation.

    Parameters
    ----------
    thickness, start : [mm], [%].
    seconds : time in steam or water.
    diffusion : coefficient at that temperature, with its doubt.
    temperature : handed to coefficients that are functions [deg C].
    surface : moisture of the faces [%]; assumed 30.

    Returns
    -------
    The range. Water that enters along the grain, or above fibre saturation, is left out.

    Examples
    --------
    >>> wet = uptake(25.0, 12.0, 3600.0, Diffusion.about(6e-4, "from memory"))
    >>> round(wet.low, 1), round(wet.high, 1)
    (13.5, 15.8)
    """
    _check_moistures(start, surface)
    span = _span(thickness, 2)
    low, mid, high = (
        _moistures_after(span, start, seconds, surface, D, temperature)
        for D in (diffusion.low, diffusion.mid, diffusion.high)
    )
    middle = (low["middle"], high["middle"])
    return Uptake(low["mean"], mid["mean"], high["mean"], middle, diffusion.source)
