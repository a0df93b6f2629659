"""The strain that clear strips stand, and how it is spread.

The strain a strip stands is spread lognormally: between boards, and between the strips of one
board. How well its median is known is kept apart, as a doubt. What is lost whatever the strain
(a hidden fault, a slip on the way to the form) is a share of its own. Knots, shakes and other
faults that can be seen are not counted: strips with them are not bent.

References
----------
Wood Handbook, FPL-GTR-282 (2021), tables 5-3 (MOR, MOE, work to maximum load), 5-1 (ratios).
ASTM D2555, table 2 (standard deviations; ratios to the mean of two species, by arithmetic).
Straze, Zigon, Pervan, Miksik, Prekrat, Forests 14(5):1047, 2023 (drying history of bent oak).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import NormalDist
from types import MappingProxyType

import numpy as np

from overbend.errors import WoodError

__all__ = [
    "BOARD_SHARE",
    "COLD_COMPRESSION",
    "COLD_FACTOR",
    "COLD_MISHAP",
    "HOT_COMPRESSION",
    "HOT_MISHAP",
    "HOT_TENSION",
    "KILN_FACTOR",
    "UNBROKEN",
    "Capacity",
    "cold_capacity",
    "cold_compression",
    "factor_from_work",
    "grain_factor",
    "hot_compression",
    "hot_tension",
    "species_shift",
    "strain_spread",
]

# Medians --------------------------------------------------------------------------------------
HOT_TENSION = 0.0175  # assumed: middle of 1.5 to 2 % for steamed wood (handbooks, from memory)
HOT_COMPRESSION = 0.30  # read, trade text: "up to 30 %" steamed (Hoadley, Understanding Wood)
COLD_COMPRESSION = 0.05  # read, trade text without citation: about 5 % at 17 % moisture, cold
COLD_FACTOR = 1.75
# ^ assumed: bend at the greatest load over MOR/MOE. Work to maximum load over MOR^2/(18 MOE) of
#   60 species of the Wood Handbook gives 1.3 to 2.2, middle 1.7 (factor_from_work).

# Spread of one species ------------------------------------------------------------------------
CV_MOR = 0.16  # read by arithmetic: ASTM D2555 table 2, ratio of SD to mean
CV_MOE = 0.22  # read by arithmetic: ASTM D2555 table 2, ratio of SD to mean
MOR_MOE_CORRELATION = 0.5  # assumed: stiff wood is strong wood; memory says 0.5 to 0.8
BOARD_SHARE = 0.5  # assumed: share of the variance that lies between boards

# Doubt about the median, as standard deviation of its logarithm --------------------------------
COLD_DOUBT = 0.25  # assumed: published cold limits run from 1.0 to 2.3 % (ln 2.3 / 3.29)
HOT_TENSION_DOUBT = 0.15  # assumed: 1.5 to 2 % are themselves from memory
HOT_COMPRESSION_DOUBT = 0.10  # assumed: published 25 to 35 %

# What lowers it ------------------------------------------------------------------------------
KILN_FACTOR = 0.8  # assumed; direction from Straze et al. 2023: predried to 8 %, over 70 % rejected
KILN_DOUBT = 0.10  # assumed
TENSION_POWER = 1.75  # from memory: Hankinson power 1.5 to 2 for tension, middle
MODULUS_POWER = 2.0  # from memory: Hankinson power 2 for the modulus
ACROSS_STRENGTH = 0.06  # read: tension across over MOR, .046 to .068 in table 5-3 of the Handbook
ACROSS_MODULUS = 0.11  # read: E_R/E_L and E_T/E_L of oak and maple, .065 to .163, middle
SPECIES_WEIGHT = 0.5  # assumed: how far the ranking below is believed; the rest stays as doubt

# Lost whatever the strain --------------------------------------------------------------------
HOT_MISHAP = 0.08  # assumed: between two reports, 2 of 34 (riven) and about 1 in 10 (strapped)
COLD_MISHAP = 0.01  # assumed: no figure was at hand

UNBROKEN = MappingProxyType(
    {
        "hackberry": 0.94, "white oak": 0.91, "red oak": 0.86, "magnolia": 0.85, "pecan": 0.78,
        "black walnut": 0.78, "hickory": 0.76, "beech": 0.75, "elm": 0.74, "willow": 0.73,
        "birch": 0.72, "ash": 0.67, "sweetgum": 0.67, "soft maple": 0.59, "yellow-poplar": 0.58,
        "hard maple": 0.57, "chestnut": 0.56, "water tupelo": 0.46, "cottonwood": 0.44,
        "black tupelo": 0.42, "sycamore": 0.29, "basswood": 0.02,
    }
)  # fmt: skip
"""Share of steam-bent pieces that came through unbroken: from memory (Davis, USDA; Handbook)."""

_NORMAL = NormalDist()


@dataclass(frozen=True)
class Capacity:
    """Strain that clear strips stand, and how it is spread.

    Parameters
    ----------
    median : strain at which half of them break, > 0.
    board : standard deviation of its logarithm between boards, >= 0.
    strip : the same between strips of one board, > 0.
    doubt : the same for the median itself, >= 0.
    mishap : share lost whatever the strain, 0 to below 1.
    sources : where the figures come from, in words.

    Raises
    ------
    WoodError
        When a value lies outside those limits.

    Examples
    --------
    >>> capacity = Capacity(0.0175, 0.14, 0.14, 0.15)
    >>> print(f"{capacity.spread:.3f} {capacity.strain_at(0.05):.2%}")
    0.198 1.16%
    """

    median: float
    board: float
    strip: float
    doubt: float
    mishap: float = 0.0
    sources: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        values = (self.median, self.board, self.strip, self.doubt)
        good = all(map(math.isfinite, values)) and self.median > 0.0 and self.strip > 0.0
        if not (good and self.board >= 0.0 and self.doubt >= 0.0 and 0.0 <= self.mishap < 1.0):
            raise WoodError(
                f"a breaking strain of {self.median:g} with spreads {values[1:]} and "
                f"mishaps of {self.mishap:g}",
                allowed="a strain and a spread within the board above 0, the others 0 or more",
            )

    @property
    def spread(self) -> float:
        """Standard deviation of the logarithm among all strips, the median being known."""
        return math.hypot(self.board, self.strip)

    @property
    def predictive(self) -> float:
        """The same with the doubt about the median."""
        return math.hypot(self.spread, self.doubt)

    def strain_at(self, chance: float) -> float:
        """Strain at which a strip breaks with this chance, doubt included, mishaps not."""
        return self.median * math.exp(self.predictive * _NORMAL.inv_cdf(chance))

    def times(self, factor: float, doubt: float, source: str) -> Capacity:
        """Return it with the median scaled, a doubt added and a source noted."""
        return replace(
            self,
            median=self.median * factor,
            doubt=math.hypot(self.doubt, doubt),
            sources=(*self.sources, source),
        )


def strain_spread(
    cv_mor: float = CV_MOR, cv_moe: float = CV_MOE, correlation: float = MOR_MOE_CORRELATION
) -> float:
    """Spread of the breaking strain, taken as that of MOR/MOE, both lognormal.

    s^2 = s_R^2 + s_E^2 - 2 c s_R s_E with s = sqrt(ln(1 + CV^2)).

    Parameters
    ----------
    cv_mor, cv_moe : coefficients of variation of one species, > 0.
    correlation : of their logarithms, -1 to 1.

    Returns
    -------
    float
        Standard deviation of the logarithm.

    Examples
    --------
    >>> print(f"{strain_spread():.3f} {strain_spread(correlation=0.0):.3f}")
    0.195 0.269
    """
    r, e = (math.sqrt(math.log1p(cv**2)) for cv in (cv_mor, cv_moe))
    return math.sqrt(r**2 + e**2 - 2.0 * correlation * r * e)


def factor_from_work(mor: float, moe: float, work: float) -> float:
    """Bend at the greatest load over MOR/MOE, from the work done up to it.

    A centre-loaded beam that stayed elastic would take MOR^2/(18 MOE) per volume. With
    load = greatest (1 - (1 - x)^m), x the deflection over that at the greatest load, the slope
    at the start makes m the factor asked for, and work ratio = 2 m^2/(m + 1).

    Parameters
    ----------
    mor, moe : modulus of rupture and of elasticity as tabulated from bending tests [MPa].
    work : work to maximum load [kJ/m3].

    Returns
    -------
    float

    Notes
    -----
    The curve's shape is assumed. Bending sharpens under the load, so the true figure is higher.

    Examples
    --------
    White oak at 12 % (Wood Handbook, table 5-3):

    >>> round(factor_from_work(104.8, 12270.0, 102.0), 2)
    1.65
    """
    ratio = 18.0e-3 * work * moe / mor**2
    return 0.25 * (ratio + math.sqrt(ratio**2 + 8.0 * ratio))


def cold_capacity(
    mor: float, moe: float, *, slope: float = 0.0, factor: float = COLD_FACTOR
) -> Capacity:
    """Nominal surface strain t/(2R) at which a dry strip breaks, bent cold.

    Parameters
    ----------
    mor, moe : of the species at the wood's moisture, as tabulated from bending tests (not
        raised for shear) [MPa], > 0.
    slope : slope of grain, rise over run; 0 is straight.
    factor : bend at breaking over MOR/MOE.

    Returns
    -------
    Capacity
        With the default factor about 1.1 to 1.7 %, known only within a half.

    Raises
    ------
    WoodError
        When `mor` or `moe` is not above zero, or the slope is outside 0 to 1.

    Examples
    --------
    >>> beech = cold_capacity(102.7, 11860.0)
    >>> print(f"{beech.median:.2%} {beech.strain_at(0.05):.2%}")
    1.52% 0.90%
    """
    if not (mor > 0.0 and moe > 0.0):
        raise WoodError(
            f"a modulus of rupture of {mor:g} and of elasticity of {moe:g} MPa",
            allowed="values above zero",
        )
    basis = f"MOR/MOE {100.0 * mor / moe:.2f} % times {factor:g} (assumed)"
    return _sloped(_capacity(factor * mor / moe, COLD_DOUBT, COLD_MISHAP, basis), slope)


def cold_compression() -> Capacity:
    """Strain at which a dry strip crumples on the hollow face; it tears long before."""
    return _capacity(
        COLD_COMPRESSION, COLD_DOUBT, COLD_MISHAP, "about 5 %: trade text, no citation"
    )


def hot_tension(
    *, slope: float = 0.0, kiln_dried: bool | None = None, unbroken: float | None = None
) -> Capacity:
    """Stretch of the convex face at which a steamed strip tears.

    Parameters
    ----------
    slope : slope of grain, rise over run; 0 is straight.
    kiln_dried : whether the wood has been through a kiln; None when not known (half-way, wider).
    unbroken : share of the species that came through a bending test, from `UNBROKEN` or the
        maker's own; None when not known (no shift, wider).

    Returns
    -------
    Capacity

    Raises
    ------
    WoodError
        When the slope or `unbroken` is outside 0 to 1.

    Examples
    --------
    >>> print(f"{hot_tension(kiln_dried=False, unbroken=UNBROKEN['ash']).median:.2%}")
    1.74%
    >>> print(f"{hot_tension(kiln_dried=True, slope=1 / 15).median:.2%}")
    1.27%
    """
    start = _capacity(
        HOT_TENSION, HOT_TENSION_DOUBT, HOT_MISHAP, "1.5 to 2 %: from memory, middle taken"
    )
    return _sloped(_history(start, kiln_dried, unbroken), slope)


def hot_compression(*, kiln_dried: bool | None = None, unbroken: float | None = None) -> Capacity:
    """Shortening of the hollow face at which a steamed strip crumples.

    Parameters as for :func:`hot_tension`. Slope of grain is left out: no figure is at hand.

    Examples
    --------
    >>> print(f"{hot_compression(kiln_dried=False, unbroken=UNBROKEN['white oak']).median:.1%}")
    32.5%
    """
    start = _capacity(HOT_COMPRESSION, HOT_COMPRESSION_DOUBT, HOT_MISHAP, "up to 30 %: Hoadley")
    return _history(start, kiln_dried, unbroken)


def grain_factor(slope: float) -> float:
    """What a slope of grain leaves of the stretch that straight grain stands.

    Hankinson's rule for the strength over the same rule for the modulus, both from memory:
    N(q, n) = q/(sin^n a + q cos^n a), q the value across over that along the grain.

    Parameters
    ----------
    slope : rise over run, 0 to 1.

    Returns
    -------
    float
        1 for straight grain. Between 1:2 and 1:1 no figure was at hand.

    Raises
    ------
    WoodError
        When the slope is outside 0 to 1.

    Examples
    --------
    >>> [round(grain_factor(s), 2) for s in (1 / 25, 1 / 15, 1 / 10)]
    [0.96, 0.91, 0.84]
    """
    if not 0.0 <= slope <= 1.0:
        raise WoodError(
            f"a slope of grain of {slope:g}",
            allowed="rise over run, from 0 (straight) to 1",
            todo="write 1 in 15 as 1/15",
        )
    angle = math.atan(slope)
    strength = _hankinson(angle, ACROSS_STRENGTH, TENSION_POWER)
    return strength / _hankinson(angle, ACROSS_MODULUS, MODULUS_POWER)


def species_shift(unbroken: float, spread: float | None = None) -> float:
    """Factor on the median from the share of a species that came through a bending test.

    All species met the same strain, so a share u puts the median at exp(s z(u)) times it. The
    figures are from memory and the test was not ours: half of the shift is taken, measured
    from the middle species of `UNBROKEN`.

    Parameters
    ----------
    unbroken : share unbroken, above 0 and below 1.
    spread : s, standard deviation of the logarithm; by default :func:`strain_spread`.

    Returns
    -------
    float

    Raises
    ------
    WoodError
        When `unbroken` is outside its range.

    Examples
    --------
    >>> [round(species_shift(UNBROKEN[w]), 2) for w in ("white oak", "ash", "basswood")]
    [1.08, 0.99, 0.78]
    """
    if not 0.0 < unbroken < 1.0:
        raise WoodError(f"a share unbroken of {unbroken:g}", allowed="above 0 and below 1")
    s = strain_spread() if spread is None else spread
    middle = float(np.median([_NORMAL.inv_cdf(u) for u in UNBROKEN.values()]))
    return math.exp(SPECIES_WEIGHT * s * (_NORMAL.inv_cdf(unbroken) - middle))


def _capacity(median: float, doubt: float, mishap: float, source: str) -> Capacity:
    """Lognormal about a median with the default spreads between and within boards."""
    spread = strain_spread()
    board, strip = (spread * math.sqrt(v) for v in (BOARD_SHARE, 1.0 - BOARD_SHARE))
    words = f"{100.0 * mishap:.0f} % lost whatever the strain (assumed)"
    return Capacity(median, board, strip, doubt, mishap, (source, words))


def _sloped(capacity: Capacity, slope: float) -> Capacity:
    """Lower a capacity in tension by the slope of grain."""
    factor = grain_factor(slope)
    if slope == 0.0:
        return capacity
    return capacity.times(factor, 0.0, f"slope of grain: times {factor:.2f} (Hankinson, memory)")


def _history(capacity: Capacity, kiln_dried: bool | None, unbroken: float | None) -> Capacity:
    """Change a hot capacity by how the wood was dried and by its species."""
    if kiln_dried is None:
        capacity = capacity.times(
            math.sqrt(KILN_FACTOR),
            math.hypot(KILN_DOUBT, 0.5 * abs(math.log(KILN_FACTOR))),
            "drying not known: half-way between air-dried and kiln-dried (assumed)",
        )
    elif kiln_dried:
        capacity = capacity.times(
            KILN_FACTOR, KILN_DOUBT, f"kiln-dried: times {KILN_FACTOR:g} (assumed)"
        )
    doubt = SPECIES_WEIGHT * strain_spread()
    if unbroken is None:
        return capacity.times(1.0, doubt, "species not ranked: no shift")
    shift = species_shift(unbroken)
    note = f"species: {100.0 * unbroken:.0f} % unbroken (memory), times {shift:.2f}"
    return capacity.times(shift, doubt, note)


def _hankinson(angle: float, across: float, power: float) -> float:
    """Value at an angle to the grain over that along it."""
    return across / float(math.sin(angle) ** power + across * math.cos(angle) ** power)
