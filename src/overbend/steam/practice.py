"""What makers and tests report: steaming, working time, setting, moisture for bending.

Shown beside the computed numbers, never mixed into them. `standing` says how the figure was
obtained: ``test`` (a published test), ``trade`` (handbook or trade text), ``one maker`` (a
single account).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from overbend.errors import SteamError

__all__ = [
    "DRY_STOCK",
    "SETTING_DAYS",
    "STEAMING_MINUTES",
    "WORKING_SECONDS",
    "Advice",
    "Reported",
    "practice_minutes",
    "reported_minutes",
]

Standing = Literal["test", "trade", "one maker"]
_INCH = 25.4
_DRY_BELOW = 20.0


@dataclass(frozen=True)
class Reported:
    """A figure somebody reports.

    Parameters
    ----------
    low, high : the range, the same twice for one figure.
    unit : of both.
    what : the piece and how it was treated.
    source : who says so.
    standing : how it was obtained.
    """

    low: float
    high: float
    unit: str
    what: str
    source: str
    standing: Standing

    def __str__(self) -> str:
        span = f"{self.low:g}" if self.low == self.high else f"{self.low:g} to {self.high:g}"
        return f"{span} {self.unit}: {self.what} ({self.source})"


@dataclass(frozen=True)
class Advice:
    """A sentence of advice with its source and standing."""

    text: str
    source: str
    standing: Standing


_WINDSOR = "Windsor Institute, articles on steam bending"
_LEMOINE = "Lemoine and Koch, Forest Prod. J. 21(4) (1971) 34-42, abstract"
_BFRI = "Bangladesh Forest Research Institute, note on bending 20 timbers"
_JOYCE = "Joyce, The Technique of Furniture Making, from a copy"

_PER_INCH = "min per inch of thickness"
STEAMING_MINUTES = (
    Reported(20, 20, _PER_INCH, "southern pine at 17 % moisture, found enough", _LEMOINE, "test"),
    Reported(
        60, 60, _PER_INCH, "100 C, whatever the width; longer wrinkles",
        "instruction booklet, author not named", "trade",
    ),
    Reported(45, 60, _PER_INCH, "32 mm about 1 h", _JOYCE, "trade"),
    Reported(15, 15, "min", "red oak chair parts at 25 % moisture", _WINDSOR, "trade"),
    Reported(20, 25, "min", "red oak chair parts at 14 % moisture", _WINDSOR, "trade"),
    Reported(
        15, 40, "min", "chair bows; green wood 15 to 20, air-dried twice that",
        "a trade page on Windsor bows", "trade",
    ),
    Reported(30, 60, "min", "12.7 mm at 25 % moisture; 60 for sharp bends", _BFRI, "test"),
    Reported(240, 240, "min", "kiln-dried posts, ash and cherry", "makers' web pages", "one maker"),
)  # fmt: skip
"""Reported times in the box."""

WORKING_SECONDS = (
    Reported(45, 45, "s", "out of the box to the form", _WINDSOR, "trade"),
    Reported(60, 60, "s", "out of the box to the form", "a trade page", "trade"),
    Reported(120, 120, "s", "out of the box to the form", "canoe builders' forum", "one maker"),
    Reported(300, 300, "s", "crest rail clamped, at most", "a chairmaker's page", "one maker"),
)  # fmt: skip
"""Reported working times, box to form."""

SETTING_DAYS = (
    Reported(7, 7, "days", "1 inch stock on the form", "a trade page", "trade"),
    Reported(
        7, 7, "days", "in clamps in a room of 32 to 38 C", "Wengert, advice to bending shops",
        "trade",
    ),
    Reported(3, 7, "days", "dry room of 38 C; a week in summer sun", _WINDSOR, "trade"),
    Reported(
        1, 2, "days", "soaked a day, steamed 1 to 3 h, then an oven of 75 C",
        "a maker's page", "one maker",
    ),
    Reported(1, 7, "days", "on the form; 7 sprang back least", "makers' forum", "one maker"),
)  # fmt: skip
"""Reported times on the form before release."""

DRY_STOCK = (
    Advice(
        "Ask for air-dried stock of 16 to 25 % moisture: 16 for mild bends, 23 to 25 for "
        "severe ones.",
        "Wengert, answers to bending shops", "trade",
    ),
    Advice(
        "Oak dried in one stage to 8 % was rejected after bending in more than 70 of 100 pieces, "
        "however it had been dried.",
        "Straze, Zigon, Pervan, Miksik and Prekrat, Forests 14(5):1047 (2023), abstract", "test",
    ),
    Advice(
        "Wood kilned to 6 or 7 % stays stiff even when wetted again: soaking helps less than it "
        "seems. Bend it thin, or laminate it cold.",
        "R. Jones, text on woodworkers' forums", "trade",
    ),
    Advice(
        "Ash, elm, oak and beech at 10 to 12 % still bend; count on more breakage and test.",
        "a trade page", "trade",
    ),
    Advice(
        "Above fibre saturation the concave side crumples and water in the cells bursts it: let "
        "soaked or green wood drain and dry on the outside before it goes into the box.",
        "State Forests of New South Wales, Technical Publication 7; Ilic, Australian Wood Review",
        "trade",
    ),
    Advice(
        "Reclaimed stock is dry through and its past is unknown: search it for metal, cut round "
        "old holes and checks, steam nothing painted or treated, and break a test strip first.",
        "common practice, no source", "trade",
    ),
    Advice(
        "Soak dry stock for a day or more, wrapped wet, then let it even out as long again; the "
        "gain at the middle of a thick piece is small and slow.",
        "common practice, no source", "trade",
    ),
)  # fmt: skip
"""Advice for kiln-dried and reclaimed dry stock."""


def practice_minutes(thickness: float, moisture: float) -> tuple[float, float]:
    """Steaming time by the reported rules, lowest and highest [min].

    60 min per inch for dry stock; 20 to 30 per inch for wood of 20 % moisture or more. The
    sources disagree threefold; the rule goes with thickness alone.

    Parameters
    ----------
    thickness : of the solid piece, or of one strip between stickers [mm].
    moisture : [%].

    Examples
    --------
    >>> practice_minutes(25.4, 12.0)
    (45.0, 60.0)
    """
    if not thickness > 0.0:
        raise SteamError(f"a thickness of {thickness:g} mm", allowed="above zero")
    low, high = (20.0, 30.0) if moisture >= _DRY_BELOW else (45.0, 60.0)
    return low * thickness / _INCH, high * thickness / _INCH


def reported_minutes(thickness: float) -> tuple[tuple[Reported, float, float], ...]:
    """Reported times in the box, with the minutes each means for a thickness.

    Returns
    -------
    For each row: the row, its low and high time for this thickness [min]. Rows for one size
    of part are not scaled.

    Examples
    --------
    >>> rows = reported_minutes(12.7)
    >>> rows[0][1:]
    (10.0, 10.0)
    """
    inches = thickness / _INCH
    by = ((row, inches if row.unit == _PER_INCH else 1.0) for row in STEAMING_MINUTES)
    return tuple((row, row.low * scale, row.high * scale) for row, scale in by)
