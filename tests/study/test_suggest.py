"""The search: its figures are the plan's, its reasons are true, its frontier is exact."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest

from overbend.bend.breakage import chance_words
from overbend.plan import Plan, open_plan
from overbend.plan.steam import part_steam
from overbend.project import read
from overbend.study import ask_for, suggest, suggestion_data
from overbend.study.variant import clamps_of, fit_of, variant
from support.pace import quiet_seconds
from support.pieces import EXAMPLES, HEAD, LAMINATE, SOLID, plan_of

HOT = LAMINATE.replace('"laminate"', '"steam-laminate"')
TRIAL = '\n[made.t]\nkind = "trial"\npart = "slat"\nform_radius = 300\nreleased_radius = 330\n'


def part_of(*tables):
    return next(iter(plan_of(*tables).bent.values()))


@pytest.fixture(scope="module")
def hot():
    """Search of a part that may be worked cold or steamed."""
    part = part_of(HOT)
    return part, suggest(part, ask_for(part, step=0.1, tolerance=0.8))


# -- figures ------------------------------------------------------------------------------
@pytest.mark.parametrize("text", [LAMINATE, HOT, SOLID], ids=["cold", "steamed", "solid"])
def test_the_drawn_stack_has_the_plans_own_figures(text):
    part = part_of(text)
    found = suggest(part, ask_for(part, depth=part.part.depth, tolerance=0.05, step=0.5))
    figures = found.present.figures
    assert figures.springback == pytest.approx(part.springback, rel=1e-12)
    assert figures.breaks == pytest.approx(part.risk.worst.expected, rel=1e-12)
    assert (figures.breaks_low, figures.breaks_high) == (part.risk.worst.low, part.risk.worst.high)
    assert figures.verdict == part.risk.strain.verdict.word
    assert figures.mill == sum(s.mill for s in part.risk.spares)
    assert figures.strips == sum(s.count for s in part.strips)
    assert figures.scatter == pytest.approx(part.band.tip.one_form, rel=2e-3)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_loading_and_window_are_those_of_the_steam_plan(path):
    for part in open_plan(path).bent.values():
        if part.part.method == "laminate":
            continue
        loading = part_steam(part).loading
        fit = fit_of(part, clamps_of(part)[0])
        assert (fit.seconds, fit.low, fit.high) == (loading.seconds, loading.low, loading.high)
        assert fit.verdict == loading.verdict


def test_a_strapped_bundle_cools_as_one():
    bundle = "[part.bow.steam]\nbundle = true\n"
    loose, strapped = (part_of(HOT, *extra) for extra in ((), (bundle,)))
    assert fit_of(strapped, 4).low > 2.0 * fit_of(loose, 4).low
    loading = part_steam(strapped).loading
    assert fit_of(strapped, len(strapped.form.clamps)).seconds == loading.seconds


def test_wood_counts_spares_planing_and_saw_cuts():
    part = part_of(LAMINATE)
    found = suggest(part, ask_for(part, step=1.0))
    kerf, planing = part.project.shop.saw_kerf, part.project.shop.planer_allowance
    by_hand = sum(
        spares.mill * row.length * row.width * (row.thickness + planing + kerf)
        for row, spares in zip(part.strips, part.risk.spares, strict=True)
    )
    assert found.present.figures.wood == pytest.approx(by_hand, rel=1e-12)


def test_each_stack_has_its_own_form(hot):
    part, found = hot
    for c in found.candidates[1::9]:
        own = variant(part, c.stack)
        assert own.misfit < 0.05
        assert own.risk.worst.expected == pytest.approx(c.figures.breaks)
        assert own.part.method == c.stack.method


def test_cold_strips_keep_no_set_and_steamed_ones_do(hot):
    _, found = hot
    by_way = {c.stack.method: c for c in found.candidates if c.stack.count == 3}
    cold, warm = by_way["laminate"].figures, by_way["steam-laminate"].figures
    assert cold.springback > 2.0 * warm.springback
    assert cold.fit is None
    assert warm.fit is not None


# -- reasons ------------------------------------------------------------------------------
def test_reasons_are_exactly_the_limits_that_are_missed(hot):
    _, found = hot
    for c in found.candidates:
        f, ask = c.figures, found.ask
        missed = {
            "breaks": f.breaks > ask.risk,
            "spares": f.mill is None,
            "scatter": f.scatter > ask.scatter,
            "window": f.fit is not None and f.fit.verdict == "fails",
            "depth": abs(c.stack.depth - ask.depth) > ask.tolerance + 1e-6,
            "thin": min(c.stack.thickness) < ask.least,
        }
        assert {r.kind for r in c.reasons} == {kind for kind, is_so in missed.items() if is_so}
        assert c.meets == (not any(missed.values()))
    assert {c.meets for c in found.candidates} == {True, False}
    assert {r.kind for c in found.candidates for r in c.reasons} >= {"breaks", "window"}


def test_reasons_say_both_numbers(hot):
    _, found = hot
    texts = {r.kind: (r.text, c) for c in found.candidates for r in c.reasons}
    text, c = texts["breaks"]
    assert text == f"{chance_words(c.figures.breaks)} breaks, more than 1 in 20"
    text, c = texts["window"]
    assert f"{math.ceil(c.figures.fit.seconds)} s" in text
    assert f"{math.floor(c.figures.fit.high)} s" in text


def test_a_tighter_scatter_is_a_reason():
    part = part_of(LAMINATE)
    loose = suggest(part, ask_for(part, step=0.5)).meeting
    tight = suggest(part, ask_for(part, step=0.5, scatter=0.8))
    reasons = [r.text for c in tight.candidates for r in c.reasons if r.kind == "scatter"]
    assert reasons
    assert all("more than 0.8 mm" in text for text in reasons)
    assert {c.stack for c in tight.meeting} < {c.stack for c in loose}


def test_what_no_form_can_bend_is_a_reason_not_an_error():
    part = part_of(LAMINATE)
    found = suggest(part, ask_for(part, depth=640.0, tolerance=1.0, step=80.0))
    hopeless = [c for c in found.candidates if c.figures is None]
    assert hopeless
    for c in hopeless:
        assert c.reasons[0].kind == "bend"
        assert c.reasons[0].text.startswith("it cannot be bent: ")
        assert not c.unbeaten
    assert "depth" in {r.kind for r in found.present.reasons}


def test_a_drawn_stack_that_cannot_be_bent_does_not_stop_the_search():
    part = part_of(SOLID.replace("thickness = 11", "thickness = 700"))
    found = suggest(part, ask_for(part, depth=11.0, step=1.0, methods=["laminate"]))
    assert found.present.reasons[0].kind == "bend"
    assert found.meeting
    hot = suggest(part, ask_for(part, depth=11.0, step=0.5))
    assert any("one every 100 mm: assumed" in note for note in hot.notes)


def test_strips_that_break_without_end_have_no_wood_and_no_place_on_the_frontier():
    part = part_of(LAMINATE)
    found = suggest(part, ask_for(part, depth=60.0, tolerance=1.0, step=5.0))
    hopeless = [c for c in found.candidates if c.figures and c.figures.mill is None]
    assert hopeless
    assert all(c.figures.wood is None and not c.unbeaten for c in hopeless)
    assert all("spares" in {r.kind for r in c.reasons} for c in hopeless)


# -- the frontier -------------------------------------------------------------------------
def test_the_frontier_of_a_real_part_is_what_comparing_all_pairs_gives(hot):
    _, found = hot
    rows = np.array([c.costs for c in found.candidates])
    beaten = [any((o <= r).all() and (o < r).any() for o in rows) for r in rows]
    assert [not c.unbeaten for c in found.candidates] == beaten
    assert 1 < sum(beaten) < len(beaten)


def test_the_best_are_unbeaten_one_for_each_count_and_nearest_the_depth(hot):
    _, found = hot
    best = found.best()
    assert best
    counts = [(c.stack.method, c.stack.count) for c in best]
    lines = [c.stack.glue_lines for c in best]
    assert lines == sorted(lines)
    good = [c for c in found.candidates if c.meets and c.unbeaten]
    assert all(c in good for c in best)
    kinds = {(c.stack.method, c.stack.count) for c in good}
    assert len(set(counts)) == min(5, len(kinds))
    for c in best[:1]:
        same = [g for g in good if (g.stack.method, g.stack.count) == counts[0]]
        assert min(abs(g.stack.depth - found.ask.depth) for g in same) == pytest.approx(
            abs(c.stack.depth - found.ask.depth)
        )


def test_when_none_will_do_the_nearest_come_first():
    part = part_of(HOT)
    found = suggest(part, ask_for(part, step=0.5, scatter=0.05))

    def over(c):
        late = c.figures.fit.seconds / c.figures.fit.high if c.figures.fit else 0.0
        return round(max(c.figures.breaks / 0.05, c.figures.scatter / 0.05, late), 2)

    assert found.best() == ()
    near = found.nearest(40)
    assert set(near) == set(found.unbeaten)
    assert [over(c) for c in near] == sorted(over(c) for c in near)
    assert over(near[0]) < over(near[-1])
    assert found.nearest(2) == near[:2]


# -- what it rests on ---------------------------------------------------------------------
def test_a_trial_bend_is_taken_for_every_thickness():
    guess, tried = part_of(SOLID), part_of(SOLID, TRIAL)
    ask = ask_for(guess, step=0.5)
    a, b = suggest(guess, ask), suggest(tried, ask)
    assert any("known from your trial bend" in note for note in b.notes)
    assert any("a guess, assumed" in note for note in a.notes)
    for c in b.candidates:
        assert variant(tried, c.stack).set.median == pytest.approx(tried.set.median, rel=1e-6)
        assert variant(tried, c.stack).set.sd_logit == pytest.approx(tried.set.sd_logit, rel=1e-6)
    assert b.present.figures.springback != pytest.approx(a.present.figures.springback)


def test_a_typed_set_is_kept_for_steamed_strips_only():
    typed = HOT + "\n[part.bow.set]\nlow = 0.4\nmedian = 0.6\nhigh = 0.8\n"
    part = part_of(typed)
    sets = {
        c.stack.method: variant(part, c.stack).set.median
        for c in suggest(part, ask_for(part, step=1.0)).candidates
    }
    assert sets == {"steam-laminate": pytest.approx(0.6), "laminate": 0.0}


def test_what_is_made_already_is_left_out_and_said():
    made = '\n[made.s]\nkind = "strips"\npart = "bow"\nthickness = [2.8, 2.9]\n'
    part = part_of(LAMINATE, made)
    found = suggest(part, ask_for(part, step=1.0))
    assert any("already made" in note for note in found.notes)
    assert (
        found.present.figures.breaks
        == suggest(part_of(LAMINATE), ask_for(part_of(LAMINATE), step=1.0)).present.figures.breaks
    )


def test_a_line_drawn_on_a_face_moves_with_the_depth():
    text = LAMINATE.replace('curve = "bow"', 'curve = "bow"\nline = "inside"')
    part = part_of(text)
    thick = variant(part, suggest(part, ask_for(part, depth=14.0, step=1.0)).candidates[-1].stack)
    inside = part.target.curve.tightest[1], thick.target.curve.tightest[1]
    radii = [1 / k for k in inside]
    assert radii[1] - radii[0] == pytest.approx((thick.depth - part.depth) / 2, abs=0.01)


def test_the_drawn_curve_is_built_once(monkeypatch):
    part = part_of(LAMINATE)
    _ = part.drawn
    monkeypatch.setattr("overbend.plan.bent.build_curve", None)
    assert suggest(part, ask_for(part, step=1.0)).candidates[1].figures is not None


def test_other_steps_do_not_change_a_stacks_figures():
    part = part_of(LAMINATE)
    a, b = (suggest(part, ask_for(part, step=step)) for step in (0.5, 1.0))
    coarse = {c.stack: c.figures for c in b.candidates}
    shared = [c for c in a.candidates if c.stack in coarse]
    assert len(shared) > 2
    assert all(coarse[c.stack] == c.figures for c in shared)


# -- how it answers -----------------------------------------------------------------------
def test_progress_is_told():
    part, told = part_of(LAMINATE), []
    found = suggest(part, ask_for(part, step=1.0), lambda *row: told.append(row))
    total = len(found.candidates)
    assert [done for _, done, _ in told] == [*range(total), total]
    assert {of for _, _, of in told} == {total}


def test_the_demo_takes_seconds():
    part = open_plan(next(p for p in EXAMPLES if p.stem == "hearth-rocker")).bent["rocker"]
    found = []
    assert quiet_seconds(lambda: found.append(suggest(part)), 1) < 15.0
    assert len(found[0].candidates) > 20


def test_plain_data_is_complete_and_finite(hot):
    _, found = hot
    data = json.loads(json.dumps(suggestion_data(found), allow_nan=False))
    assert len(data["stacks"]) == len(found.candidates)
    picked = [data["stacks"][i] for i in data["best"]]
    assert [s["thickness_mm"] for s in picked] == [list(c.stack.thickness) for c in found.best()]
    assert data["stacks"][0]["drawn_now"] is True
    assert data["asked"]["chance_to_break"] == 0.05
    first = next(s for s in data["stacks"] if s["method"] == "steam-laminate")
    assert first["figures"]["loading"]["window_s"][0] > 0.0
    hopeless = replace(found.candidates[0], figures=None)
    bare = suggestion_data(replace(found, candidates=(hopeless, *found.candidates[1:])))
    assert bare["stacks"][0]["figures"] is None


def test_inches_are_said_in_inches():
    head = HEAD.replace('units = "mm"', 'units = "in"').replace("trim = 28", "trim = 1")
    text = head.replace("= 40", "= 2").replace("90", "4").replace("310", "12").replace("65", "3")
    bent = LAMINATE.replace("37", "1.5").replace("= 3\nc", '= "1/8"\nc').replace("4.5", '"3/16"')
    part = Plan(read(text + bent)).bent["bow"]
    found = suggest(part, ask_for(part, scatter=0.5, step=25.4 / 32))
    texts = [r.text for c in found.candidates for r in c.reasons if r.kind == "scatter"]
    assert texts
    assert all(text.endswith("in") for text in texts)
