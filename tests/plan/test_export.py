"""The plan as plain data: every key documented, numbers finite, JSON clean."""

import json
import re
from pathlib import Path

from overbend.plan import plan_data
from support.pieces import LAMINATE, ROOT, SOLID, plan_of

MACHINES = "".join(
    f"[shop.machine.{name}]\nleast_length = 150\nleast_width = 15\nleast_thickness = 2\n"
    for name in ("saw", "surfacing", "thicknessing")
)
YARD = """
[[shop.yard]]
name = "maple 52"
wood = "maple"
length = 2200
width = 170
thickness = 52
price = 30
[[shop.yard]]
name = "ash 34"
wood = "ash"
length = 2000
width = 150
thickness = 34
price = 20
"""
STRAIGHT = """
[part.rail]
kind = "straight"
wood = "maple"
section = [40, 22]
length = 610
"""


def keys(data) -> set[str]:
    if isinstance(data, dict):
        return set(data) | {k for value in data.values() for k in keys(value)}
    if isinstance(data, list):
        return {k for value in data for k in keys(value)}
    return set()


def test_every_key_is_documented():
    data = plan_data(plan_of(LAMINATE, SOLID, STRAIGHT))
    named = set(re.findall(r"`([^`]+)`", Path(ROOT / "docs/plan-json.md").read_text()))
    assert keys(data) - {"bow", "slat", "rail", "knee"} - named == set()


def test_every_key_of_a_cutting_plan_is_documented():
    refused = YARD.replace("length = 2200", "length = 500")
    for yard in (YARD, refused):
        data = plan_data(plan_of(LAMINATE, STRAIGHT, MACHINES, yard))["cutting"]
        named = set(re.findall(r"`([^`]+)`", Path(ROOT / "docs/plan-json.md").read_text()))
        assert keys(data) - {"maple 52", "ash 34"} - named == set()
        assert (data["saw_plan"] is None) == (yard is refused)


def test_it_is_json_without_nan():
    data = plan_data(plan_of(LAMINATE, SOLID, STRAIGHT))
    again = json.loads(json.dumps(data, allow_nan=False))
    assert again["bent"]["bow"]["depth_mm"] == 10.5
    assert again["bent"]["slat"]["trial_form"] is True
    assert len(again["bent"]["bow"]["curves"]["form"]) == 101


def test_the_fingerprint_tells_files_apart():
    one, other = plan_of(LAMINATE), plan_of(SOLID)
    assert len(one.fingerprint) == 12
    assert one.fingerprint != other.fingerprint
