"""Shops that make trial bends by the thousand: their true values are known, so the calibration
can be marked.

Every shop makes the same trials; what differs is the shop, its woods, runs, strips, boards and
readings. `Ways` says in which respect a shop departs from what the calibration assumes.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import expit

from overbend.bend import Spread, widening
from overbend.bend.calibrate import (
    CREEP,
    SHARES,
    BreakTrial,
    Release,
    SetTrial,
    break_belief,
    set_belief,
    set_guess,
    thickness_class,
)
from overbend.bend.capacity import hot_tension

SHOPS = 500
Z90 = 1.6448536269514722
ERROR = 0.012  # of a reading of the share lost: a radius known to about 1 %


@dataclass(frozen=True)
class Ways:
    """How shops behave; the defaults are what the calibration assumes.

    tails : degrees of freedom of Student's t for runs, strips and readings, at the same scale;
        0 is Gaussian.
    bias : added to every reading, in standard errors.
    slope : logit(phi) per doubling of thickness over radius, from 0.05.
    run : factor on the spread between steam runs.
    """

    tails: int = 0
    bias: float = 0.0
    slope: float = 0.0
    run: float = 1.0


def _trial(wood, thickness, ratio, strips, cold, hours, run, treatment="steam"):
    readings = tuple(Release(h, 0.0, ERROR) for h in hours)
    return SetTrial(wood, treatment, thickness, ratio, cold, strips, readings, run)


HOUR, DAY, REST = 1.0, 24.0, 240.0
SET_TRIALS = (
    _trial("ash", 22.0, 0.050, 1, 1.0, (HOUR, DAY, REST), "May 2"),
    _trial("ash", 20.0, 0.045, 1, 1.0, (HOUR,), "May 2"),
    _trial("ash", 25.0, 0.066, 1, 1.0, (DAY,), "May 9"),
    _trial("ash", 22.0, 0.055, 1, 1.0, (HOUR, REST), "May 23"),
    _trial("oak", 20.0, 0.040, 1, 1.0, (DAY, REST), "May 9"),
    _trial("oak", 24.0, 0.060, 1, 1.0, (HOUR,), "May 30"),
    _trial("ash", 3.2, 0.030, 1, 1.0, (DAY,), "May 23"),
    _trial("ash", 3.0, 0.024, 3, 0.111, (REST,), "May 30"),
    _trial("cherry", 8.0, 0.035, 1, 1.0, (HOUR, DAY), "June 6", "soak-steam"),
)
SET_CELLS = (
    ("ash", "steam", "thick"),
    ("oak", "steam", "thick"),
    ("ash", "steam", "thin"),
    ("cherry", "soak-steam", "middle"),
    ("elm", "steam", "thick"),
)
CELL_WORDS = ("4 trials", "2 trials", "2 trials, thin", "1 trial, soaked", "no trial, 9 others")


def levels(rng, keys, shops):
    """True shifts of cells in units of their spread, shape (shops, cells)."""

    def draw(names):
        order = list(dict.fromkeys(names))
        drawn = rng.standard_normal((shops, len(order)))
        return drawn[:, [order.index(n) for n in names]]

    woods, treatments, _ = zip(*keys, strict=True)
    of = SHARES
    return (
        np.sqrt(of.shop) * rng.standard_normal((shops, 1))
        + np.sqrt(of.treatment) * draw(treatments)
        + np.sqrt(of.wood) * draw(woods)
        + np.sqrt(of.cell) * draw(list(keys))
    )


@dataclass(frozen=True)
class Marks:
    """How often the nine-in-ten band held the truth, and how wide it was.

    inside, width : shape (cells,); width in the unit of what is marked.
    """

    inside: np.ndarray
    width: np.ndarray


def _marks(truth, low, high):
    return Marks(((truth >= low) & (truth <= high)).mean(axis=0), np.median(high - low, axis=0))


def mark_set(ways=Ways(), shops=SHOPS, seed=1):
    """Mark the calibration of set.

    Returns the marks of four things: the middle of each cell as a shift; the share that the next
    strip of each cell loses; the shares lost at ten days by the trials read after one hour only;
    the middle of the first cell asked for at 0.2 of thickness over radius, with its widening.
    """
    rng, spread = np.random.default_rng(seed), Spread()

    def draw(*shape):
        return rng.standard_t(ways.tails, shape) if ways.tails else rng.standard_normal(shape)

    keys = [(t.wood, t.treatment, thickness_class(t.thickness)) for t in SET_TRIALS]
    shift = spread.set_species * levels(rng, [*keys, *SET_CELLS], shops)
    runs = list(dict.fromkeys(t.run for t in SET_TRIALS))
    run = ways.run * spread.set_run * draw(shops, len(runs))
    creep = CREEP.mean + CREEP.sd * rng.standard_normal(shops)
    rest, lost = [], []
    for i, t in enumerate(SET_TRIALS):
        middle, scale = set_guess(t.t_over_r, t.thickness)
        strip = spread.set_strip / np.sqrt(t.strips) * draw(shops)
        x = middle + scale * (shift[:, i] + run[:, runs.index(t.run)] + strip)
        x += ways.slope * np.log2(t.t_over_r / 0.05)
        own = creep + CREEP.trial * draw(shops)
        rest.append(x)
        for r in t.readings:
            true = t.lost_cold * expit(-(x + own * r.creep_time))
            lost.append(true + r.sd * (draw(shops) + ways.bias))
    belief = set_belief(SET_TRIALS, SET_CELLS, np.stack(lost, axis=-1), spread)
    return _set_marks(belief, shift, np.stack(rest, axis=-1), draw, ways, len(lost))


def _set_marks(belief, shift, rest, draw, ways, read):
    spread, cells, shops = Spread(), len(SET_CELLS), len(shift)
    at = slice(read, read + cells)
    mean, sd = belief.mean[:, at], belief.sd[:, at]
    truth = shift[:, len(SET_TRIALS) :]
    middles = _marks(truth, mean - Z90 * sd, mean + Z90 * sd)

    thick = [22.0, 22.0, 3.1, 8.0, 22.0]
    guess = [set_guess(0.05, t) for t in thick]
    middle, scale = np.array(guess).T
    noise = ways.run * spread.set_run * draw(shops, cells) + spread.set_strip * draw(shops, cells)
    part = middle + scale * (truth + noise)
    whole = scale * np.sqrt(sd**2 + spread.set_run**2 + spread.set_strip**2)
    at_part = middle + scale * mean
    following = _marks(
        expit(-part), expit(-(at_part + Z90 * whole)), expit(-(at_part - Z90 * whole))
    )

    early = [i for i, t in enumerate(SET_TRIALS) if [r.after_hours for r in t.readings] == [HOUR]]
    late = slice(read + cells + 1, None)
    x, dx = belief.mean[:, late][:, early], belief.sd[:, late][:, early]
    hour = _marks(expit(-rest[:, early]), expit(-(x + Z90 * dx)), expit(-(x - Z90 * dx)))

    tried = [t.t_over_r for t in SET_TRIALS[:4]]
    wide = widening(0.2, (min(tried), max(tried)))
    far_truth = truth[:, 0] + ways.slope * np.log2(0.2 / 0.05) / guess[0][1]
    reach = Z90 * np.minimum(wide * sd[:, 0], np.hypot(spread.set_species, mean[:, 0]))
    far = _marks(far_truth[:, None], (mean[:, 0] - reach)[:, None], (mean[:, 0] + reach)[:, None])
    return middles, following, hour, far


STANDS = hot_tension(kiln_dried=False, unbroken=0.67)
STRAINS = (0.010, 0.013, 0.015, 0.016, 0.017, 0.019, 0.012, 0.018, 0.0155, 0.021)
BREAK_TRIALS = tuple(
    BreakTrial(
        "ash" if i < 6 else "oak", "steam", 22.0, 0.06, "convex", strain, STANDS, 1, False, board
    )
    for i, (strain, board) in enumerate(zip(STRAINS, "aabbcddeef", strict=True))
)
BREAK_CELLS = (("ash", "steam", "thick"), ("oak", "steam", "thick"), ("elm", "steam", "thick"))
BREAK_WORDS = ("6 trials", "4 trials", "no trial, 10 others")


def mark_breaks(ways=Ways(), shops=SHOPS, seed=1, mishap=1.0):
    """Mark the calibration of the strain that strips stand, as a factor on the median.

    mishap : factor on the share lost whatever the strain.
    """
    rng = np.random.default_rng(seed)

    def draw(*shape):
        return rng.standard_t(ways.tails, shape) if ways.tails else rng.standard_normal(shape)

    keys = [(t.wood, t.treatment, "thick") for t in BREAK_TRIALS]
    shift = levels(rng, [*keys, *BREAK_CELLS], shops)
    names = [(t.wood, t.board) for t in BREAK_TRIALS]
    boards = list(dict.fromkeys(names))
    board = STANDS.board * draw(shops, len(boards))[:, [boards.index(n) for n in names]]
    strip = STANDS.strip * draw(shops, len(BREAK_TRIALS))
    strength = STANDS.doubt * shift[:, : len(BREAK_TRIALS)] + board + strip
    strained = np.log([t.strain / STANDS.median for t in BREAK_TRIALS]) > strength
    unlucky = rng.random(strained.shape) < mishap * STANDS.mishap
    belief = break_belief(BREAK_TRIALS, BREAK_CELLS, strained | unlucky)
    at = slice(len(BREAK_TRIALS), None)
    mean, sd = belief.mean[:, at], belief.sd[:, at]
    truth = np.exp(STANDS.doubt * shift[:, len(BREAK_TRIALS) :])
    low, high = (np.exp(STANDS.doubt * (mean + s * Z90 * sd)) for s in (-1.0, 1.0))
    return _marks(truth, low, high)
