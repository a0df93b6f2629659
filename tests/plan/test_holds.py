"""What waits for the maker."""

from support.pieces import LAMINATE, SOLID, plan_of

MACHINES = """
[shop.machine.saw]
least_length = 200
least_width = 20
least_thickness = 2
[shop.machine.surfacing]
least_length = 200
least_width = 20
least_thickness = 2
[shop.machine.thicknessing]
least_length = 200
least_width = 20
least_thickness = {thin}
"""


def kinds(plan):
    return [(hold.kind, hold.part) for hold in plan.holds]


def test_the_gates_stand_until_something_is_recorded():
    found = kinds(plan_of(LAMINATE, SOLID))
    assert ("trial", "slat") in found
    assert ("trial", "bow") not in found
    assert ("thickness", "bow") in found
    assert ("moisture", "") in found
    assert [k for k, _ in found].count("machine") == 3


def test_a_recorded_trial_and_measured_strips_open_their_gates():
    made = """
[made.a]
kind = "trial"
part = "slat"
form_radius = 280
released_radius = 300
[made.b]
kind = "strips"
part = "slat"
thickness = 10.9
count = 2
"""
    found = kinds(plan_of(SOLID, made))
    assert ("trial", "slat") not in found
    assert ("thickness", "slat") not in found


def test_a_machine_that_cannot_take_a_strip_holds_the_cutting():
    assert not [k for k in kinds(plan_of(LAMINATE, MACHINES.format(thin=2))) if k[0] == "machine"]
    plan = plan_of(LAMINATE, MACHINES.format(thin=4))
    (hold,) = [h for h in plan.holds if h.kind == "machine"]
    assert "3 mm thickness" in hold.text
