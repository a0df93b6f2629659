"""The project file: its tables, expressions, reading and writing."""

from overbend.project.curves import build_curve, curve_from_offset
from overbend.project.examples import example_names, new_from_example
from overbend.project.expressions import Quantity, Scope
from overbend.project.jsonschema import json_schema
from overbend.project.load import Loaded, load, read
from overbend.project.migrate import migrate
from overbend.project.save import dump, edit, save
from overbend.project.schema import (
    SCHEMA_VERSION,
    BentPart,
    FormTable,
    Made,
    MadeForm,
    MadeStrips,
    MadeTrial,
    Part,
    Project,
    Shop,
    StraightPart,
    instances,
)
from overbend.project.woods import adhesive_of, species_of

__all__ = [
    "SCHEMA_VERSION",
    "BentPart",
    "FormTable",
    "Loaded",
    "Made",
    "MadeForm",
    "MadeStrips",
    "MadeTrial",
    "Part",
    "Project",
    "Quantity",
    "Scope",
    "Shop",
    "StraightPart",
    "adhesive_of",
    "build_curve",
    "curve_from_offset",
    "dump",
    "edit",
    "example_names",
    "instances",
    "json_schema",
    "load",
    "migrate",
    "new_from_example",
    "read",
    "save",
    "species_of",
]
