"""Cooling on the way from the box to the form, and the working window.

A hot piece loses heat to the air of the shop (`air`). Two bounds are computed: a dry surface
(convection and radiation) and a wet one that evaporates freely. A piece out of a steam box
drips with condensate for a moment and then dries, so the truth lies between them. The working
window ends when the convex face layer, which must stretch, or the mean of the section falls
below the softening temperature, whichever comes first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from overbend.curve import Floats
from overbend.errors import SteamError
from overbend.steam.air import Air, Loss, loss_table
from overbend.steam.assumed import ACTIVITY, SOFTENING
from overbend.steam.conduction import HeatStore, History, march
from overbend.steam.mesh import CELLS, Mesh, quarter_mesh
from overbend.steam.section import Section
from overbend.steam.trace import Trace
from overbend.wood.thermal import ThermalWood

__all__ = ["CoolingCurve", "Window", "cool", "working_window"]

HOTTEST = 101.0
"""Hottest a piece out of a vented box can be [deg C]."""

_BEYOND = 10.0
_LONGEST = 4.0 * 3600.0
_WATER_DENSITY = 1000.0


def _slope(y: Floats, x: Floats) -> Floats:
    """Central differences dy/dx, the end values repeated."""
    inner = (y[2:] - y[:-2]) / (x[2:] - x[:-2])
    return np.concatenate([inner[:1], inner, inner[-1:]])


@dataclass(frozen=True, eq=False)
class _FaceLaw:
    """Losses of a face against the temperature at a depth `gap` behind it.

    What flows out of the face has come through the wood in front of the cell's centre:
    ``T_cell = T_face + q gap / k``. Slopes are per degree of the cell.
    """

    cell: Floats
    face: Floats
    heat: Floats
    heat_slope: Floats
    water: Floats

    @classmethod
    def behind(cls, gap: float, k: float, table: tuple[Floats, Loss]) -> _FaceLaw:
        """Law for the cells whose centres lie `gap` [m] behind the face."""
        face, (heat, water) = table
        cell = face + heat * gap / k
        return cls(cell, face, heat, _slope(heat, cell), water)

    @cached_property
    def water_slope(self) -> Floats:
        """Change of the water per degree of the cell."""
        return _slope(self.water, self.cell)

    def look(self, T: Floats, column: Floats) -> Floats:
        """Read a column at cell temperatures T."""
        return np.asarray(np.interp(T, self.cell, column))


class _FaceExchange:
    """Loss of heat through the narrow faces, then the broad ones, of a quarter mesh."""

    def __init__(self, mesh: Mesh, k: float, table: tuple[Floats, Loss]) -> None:
        self._ny = mesh.ny
        self.narrow = _FaceLaw.behind(float(mesh.gap[0]), k, table)
        self.broad = _FaceLaw.behind(mesh.skin_gap, k, table)

    def read(self, T: Floats, column: str) -> Floats:
        """Read a column of the laws behind every stretch of face, on the last axis of T."""
        n, b = T[..., : self._ny], T[..., self._ny :]
        first = self.narrow.look(n, getattr(self.narrow, column))
        return np.concatenate([first, self.broad.look(b, getattr(self.broad, column))], axis=-1)

    def out(self, p: Floats) -> Floats:
        """Heat out of each stretch [W/m2]."""
        return self.read(p, "heat")

    def slope(self, p: Floats) -> Floats:
        """Derivative of the heat."""
        return self.read(p, "heat_slope")


@dataclass(frozen=True, eq=False)
class CoolingCurve:
    """How a piece cools in air under one assumption about its surface.

    Parameters
    ----------
    section : what is carried, as one solid [mm].
    start, softening : temperatures [deg C].
    activity : water activity of the surface; None is dry.
    depth : of the convex face layer [mm].
    mean, layer, core, surface : mean of the section, mean of the layer under a broad face over
        its whole width, centre, and middle of a broad face [deg C].
    heat_flow : heat leaving a metre of length [W/m].
    water_flow : water leaving a metre of length [kg/(m s)].
    heat : heat in a metre of length, counted from 0 C, at the times of the traces [J/m].
    """

    section: Section
    start: float
    softening: float
    activity: float | None
    depth: float
    mean: Trace
    layer: Trace
    core: Trace
    surface: Trace
    heat_flow: Trace
    water_flow: Trace
    heat: Floats

    @property
    def times(self) -> Floats:
        """Times of the traces [s]."""
        return self.mean.times

    @cached_property
    def layer_time(self) -> float:
        """Time until the convex face layer falls to the softening temperature [s]."""
        return 0.0 if self.start <= self.softening else self.layer.when(self.softening)

    @cached_property
    def mean_time(self) -> float:
        """Time until the mean of the section falls to the softening temperature [s]."""
        return 0.0 if self.start <= self.softening else self.mean.when(self.softening)

    @property
    def window(self) -> float:
        """Working window [s]: the layer's or the mean's time, whichever comes first."""
        return min(self.layer_time, self.mean_time)

    def window_at(self, softening: float) -> float:
        """Working window for another softening temperature, not more than 10 degrees lower [s]."""
        if self.start <= softening:
            return 0.0
        return min(self.layer.when(softening), self.mean.when(softening))

    def water_film(self, t: float) -> float:
        """Film of water, over all four faces, evaporated by time t [mm]."""
        lost = float(np.interp(t, self.times, self.water_flow.integral()))
        around = 2.0 * (self.section.width + self.section.thickness) / 1e3
        return 1e3 * lost / (around * _WATER_DENSITY)


def cool(
    section: Section,
    wood: ThermalWood,
    *,
    start: float = 98.0,
    air: Air | None = None,
    activity: float | None = None,
    softening: float = SOFTENING.value,
    warm_form: bool = False,
    cells: int = CELLS,
    tolerance: float = 0.2,
) -> CoolingCurve:
    """Cool a piece in air from an even temperature.

    Parameters
    ----------
    section : the strip, or the bundle as carried as one solid [mm].
    wood : its wood at the moisture it leaves the box with.
    start : even temperature at the start [deg C], to 101.
    air : the air; None takes the assumed workshop.
    activity : water activity of the surface, above 0, to 1; None is a dry surface.
    softening : [deg C]; assumed 80. The curve runs on until the mean is 10 degrees below it.
    warm_form : the concave face lies on a form as hot as the piece and loses nothing; the core
        of the curve is then that face.
    cells : cells across half the thickness.
    tolerance : error allowed in one step [K].

    Returns
    -------
    The curve.

    Raises
    ------
    SteamError : a piece hotter than a vented box, or a surface activity outside 0 to 1.

    Notes
    -----
    Conduction across the grain only (lengths of many thicknesses), with ``cp(T)``; no heat goes
    into straps, gloves or a cold form, which shorten the window; moisture below the surface
    does not move. Checked against an independent solution in the validation tests.

    Examples
    --------
    >>> strip = cool(Section(50.0, 3.0), ThermalWood(0.56, 20.0))
    >>> round(strip.mean_time)
    43
    """
    _check(start, activity)
    carried = Section(section.width, 2.0 * section.thickness) if warm_form else section
    mesh = quarter_mesh(carried, section.layer, cells)
    store = HeatStore(wood.density, *wood.heat_line)
    table = loss_table(air or Air(), activity, HOTTEST + 14.0)
    exchange = _FaceExchange(mesh, wood.conductivity, table)
    stop = min(softening, start) - _BEYOND
    history = march(
        mesh, wood.conductivity, store, exchange, start,
        lambda p: float(mesh.mean @ p) < stop,
        tolerance=tolerance, limit=_LONGEST,
    )  # fmt: skip
    share = 0.5 if warm_form else 1.0
    return _curve(section, history, exchange, store, (start, softening, activity), share)


def _check(start: float, activity: float | None) -> None:
    if not 0.0 < start <= HOTTEST:
        raise SteamError(
            f"a piece at {start:g} C",
            allowed=f"above 0, to {HOTTEST:g} C: a vented box at sea level goes no higher",
            todo="give the temperature the box really reaches; never seal a steam box",
        )
    if activity is not None and not 0.0 < activity <= 1.0:
        raise SteamError(
            f"a surface water activity of {activity:g}",
            allowed="above 0, to 1 (a wet surface); leave it out for a dry surface",
        )


def _curve(
    section: Section,
    history: History,
    exchange: _FaceExchange,
    store: HeatStore,
    given: tuple[float, float, float | None],
    share: float,
) -> CoolingCurve:
    """Read the traces off a history; `share` of the mesh's four quarters is the piece."""
    mesh, skin, broad = history.mesh, history.trace(history.mesh.skin), exchange.broad
    face, rate = history.potentials[:, mesh.face], history.rates[:, mesh.face]
    length = 4.0 * share * mesh.area

    def flow(column: str) -> Trace:
        slope = exchange.read(face, f"{column}_slope")
        return Trace(history.times, exchange.read(face, column) @ length, (slope * rate) @ length)

    through = 1.0 - broad.look(skin.values, broad.heat_slope) * _drop(broad)
    start, softening, activity = given
    return CoolingCurve(
        section=section,
        start=start,
        softening=softening,
        activity=activity,
        depth=section.layer,
        mean=history.trace(mesh.mean),
        layer=history.trace(mesh.layer),
        core=history.trace(mesh.core),
        surface=Trace(skin.times, broad.look(skin.values, broad.face), skin.rates * through),
        heat_flow=flow("heat"),
        water_flow=flow("water"),
        heat=4.0 * share * store.amount(history.potentials) @ mesh.volume,
    )


def _drop(law: _FaceLaw) -> float:
    """Degrees from cell to face per flux of heat."""
    return float((law.cell[-1] - law.face[-1]) / law.heat[-1])


@dataclass(frozen=True, eq=False)
class Window:
    """The working window of a piece, as a pair.

    Parameters
    ----------
    wet, dry : cooling with a freely evaporating and with a dry surface.
    """

    wet: CoolingCurve
    dry: CoolingCurve

    @property
    def low(self) -> float:
        """Shortest: wet surface [s]."""
        return self.wet.window

    @property
    def high(self) -> float:
        """Longest: dry surface [s]."""
        return self.dry.window

    @property
    def seconds(self) -> int:
        """The figure to print: the lower bound, rounded down, at most four hours [s]."""
        return math.floor(self.low) if math.isfinite(self.low) else int(_LONGEST)

    @property
    def governed(self) -> str:
        """What ends the window: ``convex face``, ``mean``, or ``box``.

        ``box`` says that the piece leaves the box colder than the softening temperature.
        """
        if self.wet.start <= self.wet.softening:
            return "box"
        return "convex face" if self.wet.layer_time <= self.wet.mean_time else "mean"


@lru_cache(maxsize=512)
def working_window(
    section: Section,
    wood: ThermalWood,
    *,
    start: float = 98.0,
    air: Air | None = None,
    activity: float = ACTIVITY.value,
    softening: float = SOFTENING.value,
    warm_form: bool = False,
) -> Window:
    """Cool a piece with a wet and with a dry surface and return the pair.

    Parameters, errors and limits as in `cool`; `activity` is that of the wet surface.

    Examples
    --------
    >>> loose = working_window(Section(50.0, 3.0), ThermalWood(0.56, 20.0))
    >>> bundle = working_window(Section(50.0, 27.0), ThermalWood(0.56, 20.0))
    >>> loose.seconds < bundle.seconds
    True
    """
    wet, dry = (
        cool(
            section, wood, start=start, air=air, activity=a, softening=softening,
            warm_form=warm_form,
        )
        for a in (activity, None)
    )  # fmt: skip
    return Window(wet, dry)
