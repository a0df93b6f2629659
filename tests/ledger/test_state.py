"""From the ledger to what the plan may use."""

import pytest

from overbend.bend.calibrate import learn_set
from overbend.ledger import Board, Form, Measurement, fitted, lost_at_ten_days, shop_state
from overbend.ledger.evidence import lost_without_set, set_trials


def off(radius, hours=240.0):
    return (Measurement(after_hours=hours, radius=radius),)


@pytest.fixture
def tried(ledger, trial):
    """Three ash bends that lost more than guessed, one broken, a cold stack, one left out."""
    for day, radius in (("01", 452.0), ("08", 468.0), ("15", 460.0)):
        ledger.add(trial(measurements=off(radius), bent_on=f"2026-05-{day}"))
    ledger.add(trial(measurements=(), broken=True, form_radius=240.0, bent_on="2026-05-15"))
    cold = {"treatment": "cold", "thickness": 3.0, "plies": 4, "form_radius": 500.0}
    ledger.add(trial(**cold, measurements=off(530.0)))
    ledger.add(trial(**cold | {"treatment": "steam"}, measurements=off(570.0)))
    return ledger


def test_an_empty_ledger_teaches_nothing(ledger):
    state, fit = shop_state(ledger), fitted(ledger)
    assert state.set_for("white-ash", "steam", 20.0, 0.05) is None
    assert state.breaks == ()
    assert (fit.trials, fit.sets, fit.breaks, fit.left_out) == (0, (), (), ())
    assert lost_at_ten_days(ledger) == {}


def test_the_state_is_what_the_kernel_learns(tried):
    state = shop_state(tried)
    from overbend.ledger import Trial

    said = [s for _, s in set_trials(t for _, t in tried.all_of(Trial))]
    assert len(said) == 3
    assert state.sets == learn_set(said).cells
    learnt = state.set_for("white-ash", "steam", 20.0, 0.05)
    assert (learnt.trials, learnt.others) == (3, 0)
    assert 0.8 < learnt.median < 0.92
    assert state.source == "6 trial bends in the ledger shop.sqlite"


def test_breaking_is_learnt_cold_and_hot(tried):
    state = shop_state(tried)
    hot = state.break_strain_for("white-ash", "steam", 20.0, 0.05)
    cold = state.break_strain_for("white-ash", "cold", 3.0, 0.006)
    assert (hot.trials, cold.trials) == (4, 1)
    assert cold.shift > 0.0


def test_what_is_in_the_rack(ledger):
    lying = Board(species="white-ash", length=900.0, width=90.0, thickness=27.0, place="wall")
    gone = lying.model_copy(update={"uid": "b" * 32, "out_on": "2026-05-01"})
    for record in (
        lying,
        gone,
        Form(name="slat", radius=390.0),
        Form(name="old", gone_on="2026-01-05"),
    ):
        ledger.add(record)
    state = shop_state(ledger)
    assert [(b.name, b.place) for b in state.boards] == [("board 1", "wall")]
    assert [(f.name, f.radius) for f in state.forms] == [("slat", 390.0)]


def test_the_fit_sets_guess_and_learnt_side_by_side(tried):
    fit = fitted(tried)
    assert fit.trials == 6
    (ash,) = fit.sets
    assert (ash.wood, ash.treatment, ash.thickness) == ("white-ash", "steam", "thick")
    assert [number for number, _ in ash.trials] == [1, 2, 3]
    assert ash.learnt.sd_logit < ash.guess[1]
    (left,) = fit.left_out
    assert (left.number, left.after_hours) == (6, 240.0)
    assert {(b.treatment, b.thickness): (b.trials, b.broken) for b in fit.breaks} == {
        ("cold", "thin"): (1, 0),
        ("steam", "thick"): (4, 1),
        ("steam", "thin"): (1, 0),
    }


def test_marks_in_the_fit_are_of_one_strip(ledger, trial):
    stack = trial(thickness=5.0, plies=3, measurements=off(398.0))
    number = ledger.add(stack)
    (cell,) = fitted(ledger).sets
    whole = lost_at_ten_days(ledger)[number]
    ((_, single),) = cell.trials
    assert single.median == pytest.approx(whole.median / lost_without_set(stack))
