"""Our own earlier outputs for one small piece: a change here has to be meant.

These numbers are not checks against anything outside; `tests/validation` holds those.
"""

import pytest

from support.pieces import LAMINATE, SOLID, plan_of

EARLIER = {
    "bow": {
        "springback": 0.123779,
        "form turn": 1.101852,
        "form chord": 412.889,
        "rise, low": 63.0566,
        "rise, high": 73.0893,
        "strain": 0.008377,
        "chance to break": 0.05347,
        "strip lengths": [510.0, 505.0],
    },
    "slat": {
        "springback": 0.08,
        "form turn": 1.04942,
        "form chord": 416.2286,
        "rise, low": 56.1779,
        "rise, high": 73.7898,
        "strain": 0.012129,
        "chance to break": 0.16005,
        "strip lengths": [510.0],
    },
}


def outputs(part):
    return {
        "springback": part.springback,
        "form turn": part.glued.turn,
        "form chord": part.shapes["form"].chord,
        "rise, low": part.band.rise.low,
        "rise, high": part.band.rise.high,
        "strain": part.risk.strain.verdict.strain,
        "chance to break": part.risk.worst.expected,
        "strip lengths": [s.length for s in part.strips],
    }


@pytest.mark.parametrize("name", EARLIER)
def test_a_part_comes_out_as_before(name):
    found = outputs(plan_of(LAMINATE, SOLID).bent[name])
    for key, value in EARLIER[name].items():
        assert found[key] == pytest.approx(value, rel=1e-4), key


def test_steam_comes_out_as_before():
    steam = plan_of(SOLID).steamed["slat"]
    assert steam.heating.low == pytest.approx(236.83, rel=0.01)
    assert steam.loading.low == pytest.approx(4.493, rel=0.01)
    assert steam.setting.mid == pytest.approx(21.957, rel=0.01)
