"""Small projects for tests of plan, book and command."""

from __future__ import annotations

from pathlib import Path

from overbend.plan import Plan
from overbend.project import read

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))

HEAD = """
schema = 1
name = "Test piece"
units = "mm"

[shop]
trim = 28

[wood.maple]
species = "sugar-maple"
dried = "kiln"
moisture = 8

[wood.ash]
species = "white-ash"
dried = "air"

[adhesive.glue]
kind = "urea-formaldehyde-powder"

[[curve.bow.segment]]
line = 40

[[curve.bow.segment]]
easement = { length = 90, to_radius = 310 }
name = "knee"

[[curve.bow.segment]]
arc = { radius = 310, angle = 47 }

[[curve.bow.segment]]
line = 65
"""

LAMINATE = """
[part.bow]
kind = "bent"
curve = "bow"
method = "laminate"
width = 37
count = 3
adhesive = "glue"

[[part.bow.ply]]
wood = "maple"
thickness = 3
count = 2

[[part.bow.ply]]
wood = "ash"
thickness = 4.5
"""

SOLID = """
[part.slat]
kind = "bent"
curve = "bow"
method = "solid"
width = 52
count = 2

[[part.slat.ply]]
wood = "ash"
thickness = 11
"""


def plan_of(*parts: str) -> Plan:
    """Return the plan of a small project with these tables added."""
    return Plan(read(HEAD + "".join(parts)))
