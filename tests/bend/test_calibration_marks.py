"""Five hundred simulated shops mark the calibration; the page shows what they found.

Run this file to write the tables of docs/design-notes/calibration.md anew.
"""

import math
from functools import cache
from pathlib import Path

import pytest

from overbend.bend import Spread
from support.doc_tables import alike, shown, table, write
from support.simulated_shops import (
    BREAK_WORDS,
    CELL_WORDS,
    SHOPS,
    STANDS,
    Z90,
    Ways,
    mark_breaks,
    mark_set,
)

PAGE = Path(__file__).parents[2] / "docs" / "design-notes" / "calibration.md"
WITHIN = 1.0  # in the tables' last shown units; another processor may tip a shop over an edge

SET_WAYS = {
    "as assumed": Ways(),
    "heavy tails: Student's t of 3 for runs, strips, readings": Ways(tails=3),
    "every reading 2 standard errors too large a loss": Ways(bias=2.0),
    "set grows with t/R: logit + 0.5 per doubling": Ways(slope=0.5),
    "runs twice as different as assumed": Ways(run=2.0),
    "runs half as different as assumed": Ways(run=0.5),
}
BREAK_WAYS = {
    "as assumed": (Ways(), 1.0),
    "heavy tails: Student's t of 3 for boards and strips": (Ways(tails=3), 1.0),
    "three times the mishaps": (Ways(), 3.0),
    "no mishaps": (Ways(), 0.0),
}
set_marks = cache(lambda words: mark_set(SET_WAYS[words]))
break_marks = cache(lambda words: mark_breaks(BREAK_WAYS[words][0], mishap=BREAK_WAYS[words][1]))


def percent(share):
    return f"{100 * share:.0f} %"


def set_table():
    """Middle of each cell, in logit(phi) over the scale: coverage and width of the band."""
    rows = []
    for words in SET_WAYS:
        middles = set_marks(words)[0]
        cells = [
            f"{percent(i)} ({w:.1f})" for i, w in zip(middles.inside, middles.width, strict=True)
        ]
        rows.append([words, *cells])
    return table(["shops", *CELL_WORDS], rows)


def part_table():
    """What a maker asks: the next part, a trial at ten days, a bend far away."""
    rows = []
    for words in SET_WAYS:
        _, following, hour, far = set_marks(words)
        rows.append([
            words,
            *(f"{percent(following.inside[i])} ({100 * following.width[i]:.0f})" for i in (0, 4)),
            f"{percent(hour.inside.mean())} ({100 * hour.width.mean():.0f})",
            f"{percent(far.inside[0])} ({far.width[0]:.1f})",
        ])  # fmt: skip
    head = ["shops", "next part, 4 trials", "next part, no trial, 9 others",
            "ten days, from one hour", "four times sharper than tried"]  # fmt: skip
    return table(head, rows)


def break_table():
    """Factor on the median strain: coverage and width of the band."""
    rows = []
    for words in BREAK_WAYS:
        found = break_marks(words)
        pairs = zip(found.inside, found.width, strict=True)
        rows.append([words, *(f"{percent(inside)} ({width:.2f})" for inside, width in pairs)])
    return table(["shops", *BREAK_WORDS], rows)


TABLES = {"set": set_table, "parts": part_table, "breaks": break_table}


@pytest.mark.parametrize("name", TABLES)
def test_the_page_shows_what_the_shops_found(name):
    assert alike(shown(PAGE, name), TABLES[name](), WITHIN), "run this file to write it anew"


def test_shops_as_assumed_recover_their_true_set():
    """500 shops: a share of 0.90 has a standard error of 0.013, so 0.85 to 0.95 is 3.7 of it."""
    assert SHOPS == 500
    middles, following, hour, _ = set_marks("as assumed")
    for found in (middles, following, hour):
        assert (found.inside >= 0.85).all()
        assert (found.inside <= 0.95).all()


def test_shops_as_assumed_recover_what_their_wood_stands():
    found = break_marks("as assumed")
    assert (found.inside >= 0.85).all()
    assert (found.inside <= 0.95).all()


def test_trials_narrow_the_band():
    """Against the 90 % width without any trial, which the page tells."""
    page = PAGE.read_text(encoding="utf-8")
    blank = 2 * Z90 * Spread().set_species
    assert f"without any trial the\nwidth is {blank:.1f}" in page.casefold()
    assert f"without any trial the width is {2 * math.sinh(Z90 * STANDS.doubt):.2f}" in page
    middles = set_marks("as assumed")[0]
    assert middles.width[0] < 0.55 * blank
    assert middles.width[0] < middles.width[1] < middles.width[3] < middles.width[4]
    width = break_marks("as assumed").width
    assert width[0] < width[1] < width[2]


def test_the_widened_band_covers_a_set_that_depends_on_the_bend_better_than_the_bare_one():
    found = set_marks("set grows with t/R: logit + 0.5 per doubling")
    assert found[3].inside[0] > 0.6
    assert found[3].width[0] > 1.9 * found[0].width[0]


if __name__ == "__main__":
    write(PAGE, TABLES)
