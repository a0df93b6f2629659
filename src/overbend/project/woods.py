"""Woods and adhesives of a project as the wood tables know them."""

from __future__ import annotations

from overbend.project.materials import CUSTOM, Adhesive, Override, Wood
from overbend.wood import adhesives
from overbend.wood.species import Species, custom_species, find_species

__all__ = ["adhesive_of", "species_of"]

_SOURCE = "project file"
_FACTS = {
    "modulus": "moe",
    "density": "density",
    "bending_strength": "mor",
    "compression_strength": "comp_parallel",
    "shrinkage_radial": "radial",
    "shrinkage_tangential": "tangential",
}


def species_of(name: str, wood: Wood) -> Species:
    """Species of a wood table, with the table's own values over the book's.

    Parameters
    ----------
    name : the wood table's name; a custom species takes it.
    wood : the wood table.

    Raises
    ------
    WoodError
        When the species is not known, or a value cannot be meant.

    Examples
    --------
    >>> ash = Wood.model_validate({"species": "white ash", "dried": "kiln"})
    >>> species_of("ash", ash).id
    'white-ash'
    """
    figures = _figures(wood.override)
    if wood.species == CUSTOM:
        moe, mor, density = (figures[fact] for fact in ("moe", "mor", "density"))
        made = custom_species(name, source=_SOURCE, moe=moe, mor=mor, density=density)
    else:
        made = find_species(wood.species)
    return made.with_overrides(_SOURCE, **figures) if figures else made


def _figures(override: Override) -> dict[str, float]:
    """Overrides by the wood tables' names."""
    given = {fact: getattr(override, field) for field, fact in _FACTS.items()}
    return {fact: value for fact, value in given.items() if value is not None}


def adhesive_of(table: Adhesive) -> adhesives.Adhesive:
    """Adhesive of an adhesive table, with the user's own data sheet over the book's values.

    Raises
    ------
    WoodError
        When the kind is not known, or a value cannot be meant.

    Examples
    --------
    >>> glue = Adhesive.model_validate({"kind": "yellow glue", "open_minutes": 8})
    >>> print(adhesive_of(glue).need("open_time"))
    480 s
    """
    minutes = {"open_time": table.open_minutes, "closed_time": table.closed_minutes}
    hours = {"clamp_time": table.clamp_hours}
    plain = {"spread": table.spread_g_m2, "pressure": table.pressure}
    given = {
        **{key: value * 60.0 for key, value in minutes.items() if value is not None},
        **{key: value * 3600.0 for key, value in hours.items() if value is not None},
        **{key: value for key, value in plain.items() if value is not None},
    }
    found = adhesives.find_adhesive(table.kind)
    return found.with_sheet("project file", **given) if given else found
