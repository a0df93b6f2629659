"""What trial bends teach about set and about breaking."""

import math

import numpy as np
import pytest
from scipy.special import expit, log_ndtr, logit

from overbend.bend import Spread
from overbend.bend.calibrate import (
    CREEP,
    OTHER_WOODS,
    SHARES,
    BreakTrial,
    Creep,
    Release,
    SetTrial,
    learn_breaks,
    learn_set,
    set_guess,
    thickness_class,
)
from overbend.bend.capacity import hot_compression, hot_tension
from overbend.errors import LayupError

DAYS10 = 240.0


def bent(*lost, wood="ash", thickness=22.0, ratio=0.05, hours=DAYS10, run="a", **other):
    values = {"treatment": "steam", "lost_cold": 1.0, "strips": 1, **other}
    readings = tuple(Release(hours, value, 0.01) for value in lost)
    return SetTrial(
        wood=wood, thickness=thickness, t_over_r=ratio, readings=readings, run=run, **values
    )


def cell(lessons, wood="ash", treatment="steam", thickness="thick"):
    key = (wood, treatment, thickness)
    return next(c for c in lessons.cells if (c.wood, c.treatment, c.thickness) == key)


def test_the_shares_of_the_variance_are_one_whole():
    assert SHARES.shop + SHARES.treatment + SHARES.wood + SHARES.cell == pytest.approx(1.0)


def test_nothing_is_learnt_from_nothing():
    assert learn_set([]).cells == ()
    assert learn_breaks([]) == ()


def test_a_reading_without_error_at_rest_is_the_closed_form():
    """One trial read at ten days: the belief about its cell is a line fit on the logit."""
    spread, (middle, scale) = Spread(), set_guess(0.05, 22.0)
    trial = SetTrial("ash", "steam", 22.0, 0.05, 1.0, 1, (Release(DAYS10, 0.16, 1e-5),), "a")
    found = cell(learn_set([trial]))
    noise = spread.set_run**2 + spread.set_strip**2
    gain = spread.set_species**2 / (spread.set_species**2 + noise)
    assert found.shift == pytest.approx(gain * (logit(0.84) - middle) / scale, abs=1e-3)
    assert found.sd == pytest.approx(spread.set_species * math.sqrt(1 - gain), abs=1e-3)


def test_others_learn_their_share():
    spread = Spread()
    lessons = learn_set([bent(0.25)])
    ash = cell(lessons)
    for other, share in (
        (cell(lessons, thickness="thin"), 1 - SHARES.cell),
        (cell(lessons, treatment="soak-steam"), SHARES.shop + SHARES.wood),
        (cell(lessons, wood=OTHER_WOODS), SHARES.shop + SHARES.treatment),
    ):
        assert other.shift == pytest.approx(share * ash.shift, rel=1e-6)
        assert ash.sd < other.sd < spread.set_species
        assert (other.trials, other.others) == (0, 1)
    assert (ash.trials, ash.others, ash.tried) == (1, 0, (0.05, 0.05))


def test_trials_of_one_run_count_for_less_than_of_two():
    one = cell(learn_set([bent(0.2, run="a"), bent(0.2, run="a", ratio=0.06)]))
    two = cell(learn_set([bent(0.2, run="a"), bent(0.2, run="b", ratio=0.06)]))
    assert two.sd < one.sd
    assert abs(two.shift) > abs(one.shift)
    assert two.tried == (0.05, 0.06)


def test_more_trials_narrow_the_band_towards_the_truth():
    sds, shifts = [], []
    for count in (1, 3, 9, 27):
        found = cell(learn_set([bent(0.2, run=str(i)) for i in range(count)]))
        sds.append(found.sd)
        shifts.append(found.shift)
    assert sds == sorted(sds, reverse=True)
    middle, scale = set_guess(0.05, 22.0)
    assert shifts[-1] == pytest.approx((logit(0.8) - middle) / scale, abs=0.1)


@pytest.mark.parametrize("lost", [0.0, -0.015, 0.01])
def test_near_full_set_only_an_upper_limit_is_learnt(lost):
    """The error is as large as the loss: no loss, or a seeming gain, is read as a small loss."""
    lessons = learn_set([bent(lost, run=str(i)) for i in range(3)])
    assert math.isfinite(cell(lessons).shift)
    assert cell(lessons).shift > 0.0
    for low, middle, high in lessons.at_ten_days:
        assert 0.0 < low < middle < high < 0.06


def test_a_loss_beyond_all_reason_leaves_numbers():
    lessons = learn_set([bent(0.99), bent(0.02, run="b"), bent(0.5, run="c")])
    assert all(math.isfinite(c.shift) and 0.0 < c.sd < 0.6 for c in lessons.cells)


def test_without_creep_the_time_of_reading_does_not_count():
    still = Creep(0.0, 0.0, 0.0)
    early, late = (learn_set([bent(0.1, hours=h)], creep=still) for h in (1.0, DAYS10))
    assert cell(early).shift == pytest.approx(cell(late).shift, abs=1e-6)


def test_an_early_reading_foretells_ten_days_with_a_wider_band():
    """The later it was read, the narrower; from one hour on a loss grows."""
    bands = {h: learn_set([bent(0.06, hours=h)]).at_ten_days[0] for h in (1.0, 24.0, DAYS10)}
    widths = {h: b.high / b.low for h, b in bands.items()}
    assert widths[1.0] > 1.5 * widths[24.0] > 1.5 * widths[DAYS10]
    assert bands[1.0].median > bands[24.0].median > bands[DAYS10].median
    assert bands[DAYS10].median == pytest.approx(0.06, abs=0.003)
    assert bands[1.0].low < 0.06 < 0.1 < bands[1.0].high


def test_pairs_of_readings_teach_the_shop_its_creep():
    grown = math.exp(0.25 * math.log(DAYS10))  # the truth: 0.25 per unit of ln(time)
    first = 0.02

    def pair(run):
        logit10 = logit(1 - first) - math.log(grown)
        readings = (Release(1.0, first, 0.001), Release(DAYS10, expit(-logit10), 0.001))
        return SetTrial("ash", "steam", 22.0, 0.05, 1.0, 1, readings, run)

    mean, sd = learn_set([pair(str(i)) for i in range(8)]).creep
    assert mean == pytest.approx(0.25, abs=0.03)
    assert sd < 0.35 * CREEP.sd


def test_readings_at_once_are_taken_as_made_soon_after():
    assert Release(0.0, 0.1, 0.01).creep_time == Release(0.1, 0.1, 0.01).creep_time
    assert Release(240.0, 0.1, 0.01).creep_time == 0.0


@pytest.mark.parametrize(
    "values", [(-1.0, 0.1, 0.01), (1.0, math.nan, 0.01), (1.0, 0.1, 0.0), (math.inf, 0.1, 0.1)]
)
def test_readings_that_cannot_be_are_refused(values):
    with pytest.raises(LayupError, match="a reading of"):
        Release(*values)


def test_strips_glued_in_a_stack_speak_through_its_own_springback():
    """Three strips lose a ninth of what one does; the same set shows as a ninth of the loss."""
    alone = cell(learn_set([bent(0.18, thickness=3.0)]), thickness="thin")
    stack = bent(0.02, thickness=3.0, lost_cold=1 / 9, strips=3)
    found = cell(learn_set([stack]), thickness="thin")
    assert found.shift * alone.shift > 0.0
    assert learn_set([stack]).at_ten_days[0].median == pytest.approx(0.02, abs=0.006)


@pytest.mark.parametrize(
    ("thickness", "word"), [(0.6, "thin"), (4.0, "thin"), (4.1, "middle"), (12.1, "thick")]
)
def test_classes_of_thickness(thickness, word):
    assert thickness_class(thickness) == word


def test_a_strip_of_no_thickness_has_no_class():
    with pytest.raises(LayupError):
        thickness_class(0.0)


def test_the_first_class_ends_where_the_guess_changes():
    assert set_guess(0.05, 4.0) != set_guess(0.05, 4.1)


# -- breaking ----------------------------------------------------------------------------
STANDS = hot_tension(kiln_dried=False)


def tried(strain, broken, board="a", **other):
    values = {"wood": "ash", "treatment": "steam", "face": "convex", "strips": 1} | other
    values.setdefault("capacity", STANDS)
    return BreakTrial(
        thickness=22.0, t_over_r=0.06, strain=strain, broken=broken, board=board, **values
    )


def lesson(trials, wood="ash", face="convex", treatment="steam"):
    key = (wood, treatment, "thick", face)
    return next(
        c for c in learn_breaks(trials) if (c.wood, c.treatment, c.thickness, c.face) == key
    )


def test_breaking_lowers_and_holding_raises_what_a_wood_stands():
    broke, held = lesson([tried(0.015, True)]), lesson([tried(0.019, False)])
    assert broke.shift < 0.0 < held.shift
    assert broke.sd < 1.0
    assert (broke.trials, broke.broken, held.broken) == (1, 1, 0)


def test_the_expected_teaches_little():
    gentle = lesson([tried(0.006, False)])
    assert abs(gentle.shift) < 0.02
    assert gentle.sd == pytest.approx(1.0, abs=0.01)


def test_a_gentle_strip_that_broke_is_put_down_to_mishap():
    """At a third of the median only a mishap breaks a strip, and that says nothing."""
    assert abs(lesson([tried(0.006, True)]).shift) < 0.25


def test_strips_of_one_board_count_for_less():
    one = [tried(0.018, False, "a") for _ in range(4)]
    four = [tried(0.018, False, board) for board in "abcd"]
    assert lesson(four).shift > lesson(one).shift
    assert lesson(four).sd < lesson(one).sd


def test_a_stack_that_held_says_more_than_one_strip():
    assert lesson([tried(0.018, False, strips=5)]).shift > lesson([tried(0.018, False)]).shift
    assert lesson([tried(0.014, True, strips=5)]).shift > lesson([tried(0.014, True)]).shift


def test_faces_and_cold_bends_are_kept_apart():
    crumpled = tried(0.25, True, face="concave", capacity=hot_compression(kiln_dried=False))
    cold = tried(0.02, False, treatment="cold")
    together = [tried(0.015, True), crumpled, cold]
    assert lesson(together).shift == pytest.approx(lesson([tried(0.015, True)]).shift)
    assert lesson(together, face="concave").shift == pytest.approx(
        lesson([crumpled], face="concave").shift
    )
    assert lesson(together, treatment="cold").others == 0


def test_other_woods_learn_their_share_of_breaking():
    found = [tried(0.015, True, b) for b in "abc"]
    ratio = lesson(found, wood=OTHER_WOODS).shift / lesson(found).shift
    assert ratio == pytest.approx(SHARES.shop + SHARES.treatment, rel=1e-6)


def test_breaking_agrees_with_a_million_shops():
    """Weighed draws from the prior; tolerance three times their error and 3 % of the method's."""
    trials = [tried(0.014, True, "a"), tried(0.017, False, "b"), tried(0.016, True, "c")]
    rng = np.random.default_rng(3)
    shift = rng.standard_normal(1_000_000)
    log = np.zeros(len(shift))
    for t in trials:
        u = STANDS.doubt * shift + STANDS.board * rng.standard_normal(len(shift))
        whole = np.log1p(-STANDS.mishap) + log_ndtr(
            (u - math.log(t.strain / STANDS.median)) / STANDS.strip
        )
        log += np.log(-np.expm1(whole)) if t.broken else whole
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    mean = float(weight @ shift)
    sd = math.sqrt(float(weight @ (shift - mean) ** 2))
    found = lesson(trials)
    assert found.shift == pytest.approx(mean, abs=0.03)
    assert found.sd == pytest.approx(sd, rel=0.03)
