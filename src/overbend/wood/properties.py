"""The wood in hand: a species, how it was dried, how moist it is; what it can take.

A `Wood` answers in `Value` terms, so that a page can show where each number came from:
modulus along the grain without shear, strengths at a moisture and temperature, density.
Where the moisture is not known, it is a range and every answer carries a band.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, cast, get_args

from overbend.errors import WoodError
from overbend.wood.estimates import typical_green_part, typical_part, typical_ratio
from overbend.wood.formulas import (
    SHEAR_FREE,
    adjust_moisture,
    basic_from_gravity,
    density_at,
    grain_factor,
    handbook,
    hankinson,
    maximum_moisture,
    variation,
)
from overbend.wood.species import FACTS, Species, find_species
from overbend.wood.temperature import REFERENCE_TEMPERATURE, temperature_factor
from overbend.wood.thermal import FIBRE_SATURATION, gravity_at
from overbend.wood.values import Value, derived, over_range

__all__ = [
    "Dried",
    "Wood",
    "adjust_moisture",
    "basic_gravity",
    "choose_wood",
    "density",
    "density_at",
    "elastic_ratio",
    "grain_factor",
    "gravity",
    "hankinson",
    "temperature_factor",
    "variation",
]

Dried = Literal["kiln", "air", "green"]

_USUAL = {"kiln": (6.0, 10.0), "air": (12.0, 18.0)}
_DRIED_WORDS = {"kiln": "kiln-dried", "air": "air-dried", "green": "green"}
_NOT_BY_EQUATION = {"work", "impact", "tension_perp"}
_ESTIMATED = {"comp_parallel", "comp_perp", "shear", "tension_perp"}
_BY_MOISTURE = ("mor", "moe", "comp_parallel", "comp_perp", "shear", "hardness", *_NOT_BY_EQUATION)


@dataclass(frozen=True)
class Wood:
    r"""A wood as it lies in the shop. Make one with `choose_wood`.

    Parameters
    ----------
    species : what is known of the wood.
    dried : ``kiln``, ``air`` or ``green``.
    moisture : its moisture [%], with a range when it was not measured.

    Examples
    --------
    >>> wood = choose_wood("white ash", "kiln", 8.0)
    >>> print(wood.modulus())
    14060 MPa
    >>> for line in wood.modulus().trail():
    ...     print(line.partition(",")[0])
    modulus along the grain: 14060 MPa
      modulus of elasticity at 8 %: 12782 MPa
        modulus of elasticity: 12000 MPa
        modulus of elasticity
        moisture where drying begins to stiffen: 24 %
        moisture: 8 %
    """

    species: Species
    dried: Dried
    moisture: Value

    def modulus(
        self, moisture: float | Value | None = None, temperature: float = REFERENCE_TEMPERATURE
    ) -> Value:
        """Return the modulus of elasticity along the grain, free of shear [MPa].

        1.1 times the tabled modulus, that adjusted by equation 5-3 and for temperature.

        Parameters
        ----------
        moisture : [%], 0 up; None for the wood's own. Above fibre saturation: green.
        temperature : of the wood [deg C], -50 to 50.
        """
        moe = self.need("moe", moisture, temperature)
        how = f"{SHEAR_FREE:g} times the tabled modulus, {handbook('Table 5-3, footnote c')}"
        low, high = (None if end is None else SHEAR_FREE * end for end in (moe.low, moe.high))
        name = "modulus along the grain"
        return derived(SHEAR_FREE * moe.value, "MPa", how, (moe,), name, low=low, high=high)

    def modulus_across(
        self, direction: Literal["radial", "tangential"], moisture: float | Value | None = None
    ) -> Value:
        """Return the modulus across the grain [MPa], from its ratio to that along it.

        The ratios hold at 12 % moisture; they are used at any.

        Parameters
        ----------
        direction : ``radial`` (across the rings) or ``tangential`` (along them).
        moisture : [%]; None for the wood's own.

        Examples
        --------
        >>> print(choose_wood("northern red oak", "air", 12.0).modulus_across("radial"))
        2126 MPa
        """
        along = self.modulus(moisture)
        ratio = elastic_ratio(self.species, "er" if direction == "radial" else "et")
        low, high = _product_band(along, ratio)
        how = "modulus along the grain times the ratio at 12 % moisture"
        name = f"{direction} modulus"
        value = along.value * ratio.value
        return derived(value, "MPa", how, (along, ratio), name, low=low, high=high)

    def strength(
        self,
        key: str,
        moisture: float | Value | None = None,
        temperature: float = REFERENCE_TEMPERATURE,
    ) -> Value | None:
        """Return a property at a moisture and temperature, or None when it is not known.

        Equation 5-3 between the dry and green figures; where the equation does not hold
        (``work``, ``impact``, ``tension_perp``) the lower of the two, except at the dry
        moisture and above fibre saturation. A missing green figure is assumed from the
        other woods of the table.

        Parameters
        ----------
        key : ``mor``, ``moe``, ``comp_parallel``, ``comp_perp``, ``shear``,
            ``tension_perp``, ``hardness``, ``work`` or ``impact``.
        moisture : [%]; None for the wood's own.
        temperature : of the wood [deg C], -50 to 50 or less, as in Table 5-15.

        Raises
        ------
        WoodError
            Unknown key, a moisture the wood cannot hold, or a temperature beyond the table.

        Examples
        --------
        >>> ash = choose_wood("white ash", "kiln", 8.0)
        >>> print(ash.strength("mor"))
        124.76 MPa
        """
        if key not in _BY_MOISTURE:
            raise WoodError(f"no strength called {key!r}", allowed=", ".join(_BY_MOISTURE))
        at = self._moisture(moisture)
        if self._at(key, at.value) is None:
            return None
        found = over_range(lambda M: cast("Value", self._at(key, M)), at)
        return _at_temperature(found, key, at.value, temperature)

    def need(
        self,
        key: str,
        moisture: float | Value | None = None,
        temperature: float = REFERENCE_TEMPERATURE,
    ) -> Value:
        """Return a property that a computation cannot do without.

        Raises
        ------
        WoodError
            It is not known of this wood.
        """
        found = self.strength(key, moisture, temperature)
        if found is None:
            raise WoodError(
                f"the {FACTS[key].label} of {self.species.name} is not known",
                allowed=f"{FACTS[key].least:g} to {FACTS[key].most:g} {FACTS[key].unit}",
                todo=f"give {key} among the overrides of this wood",
            )
        return found

    def estimate(self, key: str, moisture: float | Value | None = None) -> Value:
        """Return a strength, assumed from the bending strength where it is not known.

        The share of the bending strength is the median over the table's woods of the same
        kind, with its range.

        Parameters
        ----------
        key : ``comp_parallel``, ``comp_perp``, ``shear`` or ``tension_perp``; any other
            as in `need`.
        moisture : [%]; None for the wood's own.

        Examples
        --------
        >>> gum = choose_wood("spotted gum", "kiln", 12.0)
        >>> gum.strength("comp_parallel") is None, gum.estimate("comp_parallel").status
        (True, 'assumed')
        """
        known = self.strength(key, moisture)
        if known is not None or key not in _ESTIMATED:
            return known or self.need(key, moisture)
        share = typical_part(self.species.kind, key, "mor")
        mor = self.species.fact("mor")
        if mor is None:
            return self.need("mor", moisture)
        guess = derived(mor.value * share.value, "MPa", "share of bending strength", (mor, share))
        low, high = _product_band(mor, share)
        stand_in = replace(guess, name=FACTS[key].label, low=low, high=high)
        facts = {**self.species.facts, key: (stand_in,)}
        filled = replace(self, species=replace(self.species, facts=facts))
        return filled.need(key, moisture)

    def density(self, moisture: float | Value | None = None) -> Value:
        """Return the density with its water [kg/m3].

        Parameters
        ----------
        moisture : [%]; None for the wood's own.

        Examples
        --------
        >>> print(choose_wood("white ash", "kiln", 12.0).density())
        672 kg/m3
        """
        return over_range(lambda M: density(self.species, M), self._moisture(moisture))

    def variation(self, key: str) -> Value:
        """Return the coefficient of variation of a property among pieces [%]."""
        return variation(key)

    def _moisture(self, moisture: float | Value | None) -> Value:
        if moisture is None:
            return self.moisture
        given = moisture
        if not isinstance(given, Value):
            given = Value(float(given), "%", "asked for", "computed", "moisture")
        _moisture_possible(self.species, given.value)
        return given

    def _at(self, key: str, moisture: float) -> Value | None:
        """Return a property at one moisture and 20 C."""
        dry, green = self.species.fact(key), self.species.fact(f"{key}_green")
        if green is None and dry is not None:
            green = self._green_assumed(key, dry)
        mp = cast("Value", self.species.fact("mp"))
        if moisture >= mp.value:
            return green
        at = self.species.dry_moisture
        if dry is None or green is None or moisture == at:
            return dry
        if key in _NOT_BY_EQUATION:
            return _lower(dry, green)
        factor = adjust_moisture(1.0, green.value / dry.value, moisture, mp.value, at)
        low, high = (None if end is None else end * factor for end in (dry.low, dry.high))
        name, how = f"{FACTS[key].label} at {moisture:g} %", handbook("equation 5-3")
        value, inputs = dry.value * factor, (dry, green, mp)
        return derived(value, dry.unit, how, inputs, name, low=low, high=high)

    def _green_assumed(self, key: str, dry: Value) -> Value:
        part = typical_green_part(self.species.kind, key)
        low, high = _product_band(dry, part)
        how = "dry figure times what other woods keep when green"
        name, value = FACTS[f"{key}_green"].label, dry.value * part.value
        return derived(value, dry.unit, how, (dry, part), name, low=low, high=high)


def _lower(dry: Value, green: Value) -> Value:
    least = min(dry, green, key=float)
    how = "the lower of the dry and green figures: equation 5-3 does not hold for it"
    return derived(least.value, dry.unit, how, (dry, green), least.name)


def _at_temperature(found: Value, key: str, M: float, temperature: float) -> Value:
    if temperature == REFERENCE_TEMPERATURE:
        return found
    factor = temperature_factor(key, M, temperature)
    low, high = (None if end is None else end * factor.value for end in (found.low, found.high))
    name = f"{found.name} and {temperature:g} C"
    how = "times the effect of temperature"
    value = found.value * factor.value
    return derived(value, found.unit, how, (found, factor), name, low=low, high=high)


def _product_band(a: Value, b: Value) -> tuple[float | None, float | None]:
    """Return the range of a product, None where neither factor has one."""
    if a.low is None and b.low is None:
        return None, None
    lows = [v.value if v.low is None else v.low for v in (a, b)]
    highs = [v.value if v.high is None else v.high for v in (a, b)]
    return lows[0] * lows[1], highs[0] * highs[1]


def elastic_ratio(species: Species, key: str) -> Value:
    """Return an elastic ratio, assumed from the table's other woods where it is not known.

    Printed ratios of one wood do not make a symmetric compliance; a solver that uses several
    must symmetrise it.

    Parameters
    ----------
    species : the wood.
    key : ``et``, ``er``, ``glr``, ``glt``, ``grt``, ``nu_lr``, ``nu_lt`` or ``nu_rt``.

    Examples
    --------
    >>> print(elastic_ratio(find_species("red oak"), "er"))
    0.154
    """
    return species.fact(key) or typical_ratio(species.kind, key)


def basic_gravity(species: Species) -> Value:
    """Return specific gravity, dry mass over green volume, from whichever was printed.

    Examples
    --------
    >>> print(basic_gravity(find_species("teak")), basic_gravity(find_species("spotted gum")))
    0.55 0.74741
    """
    printed = species.fact("gravity_green")
    if printed is not None:
        return printed
    solid = species.fact("gravity") or species.fact("density")
    if solid is None:
        raise WoodError(
            f"how heavy {species.name} is, is not known", todo="give density or gravity"
        )
    x = species.dry_moisture
    dry = solid.value if solid.unit == "" else solid.value / density_at(1.0, x)
    how = handbook("equations 4-13 and 4-14 solved backwards")
    value = basic_from_gravity(dry, x)
    return derived(value, "", how, (solid,), "specific gravity on green volume")


def gravity(species: Species, M: float) -> Value:
    """Return specific gravity, dry mass over volume at a moisture.

    Through both printed figures where there are two, else equation 4-13.

    Parameters
    ----------
    species : the wood.
    M : moisture [%].

    Examples
    --------
    >>> ash = find_species("white ash")
    >>> print(gravity(ash, 12.0), gravity(ash, 6.0))
    0.6 0.61875
    """
    basic, printed = basic_gravity(species), species.fact("gravity")
    name = f"specific gravity at {M:g} %"
    below = min(M, FIBRE_SATURATION)
    if printed is None or printed.value <= basic.value:
        how = handbook("equation 4-13")
        return derived(gravity_at(basic.value, below), "", how, (basic,), name)
    part = 1 - species.dry_moisture / FIBRE_SATURATION
    shrinkage = 100 * (1 - basic.value / printed.value) / part
    how = handbook("equations 4-9 and 4-11 through both printed figures")
    value = gravity_at(basic.value, below, shrinkage)
    return derived(value, "", how, (basic, printed), name)


def density(species: Species, M: float) -> Value:
    """Return density with the water in it [kg/m3].

    Parameters
    ----------
    species : the wood.
    M : moisture [%].

    Examples
    --------
    >>> print(density(find_species("white ash"), 12.0))
    672 kg/m3
    """
    solid = gravity(species, M)
    how, name = handbook("equation 4-14"), f"density at {M:g} %"
    return derived(density_at(solid.value, M), "kg/m3", how, (solid,), name)


def choose_wood(
    species: Species | str,
    dried: Dried = "kiln",
    moisture: float | tuple[float, float] | None = None,
    own: Sequence[Species] = (),
) -> Wood:
    """Return a wood as it lies in the shop.

    Parameters
    ----------
    species : a species, its id or a trade name.
    dried : ``kiln``, ``air`` or ``green``.
    moisture : measured moisture, or its range [%]. Where it is not known: kiln-dried 6 to
        10, air-dried 12 to 18, green 30 up to full of water (common practice, no source).
    own : the maker's own woods.

    Raises
    ------
    WoodError
        Unknown wood or drying, a moisture no wood can hold, or one that dried wood has not:
        above fibre saturation when it is called dried, far below when it is called green.

    Examples
    --------
    >>> print(choose_wood("cherry").moisture)
    8 % (6 to 10)
    """
    known = find_species(species, own) if isinstance(species, str) else species
    if dried not in get_args(Dried):
        raise WoodError(f"wood dried {dried!r}", allowed="kiln, air or green")
    if moisture is None:
        return Wood(known, dried, _usual_moisture(known, dried))
    low, high = moisture if isinstance(moisture, tuple) else (moisture, moisture)
    _moisture_fits(known, dried, low, high)
    band = () if low == high else (low, high)
    at = Value((low + high) / 2, "%", "your figure", "yours", "moisture", *band)
    return Wood(known, dried, at)


def _usual_moisture(species: Species, dried: Dried) -> Value:
    source = f"usual for {_DRIED_WORDS[dried]} wood; common practice, no source"
    if dried == "green":
        most = maximum_moisture(basic_gravity(species).value)
        return Value(FIBRE_SATURATION, "%", source, "practice", "moisture", FIBRE_SATURATION, most)
    low, high = _USUAL[dried]
    return Value((low + high) / 2, "%", source, "practice", "moisture", low, high)


def _moisture_possible(species: Species, M: float) -> None:
    most = maximum_moisture(basic_gravity(species).value)
    if not (math.isfinite(M) and 0 <= M <= most):
        raise WoodError(
            f"{species.name} at {M:g} % moisture",
            allowed=f"0 to {most:.0f} %: there is no room for more water",
            todo="check the reading; per cent is water over dry wood, by mass",
        )


def _moisture_fits(species: Species, dried: Dried, low: float, high: float) -> None:
    for M in (low, high):
        _moisture_possible(species, M)
    if low > high:
        raise WoodError(f"moisture from {low:g} to {high:g} %", todo="give the lower figure first")
    mp = cast("Value", species.fact("mp")).value
    if dried == "green" and low < mp:
        raise WoodError(
            f"green {species.name} at {low:g} % moisture",
            allowed=f"{mp:g} % and up for green wood",
            todo='call it dried = "air" if it has begun to dry',
        )
    if dried != "green" and high > FIBRE_SATURATION:
        raise WoodError(
            f"{_DRIED_WORDS[dried]} {species.name} at {high:g} % moisture, over fibre saturation",
            allowed=f"up to {FIBRE_SATURATION:g} %",
            todo='check the meter (most cannot read above that), or say dried = "green"',
        )
