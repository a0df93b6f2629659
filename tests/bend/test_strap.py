import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.bend.hot import HotWood, bend_strapped
from overbend.bend.strap import (
    CAUTIONS,
    LINE_BARE_STEEL,
    RATING_MARGIN,
    Blank,
    Crew,
    Strap,
    stains,
    strap_sheet,
)
from overbend.errors import LayupError

OAK = HotWood.from_dry(12270.0, 51.3)
BLANK = Blank(OAK, thickness=22.0, width=38.0, length=880.0, species="Oak, white")
STRAP = Strap(thickness=1.2, width=42.0, rating=18_000.0)
CREW = Crew(people=1, lever=700.0)
KAPPA = 1 / 140


def test_strap_carries_the_crushing_of_the_whole_section_but_the_rim():
    sheet = strap_sheet(BLANK, STRAP, CREW, KAPPA)
    whole = OAK.crushing * 22.0 * 38.0
    # only the strip next to the strap is not yet crushed: yield strain times outer radius, halved
    rim = OAK.crushing * 38.0 * OAK.yield_strain * 151.0 / 2
    assert sheet.tension == pytest.approx(whole - rim, rel=1e-9)
    assert sheet.stop_load == sheet.tension
    assert sheet.stop_pressure == pytest.approx(sheet.tension / (22.0 * 38.0))
    assert sheet.strap_stress == pytest.approx(sheet.tension / (1.2 * 42.0))


def test_moment_is_felt_at_the_lever():
    sheet = strap_sheet(BLANK, STRAP, CREW, KAPPA)
    hot = bend_strapped(OAK, 22.0, KAPPA, 0.0, 1.2)
    assert sheet.moment == pytest.approx(38.0 * float(hot.moment))
    assert sheet.pull * 700.0 == pytest.approx(sheet.moment)
    two = strap_sheet(BLANK, STRAP, Crew(2, 1400.0), KAPPA)
    assert two.pull == pytest.approx(sheet.pull / 4)


@given(st.floats(0, 0.02), st.floats(0, 2), st.floats(300, 2500))
def test_under_load_the_convex_face_has_its_stretch(stretch, squeeze, length):
    blank = Blank(OAK, 22.0, 38.0, length)
    sheet = strap_sheet(blank, STRAP, CREW, KAPPA, stretch=stretch, squeeze_per_end=squeeze)
    loaded = sheet.stop_spacing + length * sheet.strap_stress / STRAP.modulus
    assert loaded + 2 * squeeze == pytest.approx(length * (1 + stretch))
    assert sheet.take_up == pytest.approx(length - sheet.stop_spacing)


@pytest.mark.parametrize(
    ("share", "verdict"), [(0.99, "fails"), (1.01, "close"), (1.24, "close"), (1.26, "holds")]
)
def test_rating_is_judged_against_the_one_needed(share, verdict):
    needed = RATING_MARGIN * strap_sheet(BLANK, STRAP, CREW, KAPPA).tension
    sheet = strap_sheet(BLANK, Strap(1.2, 42.0, share * needed), CREW, KAPPA)
    assert sheet.needed_rating == pytest.approx(needed)
    assert sheet.verdict == verdict
    assert sheet.words()[0].startswith(verdict.capitalize())
    assert any("stops" in s for s in sheet.words()) == (verdict != "fails")


def test_a_strap_without_a_rating_is_refused():
    sheet = strap_sheet(BLANK, Strap(1.2, 42.0, None), CREW, KAPPA)
    assert sheet.verdict == "fails"
    assert "no rating is stated" in sheet.words()[0]
    assert "or more" in sheet.words()[0]


def test_forces_are_never_said_smaller_than_they_are():
    sheet = strap_sheet(BLANK, STRAP, CREW, KAPPA)
    said = float(sheet.words()[0].split("up to ")[1].split(" N")[0])
    assert sheet.tension <= said < sheet.tension + 100


def test_too_heavy_a_pull_names_the_lever_that_would_do():
    sheet = strap_sheet(BLANK, STRAP, Crew(1, 150.0), KAPPA)
    assert sheet.too_heavy
    assert "too much: use a lever of" in sheet.words()[-1]
    eased = strap_sheet(BLANK, STRAP, Crew(1, sheet.least_lever * 1.001), KAPPA)
    assert not eased.too_heavy


def test_letting_in_stretch_relieves_the_strap():
    held, eased = (strap_sheet(BLANK, STRAP, CREW, KAPPA, stretch=s) for s in (0.0, 0.015))
    assert eased.tension < held.tension
    assert eased.stop_spacing > held.stop_spacing


def test_cautions_name_steel_only_where_it_stains():
    bare, lined = (Strap(1.2, 42.0, 18_000.0, bare_steel=b) for b in (True, False))
    maple = Blank(OAK, 22.0, 38.0, 880.0, "Maple, sugar")
    assert strap_sheet(BLANK, bare, CREW, KAPPA).cautions == (*CAUTIONS, LINE_BARE_STEEL)
    assert strap_sheet(BLANK, lined, CREW, KAPPA).cautions == CAUTIONS
    assert strap_sheet(maple, bare, CREW, KAPPA).cautions == CAUTIONS
    assert any("in line with the strap" in c for c in CAUTIONS)
    assert stains("BLACK WALNUT")
    assert not stains("")


def test_straight_needs_nothing():
    sheet = strap_sheet(BLANK, STRAP, CREW, 0.0)
    assert sheet.tension == sheet.pull == 0.0
    assert sheet.verdict == "holds"


def test_refusals():
    for bad in (Blank(OAK, 0.0, 38.0, 880.0), Blank(OAK, 22.0, 38.0, -1.0)):
        with pytest.raises(LayupError, match="sizes, people and pull above zero"):
            strap_sheet(bad, STRAP, CREW, KAPPA)
    with pytest.raises(LayupError):
        strap_sheet(BLANK, STRAP, Crew(0, 700.0), KAPPA)
    with pytest.raises(LayupError):
        strap_sheet(BLANK, STRAP, CREW, KAPPA, squeeze_per_end=-1.0)
