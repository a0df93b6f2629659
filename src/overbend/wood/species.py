"""Woods by name: what is known of each, with the source of every figure.

The table holds 75 commercial woods. Figures are of clear, straight-grained wood, green and
at 12 % moisture; a wood that a maker tested, or that is not in the table, is made with
`Species.with_overrides` or `custom_species`. What is not known of a wood is absent.

Figures by key, each with ``_green`` added for green wood where the second column says so:

================  =====  ======  ==================================================
key               green  unit    meaning
================  =====  ======  ==================================================
``gravity``       yes    -       specific gravity, dry mass over volume when measured
``density``              kg/m3   mass over volume
``mor``           yes    MPa     bending strength (modulus of rupture)
``moe``           yes    MPa     modulus of elasticity of a beam, shear included
``modulus``              MPa     without shear; only to be given, kept as ``moe``
``work``          yes    kJ/m3   work to maximum load in bending
``impact``        yes    mm      height of drop that breaks, impact bending
``comp_parallel``  yes    MPa     crushing strength along the grain
``comp_perp``     yes    MPa     compression across the grain, at proportional limit
``shear``         yes    MPa     shear strength along the grain
``tension_perp``  yes    MPa     tensile strength across the grain
``hardness``      yes    N       side hardness
``radial``               %       shrinkage, green to oven-dry, and so the next two
``tangential``           %
``volumetric``           %
``et``, ``er``           -       modulus across the grain over that along it
``glr``, ``glt``         -       shear modulus over modulus along the grain
``grt``                  -       the same, rolling
``nu_lr``, ``nu_lt``     -       Poisson's ratio, and ``nu_rt``
``unbroken``             %       pieces that did not break when bent hot in a trial
``mp``                   %       moisture below which drying stiffens and strengthens
================  =====  ======  ==================================================
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Literal, NamedTuple, Self

from overbend.errors import WoodError
from overbend.wood.formulas import SHEAR_FREE
from overbend.wood.tables import citation, did_you_mean, meant, plain, read_cell, rows
from overbend.wood.values import Status, Value, derived

__all__ = [
    "FACTS",
    "Fact",
    "Figure",
    "Kind",
    "Species",
    "all_species",
    "custom_species",
    "find_species",
    "species_ids",
]

Kind = Literal["hardwood", "softwood"]
Figure = float | tuple[float, float]


class Fact(NamedTuple):
    """What a key means, its unit and the figures that can be meant by it."""

    label: str
    unit: str
    least: float
    most: float


_STRENGTH = {
    "gravity": Fact("specific gravity", "", 0.05, 1.5),
    "mor": Fact("bending strength", "MPa", 10.0, 350.0),
    "moe": Fact("modulus of elasticity", "MPa", 1000.0, 40000.0),
    "work": Fact("work to maximum load", "kJ/m3", 1.0, 1000.0),
    "impact": Fact("impact bending", "mm", 50.0, 6000.0),
    "comp_parallel": Fact("crushing strength along the grain", "MPa", 5.0, 200.0),
    "comp_perp": Fact("compression across the grain", "MPa", 0.3, 60.0),
    "shear": Fact("shear strength along the grain", "MPa", 1.0, 50.0),
    "tension_perp": Fact("tensile strength across the grain", "MPa", 0.3, 20.0),
    "hardness": Fact("side hardness", "N", 200.0, 25000.0),
}
_REST = {
    "modulus": Fact("modulus along the grain, without shear", "MPa", 1000.0, 45000.0),
    "density": Fact("density", "kg/m3", 50.0, 1500.0),
    "radial": Fact("radial shrinkage", "%", 0.1, 25.0),
    "tangential": Fact("tangential shrinkage", "%", 0.1, 35.0),
    "volumetric": Fact("volumetric shrinkage", "%", 0.2, 50.0),
    "et": Fact("modulus along the rings over that along the grain", "", 0.002, 0.5),
    "er": Fact("modulus across the rings over that along the grain", "", 0.002, 0.5),
    "glr": Fact("shear modulus in the radial face over modulus along the grain", "", 0.002, 0.5),
    "glt": Fact("shear modulus in the flat face over modulus along the grain", "", 0.002, 0.5),
    "grt": Fact("rolling shear modulus over modulus along the grain", "", 0.0005, 0.2),
    "nu_lr": Fact("Poisson's ratio, load along the grain, radial", "", 0.01, 0.99),
    "nu_lt": Fact("Poisson's ratio, load along the grain, tangential", "", 0.01, 0.99),
    "nu_rt": Fact("Poisson's ratio, load radial, tangential", "", 0.01, 0.99),
    "unbroken": Fact("pieces unbroken when bent hot", "%", 0.0, 100.0),
    "mp": Fact("moisture where drying begins to stiffen", "%", 15.0, 35.0),
}
_GREEN = {
    f"{key}_green": fact._replace(label=f"{fact.label}, green") for key, fact in _STRENGTH.items()
}

FACTS: Mapping[str, Fact] = _STRENGTH | _GREEN | _REST
_EXCLUDES = {"density": ("gravity", "gravity_green"), "gravity": ("density",)}


@dataclass(frozen=True)
class Species:
    """What is known of a wood.

    Parameters
    ----------
    id : plain id, such as ``white-ash``.
    name : name to show.
    botanical : botanical name.
    botanical_status : whether the botanical name was read or recalled.
    kind : ``hardwood`` or ``softwood``.
    also : other names in the trade.
    facts : figures by key; several where sources differ, the preferred one first.
    dry_moisture : moisture the dry figures hold at [%].

    Examples
    --------
    >>> ash = find_species("white ash")
    >>> print(ash.fact("moe"), "-", ash.fact("moe").status)
    12000 MPa - read
    """

    id: str
    name: str
    botanical: str
    botanical_status: Status
    kind: Kind
    also: tuple[str, ...] = ()
    facts: Mapping[str, tuple[Value, ...]] = field(default_factory=dict, hash=False, repr=False)
    dry_moisture: float = 12.0

    def fact(self, key: str) -> Value | None:
        """Return the preferred figure of a key, or None when it is not known.

        Raises
        ------
        WoodError
            The key is not one of `FACTS`.
        """
        found = self.opinions(key)
        return found[0] if found else None

    def opinions(self, key: str) -> tuple[Value, ...]:
        """Return every figure of a key, the preferred one first.

        Examples
        --------
        >>> [str(v) for v in find_species("european beech").opinions("moe")]
        ['12600 MPa', '14700 MPa', '15000 MPa (14000 to 16000)']
        """
        _known_key(key)
        return self.facts.get(key, ())

    def with_overrides(self, source: str = "your figure", **figures: Figure) -> Self:
        """Return the wood with figures of the maker's own.

        A dry figure is one at ``dry_moisture``; it takes the green one along in the same
        proportion, unless that is given too. A density replaces the specific gravities, and
        the other way round. A ``modulus`` without shear is kept as ``moe``, a 1.1th of it.

        Parameters
        ----------
        source : where the figures come from, such as ``"bending test, March"``.
        **figures : key of `FACTS` and figure, or ``(low, high)``.

        Raises
        ------
        WoodError
            A key is unknown or a figure is out of all proportion.

        Examples
        --------
        >>> own = find_species("white ash").with_overrides(moe=13200)
        >>> print(own.fact("moe"), "|", own.fact("moe_green"))
        13200 MPa | 10923 MPa
        """
        facts = dict(self.facts)
        for key, figure in figures.items():
            value = _own_value(key, figure, source)
            if key == "modulus":
                key, value = "moe", _with_shear(value, figures)
            old, green = self.fact(key), self.fact(f"{key}_green") if key in _STRENGTH else None
            if old and green and f"{key}_green" not in figures:
                facts[f"{key}_green"] = (_in_proportion(green, value, old),)
            for other in _EXCLUDES.get(key, ()):
                facts.pop(other, None)
            facts[key] = (value,)
        return replace(self, facts=facts)


def _known_key(key: str) -> None:
    if key not in FACTS:
        close = did_you_mean(key, FACTS)
        raise WoodError(
            f"there is no figure called {key!r}" + meant(close),
            allowed=", ".join(FACTS),
            todo="use one of these names",
        )


def _own_value(key: str, figure: Figure, source: str) -> Value:
    """Return a maker's figure as a value, refused when it cannot be meant."""
    _known_key(key)
    label, unit, least, most = FACTS[key]
    low, high = figure if isinstance(figure, tuple) else (figure, figure)
    if not (math.isfinite(low) and math.isfinite(high) and least <= low <= high <= most):
        given = f"{low:g}" if low == high else f"{low:g} to {high:g}"
        raise WoodError(
            f"{label} ({key}) of {given} {unit}".rstrip(),
            allowed=f"{least:g} to {most:g} {unit}".rstrip(),
            todo=f"give it in {unit}" if unit else "give it as a plain ratio",
        )
    band = () if low == high else (low, high)
    return Value((low + high) / 2, unit, source, "yours", label, *band)


def _with_shear(modulus: Value, figures: Mapping[str, Figure]) -> Value:
    """Return the tabled kind of modulus for one without shear."""
    if "moe" in figures:
        raise WoodError("both moe and modulus are given", todo="give one; modulus is without shear")
    low, high = (None if end is None else end / SHEAR_FREE for end in (modulus.low, modulus.high))
    how, value = f"modulus without shear over {SHEAR_FREE:g}", modulus.value / SHEAR_FREE
    return derived(value, "MPa", how, (modulus,), FACTS["moe"].label, low=low, high=high)


def _in_proportion(green: Value, new: Value, old: Value) -> Value:
    how = "changed in the same proportion as the dry figure"
    return derived(green.value * new.value / old.value, green.unit, how, (green, new), green.name)


def species_ids() -> tuple[str, ...]:
    """Return the ids of the table's woods.

    Examples
    --------
    >>> len(species_ids()), species_ids()[0]
    (75, 'white-ash')
    """
    return tuple(row["id"] for row in rows("woods"))


def all_species() -> tuple[Species, ...]:
    """Return every wood of the table.

    Examples
    --------
    >>> sum(wood.kind == "softwood" for wood in all_species())
    7
    """
    return tuple(_build(name) for name in species_ids())


def find_species(text: str, own: Sequence[Species] = ()) -> Species:
    """Return a wood by its id or a name of the trade, in any case and word order.

    Parameters
    ----------
    text : ``white-ash``, ``Ash, white``, ``hard maple``.
    own : the maker's own woods; they are looked through first.

    Raises
    ------
    WoodError
        No wood, or more than one, goes by that name; those it may be are named.

    Examples
    --------
    >>> find_species("Oak, red").name
    'Northern red oak'
    """
    key = plain(text)
    for wood in own:
        if key in {plain(wood.id), plain(wood.name), *map(plain, wood.also)}:
            return wood
    found = _by_name().get(key)
    if found is None:
        raise _unknown(text, own)
    return _build(found)


def custom_species(
    name: str,
    *,
    like: Species | None = None,
    kind: Kind = "hardwood",
    botanical: str = "",
    source: str = "your figure",
    **figures: Figure,
) -> Species:
    """Return a wood of the maker's own.

    Parameters
    ----------
    name : its name.
    like : a wood of the table to take what is not given from; its kind is taken too.
    kind, botanical : as for `Species`, where there is no ``like``.
    source : where the figures come from.
    **figures : as for `Species.with_overrides`. Without ``like``, at least ``moe`` or
        ``modulus``, ``mor``, and ``density`` or ``gravity``, all at 12 % moisture.

    Raises
    ------
    WoodError
        The name has no letters, a figure cannot be meant, or one that is needed is missing.

    Examples
    --------
    >>> custom_species("Local plum", moe=10800, mor=95, density=750).id
    'local-plum'
    """
    slug = "-".join(re.findall(r"[^\W_]+", name.casefold()))
    if not slug:
        raise WoodError(f"a wood called {name!r}", todo="give your wood a name with letters in it")
    if like is None:
        _enough(name, figures)
        like = Species(slug, name, botanical, "yours", kind)
        like = replace(like, facts={"mp": (_default_mp(),)})
    base = replace(like, id=slug, name=name, also=(), botanical=botanical or like.botanical)
    return base.with_overrides(source, **figures)


def _enough(name: str, figures: Mapping[str, Figure]) -> None:
    missing = [] if {"moe", "modulus"} & set(figures) else ["moe"]
    missing += [] if "mor" in figures else ["mor"]
    if not {"density", "gravity"} & set(figures):
        missing.append("density or gravity")
    if missing:
        raise WoodError(
            f"your wood {name!r} has no {' and no '.join(missing)}",
            allowed="moe and mor in MPa, density in kg/m3 or gravity, all at 12 % moisture",
            todo="give them, or name a wood of the table it is like",
        )


def _unknown(text: str, own: Sequence[Species]) -> WoodError:
    named = [wood.name for wood in own] + [row["name"] for row in rows("woods")]
    trade = [name for row in rows("woods") for name in _trade(row)]
    close = did_you_mean(text, named) or did_you_mean(text, trade)
    return WoodError(
        f"no wood is called {text!r}" + meant(close),
        allowed=f"one of {len(species_ids())} woods of the table, by id or trade name, or your own",
        todo="pick one of these, or give your own wood with its figures",
    )


@cache
def _by_name() -> dict[str, str]:
    """Plain names to ids: every id and name first, trade names where they are free."""
    table = {plain(name): row["id"] for row in rows("woods") for name in (row["id"], row["name"])}
    for row in rows("woods"):
        for name in _trade(row):
            table.setdefault(plain(name), row["id"])
    return table


def _trade(row: Mapping[str, str]) -> list[str]:
    return [name.strip() for name in row["also"].split(";") if name.strip()]


@cache
def _build(wood: str) -> Species:
    """Return a wood of the table from its rows."""
    row = next(row for row in rows("woods") if row["id"] == wood)
    dry = [float(r["state"]) for r in _of(wood, "strength") if r["state"] != "green"]
    facts: dict[str, tuple[Value, ...]] = {}
    for key, value in _all_facts(wood):
        facts[key] = (*facts.get(key, ()), value)
    mp = row["mp"]
    facts["mp"] = (
        read_cell(mp, "%", FACTS["mp"].label, "wh-5-13", "read") if mp else _default_mp(),
    )
    return Species(
        wood,
        row["name"],
        row["botanical"],
        "memory" if row["botanical_status"] == "memory" else "read",
        "softwood" if row["kind"] == "softwood" else "hardwood",
        tuple(_trade(row)),
        facts,
        dry[0],
    )


@cache
def _default_mp() -> Value:
    source = f"{citation('wh-5-13')}: printed for woods without a figure of their own"
    return Value(25.0, "%", source, "read", FACTS["mp"].label)


@cache
def _rows_by_wood(name: str) -> dict[str, list[dict[str, str]]]:
    found: dict[str, list[dict[str, str]]] = {}
    for row in rows(name):
        for wood in (row.get("woods") or row["wood"]).split():
            found.setdefault(wood, []).append(row)
    return found


def _of(wood: str, name: str) -> list[dict[str, str]]:
    return _rows_by_wood(name).get(wood, [])


def _all_facts(wood: str) -> Iterator[tuple[str, Value]]:
    for row in _of(wood, "strength"):
        suffix = "_green" if row["state"] == "green" else ""
        yield from _cells(row, (*_STRENGTH, "density"), suffix)
    for row in _of(wood, "shrinkage"):
        yield from _shrinkage(row)
    for row in _of(wood, "elastic"):
        yield from _cells(row, ("et", "er", "glr", "glt", "grt", "nu_lr", "nu_lt", "nu_rt"))
    for row in _of(wood, "bending"):
        fact, note = FACTS["unbroken"], f"tested as {row['tested_as']}"
        cell, source = row["unbroken"], "bending-tests"
        yield "unbroken", read_cell(cell, fact.unit, fact.label, source, "memory", note)


def _cells(
    row: Mapping[str, str], keys: Sequence[str], suffix: str = ""
) -> Iterator[tuple[str, Value]]:
    for key in keys:
        if row[key]:
            fact = FACTS[key + suffix]
            note = row.get("note", "") if key == row.get("note_on") else ""
            value = read_cell(row[key], fact.unit, fact.label, row["source"], row["status"], note)
            yield key + suffix, value


def _shrinkage(row: Mapping[str, str]) -> Iterator[tuple[str, Value]]:
    """Shrinkage to oven-dry; where it was given to a moisture, by equation 4-9 upside down."""
    end = float(row["to_moisture"])
    for key, value in _cells(row, ("radial", "tangential", "volumetric")):
        if end == 0.0:
            yield key, value
            continue
        whole = value.value / (1 - end / 30.0)
        how = f"from shrinkage to {end:g} %, equation 4-9 of the Wood Handbook"
        yield key, derived(whole, "%", how, (value,), value.name)
