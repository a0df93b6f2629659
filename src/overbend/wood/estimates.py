"""What to assume of a wood where the table is silent: the middle of its kin.

Each estimate is the median over the woods of the same kind (hardwood or softwood) for which
the figures are known, with the 5th and 95th percentile as its range. All are assumed.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np

from overbend.wood.species import FACTS, Kind, Species, all_species
from overbend.wood.values import Value

__all__ = ["typical_green_part", "typical_part", "typical_ratio"]


@cache
def _median(kind: Kind, name: str, figure: Callable[[Species], float | None]) -> Value:
    found = [v for s in all_species() if s.kind == kind and (v := figure(s)) is not None]
    low, mid, high = (float(p) for p in np.percentile(found, [5, 50, 95]))
    source = f"median of the {len(found)} {kind}s of the table for which it is known"
    return Value(mid, "", source, "assumed", name, low, high)


@cache
def _part(over: str, under: str) -> Callable[[Species], float | None]:
    def figure(species: Species) -> float | None:
        top, base = species.fact(over), species.fact(under)
        return top.value / base.value if top and base else None

    return figure


def typical_green_part(kind: Kind, key: str) -> Value:
    """Return what green wood keeps of a property of dry wood.

    Parameters
    ----------
    kind : ``hardwood`` or ``softwood``.
    key : a property of `overbend.wood.species.FACTS` with a green figure.

    Examples
    --------
    >>> print(typical_green_part("hardwood", "moe"))
    0.80444 (0.70889 to 0.90331)
    """
    name = f"{FACTS[key].label}, green over dry"
    return _median(kind, name, _part(f"{key}_green", key))


def typical_part(kind: Kind, key: str, of: str) -> Value:
    """Return what a figure is of another, such as crushing strength of bending strength.

    Parameters
    ----------
    kind : ``hardwood`` or ``softwood``.
    key, of : keys of `overbend.wood.species.FACTS`.

    Examples
    --------
    >>> print(typical_part("hardwood", "comp_parallel", "mor"))
    0.51936 (0.45928 to 0.60385)
    """
    return _median(kind, f"{FACTS[key].label} over {FACTS[of].label}", _part(key, of))


def typical_ratio(kind: Kind, key: str) -> Value:
    """Return an elastic ratio.

    Parameters
    ----------
    kind : ``hardwood`` or ``softwood``.
    key : ``et``, ``er``, ``glr``, ``glt``, ``grt``, ``nu_lr``, ``nu_lt`` or ``nu_rt``.

    Examples
    --------
    >>> typical_ratio("softwood", "er").status
    'assumed'
    """
    return _median(kind, FACTS[key].label, _own(key))


@cache
def _own(key: str) -> Callable[[Species], float | None]:
    def figure(species: Species) -> float | None:
        found = species.fact(key)
        return None if found is None else found.value

    return figure
