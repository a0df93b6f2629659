"""The species table as a person sees it: key figures of each wood with their standing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from overbend.wood.properties import density
from overbend.wood.species import Species, all_species
from overbend.wood.swelling import shrinkage
from overbend.wood.values import Value

__all__ = ["COLUMNS", "MARKS", "SpeciesRow", "species_table"]

COLUMNS = (
    "density",
    "mor",
    "moe",
    "comp_parallel",
    "shear",
    "tension_perp",
    "hardness",
    "radial",
    "tangential",
    "unbroken",
)
"""Figures of the table, in order; meanings as in `overbend.wood.species.FACTS`."""

MARKS = {
    "read": "",
    "yours": "y",
    "computed": "c",
    "practice": "p",
    "memory": "m",
    "assumed": "a",
}
"""What is printed beside a figure for its standing; one that was read has no mark."""


@dataclass(frozen=True)
class SpeciesRow:
    """A line of the species table, at the wood's dry moisture and 20 C.

    Parameters
    ----------
    species : the wood.
    figures : values by column of `COLUMNS`; absent where not known.
    """

    species: Species
    figures: Mapping[str, Value] = field(hash=False)

    def mark(self, column: str) -> str:
        """Return the mark of a figure, "" where it was read or is not known.

        Examples
        --------
        >>> species_table()[0].mark("unbroken")
        'm'
        """
        found = self.figures.get(column)
        return MARKS[found.status] if found else ""


def species_table(own: Sequence[Species] = ()) -> list[SpeciesRow]:
    """Return the table, the maker's own woods first.

    Parameters
    ----------
    own : the maker's own woods.

    Examples
    --------
    >>> row = species_table()[0]
    >>> print(row.species.name, "|", row.figures["density"], "|", row.figures["mor"])
    White ash | 672 kg/m3 | 106.2 MPa
    """
    return [SpeciesRow(species, _figures(species)) for species in (*own, *all_species())]


def _figures(species: Species) -> dict[str, Value]:
    computed = {
        "density": density(species, species.dry_moisture),
        "radial": shrinkage(species, "radial"),
        "tangential": shrinkage(species, "tangential"),
    }
    found = {key: computed.get(key) or species.fact(key) for key in COLUMNS}
    return {key: value for key, value in found.items() if value is not None}
