"""Loading the form against the window, and the remedies tried."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import SteamError
from overbend.steam.air import Air
from overbend.steam.cooling import working_window
from overbend.steam.loading import (
    FormLoad,
    Hands,
    Surroundings,
    check_loading,
    judge,
    loading_seconds,
)
from overbend.steam.section import Section
from overbend.wood.thermal import ThermalWood

ASH = ThermalWood(0.55, 22.0)
SEVEN = FormLoad(Section(52.0, 3.2), 7, clamps=5)
ORDER = {"holds": 0, "close": 1, "fails": 2}


def test_seconds_counted_by_hand():
    hands = Hands(out=9.0, per_strip=5.0, strap=7.0, bend=20.0, per_clamp=6.0, share=0.5)
    assert loading_seconds(SEVEN, hands) == 9 + 20 + 35 + 30
    assert loading_seconds(SEVEN, replace(hands, people=2)) == 9 + 20 + 65 / 1.5
    assert loading_seconds(replace(SEVEN, strapped=True), hands) == 9 + 20 + 7 + 30


def test_the_three_words():
    assert [judge(t, 10.0, 40.0) for t in (9.0, 10.0, 25.0, 41.0)] == [
        "holds", "holds", "close", "fails",
    ]  # fmt: skip


def test_a_strapped_bundle_cools_as_one():
    strapped = replace(SEVEN, strapped=True)
    assert SEVEN.carried == Section(52.0, 3.2)
    assert strapped.carried.thickness == pytest.approx(22.4)
    check = check_loading(strapped, ASH)
    assert check.high == working_window(strapped.carried, ASH, air=Air()).high


def test_a_slow_load_of_loose_strips_fails_and_every_remedy_was_tried():
    check = check_loading(SEVEN, ASH)
    assert check.verdict == "fails"
    assert "loading takes about 81 s" in check.reason
    kinds = [r.kind for r in check.remedies]
    assert sorted(kinds) == ["fewer", "hands", "strap", "thicker", "together", "warm form"]
    ranks = [(ORDER[r.verdict], -r.high / r.seconds) for r in check.remedies]
    assert ranks == sorted(ranks)
    assert kinds.index("together") < kinds.index("strap") < kinds.index("hands")


def test_each_remedy_carries_its_own_window_and_time():
    check = check_loading(SEVEN, ASH)
    found = {r.kind: r for r in check.remedies}
    for remedy in found.values():
        assert remedy.seconds == loading_seconds(remedy.load, remedy.hands)
        assert remedy.verdict == judge(remedy.seconds, remedy.low, remedy.high)
        assert remedy.helps == (remedy.high / remedy.seconds > check.high / check.seconds)
    thick = found["thicker"].load
    assert thick.strips == 4
    assert thick.strips * thick.strip.thickness == pytest.approx(7 * 3.2)
    assert found["hands"].high == check.high
    assert found["warm form"].seconds == check.seconds
    assert found["warm form"].high > check.high
    assert found["strap"].high == check_loading(replace(SEVEN, strapped=True), ASH).high


def test_fewer_takes_the_most_strips_that_fit():
    quick = Hands(out=5.0, per_strip=4.0, bend=8.0, per_clamp=2.0)
    check = check_loading(replace(SEVEN, clamps=2), ASH, quick)
    assert check.verdict == "fails"
    fewer = next(r for r in check.remedies if r.kind == "fewer")
    assert fewer.verdict == "close"
    more = replace(fewer.load, strips=fewer.load.strips + 1)
    assert loading_seconds(more, quick) > fewer.high
    assert f"Bend {fewer.load.strips} at a time" in fewer.text


def test_no_thicker_strip_than_the_curve_allows():
    check = check_loading(SEVEN, ASH, thickest=4.0)
    assert "thicker" not in [r.kind for r in check.remedies]


def test_a_solid_blank_has_no_strips_to_part():
    blank = FormLoad(Section(40.0, 25.0), 1, clamps=14)
    kinds = {r.kind for r in check_loading(blank, ASH, Hands(out=60.0)).remedies}
    assert kinds == {"hands", "warm form", "together"}


def test_what_holds_asks_for_nothing():
    check = check_loading(
        FormLoad(Section(40.0, 30.0), 1, clamps=0), ASH, Hands(out=1.0, bend=1.0, per_strip=0.5)
    )
    assert check.verdict == "holds"
    assert check.remedies == ()


def test_a_box_below_softening_leaves_no_window_and_says_why():
    check = check_loading(SEVEN, ASH, around=Surroundings(start=74.0))
    assert (check.verdict, check.low, check.high) == ("fails", 0.0, 0.0)
    assert "below the softening temperature" in check.reason
    assert check.remedies == ()


@given(
    strips=st.integers(1, 12),
    clamps=st.integers(0, 20),
    people=st.integers(1, 4),
    strapped=st.booleans(),
)
@settings(max_examples=40)
def test_more_people_are_never_slower_and_more_clamps_never_faster(
    strips, clamps, people, strapped
):
    load = FormLoad(Section(50.0, 3.0), strips, clamps, strapped)
    hands = Hands(people=people)
    seconds = loading_seconds(load, hands)
    assert loading_seconds(load, replace(hands, people=people + 1)) <= seconds
    assert loading_seconds(replace(load, clamps=clamps + 1), hands) > seconds


def test_impossible_loads_are_refused():
    with pytest.raises(SteamError, match="1 strip or more"):
        FormLoad(Section(50.0, 3.0), 0, 4)
    with pytest.raises(SteamError, match="people"):
        Hands(people=0)
    with pytest.raises(SteamError, match="below zero"):
        Hands(bend=-1.0)
