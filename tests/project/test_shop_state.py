"""What a shop has learnt, as the plan asks for it."""

import math

import pytest

from overbend.bend import Spread
from overbend.bend.calibrate import (
    BreakTrial,
    Release,
    SetTrial,
    learn_breaks,
    learn_set,
    set_guess,
)
from overbend.bend.capacity import hot_tension
from overbend.errors import LayupError
from overbend.project.shop_state import ShopState

STANDS = hot_tension(kiln_dried=True)


def lost(share, run, ratio=0.05):
    reading = Release(240.0, share, 0.01)
    return SetTrial("white-ash", "steam", 22.0, ratio, 1.0, 1, (reading,), run)


SETS = learn_set([lost(0.16, "a"), lost(0.2, "b", 0.06), lost(0.14, "c", 0.045)]).cells
BREAKS = learn_breaks([
    BreakTrial("white-ash", "steam", 22.0, 0.06, "convex", 0.012, STANDS, 1, True, board)
    for board in "abc"
])  # fmt: skip
STATE = ShopState(SETS, BREAKS)


def logit(p):
    return math.log(p / (1 - p))


def test_an_empty_shop_knows_nothing():
    assert ShopState().set_for("white-ash", "steam", 22.0, 0.05) is None
    assert ShopState().break_strain_for("white-ash", "steam", 22.0, 0.05) is None


def test_cold_strips_have_no_set_to_learn():
    assert STATE.set_for("white-ash", "cold", 3.0, 0.01) is None


def test_what_was_learnt_lies_between_guess_and_trials():
    found = STATE.set_for("white-ash", "steam", 22.0, 0.05)
    middle, scale = set_guess(0.05, 22.0)
    assert logit(1 - 0.17) < logit(found.median) < middle
    assert found.sd_logit < scale * Spread().set_sd
    assert (found.trials, found.others, found.widening) == (3, 0, 1.0)
    assert found.words == "3 trial bends of white-ash (steam, thick)"


def test_a_wood_not_tried_learns_from_the_others():
    ash, elm = (STATE.set_for(w, "steam", 22.0, 0.05) for w in ("white-ash", "american-elm"))
    guess = 1 / (1 + math.exp(-set_guess(0.05, 22.0)[0]))
    assert ash.median < elm.median < guess
    assert elm.sd_logit > ash.sd_logit
    assert (elm.trials, elm.others) == (0, 3)
    assert elm.words.startswith("no trial bend of american-elm (steam, thick), 3 trial bends of")


def test_the_levels_make_up_the_whole():
    found = STATE.set_for("white-ash", "steam", 22.0, 0.05)
    spread = found.spread(Spread(modulus_board=0.3))
    assert spread.set_sd == pytest.approx(found.sd_logit)
    assert spread.modulus_board == 0.3
    assert spread.set_run / spread.set_strip == pytest.approx(Spread().set_run / Spread().set_strip)


@pytest.mark.parametrize(
    ("ratio", "word"), [(0.12, "2.0 times sharper"), (0.0225, "2.0 times gentler")]
)
def test_far_from_the_trials_the_band_widens_and_says_so(ratio, word):
    near, far = (STATE.set_for("white-ash", "steam", 22.0, r) for r in (0.05, ratio))
    assert far.sd_logit > near.sd_logit
    assert word in far.words
    assert far.spread(Spread()).set_sd == pytest.approx(far.sd_logit)


def test_widening_ends_where_guess_and_shift_are_covered():
    sds = [STATE.set_for("white-ash", "steam", 22.0, r).sd_logit for r in (0.2, 0.8, 1.6)]
    middle, scale = set_guess(1.6, 22.0)
    shift = logit(STATE.set_for("white-ash", "steam", 22.0, 1.6).median) - middle
    assert sds[1] == sds[2] == pytest.approx(math.hypot(scale * Spread().set_sd, shift))


def test_just_past_the_edge_is_not_worth_a_word():
    assert "times" not in STATE.set_for("white-ash", "steam", 22.0, 0.0605).words


def test_a_wood_that_broke_is_thought_weaker_and_better_known():
    found = STATE.break_strain_for("white-ash", "steam", 22.0, 0.06)
    corrected = found.of(STANDS)
    assert corrected.median < STANDS.median
    assert corrected.doubt < STANDS.doubt
    assert (corrected.board, corrected.strip, corrected.mishap) == (
        STANDS.board,
        STANDS.strip,
        STANDS.mishap,
    )
    assert corrected.sources[-1] == "corrected by 3 trial bends of white-ash (steam, thick)"
    far = STATE.break_strain_for("white-ash", "steam", 22.0, 0.24)
    assert found.doubt < far.doubt <= math.hypot(1.0, far.shift)


def test_only_the_face_that_was_tried_is_learnt():
    assert STATE.break_strain_for("white-ash", "steam", 22.0, 0.06, "concave") is None
    assert STATE.break_strain_for("white-ash", "cold", 3.0, 0.01) is None


def test_a_straight_part_has_nothing_to_learn():
    assert STATE.set_for("white-ash", "steam", 22.0, 0.0) is None
    assert STATE.break_strain_for("white-ash", "steam", 22.0, 0.0) is None


def test_a_strip_of_no_thickness_is_refused():
    with pytest.raises(LayupError):
        STATE.set_for("white-ash", "steam", 0.0, 0.05)
