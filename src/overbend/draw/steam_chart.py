"""Charts of heating in the box and of cooling on the way to the form."""

from __future__ import annotations

import numpy as np

from overbend.draw.chart import Axis, Chart, Line, Shade, chart_drawing
from overbend.draw.drawing import Drawing, Pen
from overbend.plan.steam import PartSteam
from overbend.steam.cooling import Window
from overbend.units import Display

__all__ = ["cooling_drawing", "heating_drawing"]

_POINTS = 160


def _degrees(celsius: np.typing.ArrayLike, display: Display) -> np.typing.NDArray[np.float64]:
    """Temperatures in the reader's unit."""
    value = np.asarray(celsius, float)
    return value if display.system == "mm" else 1.8 * value + 32.0


def _unit(display: Display) -> str:
    return "°C" if display.system == "mm" else "°F"


def heating_drawing(name: str, steam: PartSteam, display: Display, width: float = 110.0) -> Drawing:
    """Chart the core while it heats: the band, the middle, the target.

    Parameters
    ----------
    name : of the part.
    steam : its heating.
    display : units of temperature.
    width : of the chart's field [mm on paper].
    """
    band = steam.heating
    end = 1.25 * band.high
    t = np.linspace(0.0, end, _POINTS)
    slow, middle, quick = (
        _degrees(c.core.at(t), display) for c in (band.slow, band.middle, band.quick)
    )
    low = float(_degrees(band.middle.start, display)) - 5.0
    high = float(_degrees(band.middle.steam, display)) + 8.0
    target = float(_degrees(band.target, display))
    chart = Chart(
        Axis(0.0, end / 60.0, "in the box, min"),
        Axis(low, high, f"core, {_unit(display)}"),
        (
            Line(t / 60.0, middle),
            Line([0.0, end / 60.0], [target, target], Pen.LONG_DASH, "wanted"),
        ),
        (Shade(t / 60.0, slow, quick),),
        f"{name}: core while heating",
        width,
    )
    return chart_drawing(chart)


def cooling_drawing(
    name: str, window: Window, seconds: float, display: Display, width: float = 110.0
) -> Drawing:
    """Chart the convex face while it cools, wet and dry, with the time the form takes.

    Parameters
    ----------
    name : of the part.
    window : its cooling curves.
    seconds : this shop needs to load the form.
    display : units of temperature.
    width : of the chart's field [mm on paper].
    """
    end = 1.3 * max(seconds, min(window.high, 600.0))
    t = np.linspace(0.0, end, _POINTS)
    wet, dry = (_degrees(c.layer.at(t), display) for c in (window.wet, window.dry))
    soft = float(_degrees(window.wet.softening, display))
    top = float(_degrees(window.wet.start, display)) + 6.0
    bottom = min(float(wet.min()), soft - 20.0)
    chart = Chart(
        Axis(0.0, end, "out of the box, s"),
        Axis(bottom, top, f"convex face, {_unit(display)}"),
        (Line([0.0, end], [soft, soft], Pen.LONG_DASH, "too stiff below"),),
        (Shade(t, wet, dry, "wet to dry"),),
        f"{name}: convex face on the way to the form",
        width,
        marks={seconds: "clamped"},
    )
    return chart_drawing(chart)
