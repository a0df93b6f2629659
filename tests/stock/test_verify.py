"""The checker of cutting plans finds every fault put into a plan that `cut` made."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from support.cut_cases import cases
from support.cut_faults import FAULTS
from support.setup_faults import MORE_FAULTS

EVERY = FAULTS | MORE_FAULTS


@pytest.mark.parametrize("name", ["chair", "bench", "stool", "shelf"])
def test_the_untouched_plan_passes(name):
    case = cases()[name]
    assert case.plan is not None
    assert case.faults() == ()


@pytest.mark.parametrize("fault", EVERY, ids=lambda f: f.__name__)
@settings(max_examples=20, derandomize=True)
@given(data=st.data())
def test_every_fault_is_found(fault, data):
    places, words = EVERY[fault]
    spots = [(name, place) for name, case in cases().items() for place in places(case)]
    name, place = data.draw(st.sampled_from(spots))
    amount = data.draw(st.floats(1e-4, 1.0))
    found = fault(cases()[name], place, amount).faults()
    assert any(words in report for report in found), (name, place, amount, found)
