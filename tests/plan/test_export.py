"""The plan as plain data: every key documented, numbers finite, JSON clean."""

import json
import re
from pathlib import Path

from overbend.plan import plan_data
from support.pieces import LAMINATE, ROOT, SOLID, plan_of

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
