r"""What trial bends teach: the set strips keep, and the strain they stand.

Set lives on the scale ``logit(phi) = ln(phi / (1 - phi))``, where the guess before any trial is
Gaussian (:func:`overbend.bend.spread.set_prior`). The ten-day set of one trial is::

    logit(phi) = guess + s (shop + treatment + wood + cell + run + strips)

s being the guess's standard deviation over the usual one; a *cell* is a wood, a treatment and
a class of thickness. The four first terms are what is learnt; their variances share that of
:class:`overbend.bend.spread.Spread` ``set_species``. So a trial of one wood moves the others of
its shop too, by as much as the shares say. What is read after a time h creeps on to ten days::

    logit(phi at h) = logit(phi) + (creep + creep of this trial) ln(10 days / h)

The strain strips stand is learnt the same way, as a shift of the median's logarithm in units of
its doubt (:class:`overbend.bend.capacity.Capacity`), from which strips broke and which did not.

Readings enter as the share of the bend that was lost, with its error: near phi = 1, where the
error is as large as the loss, only an upper limit of the loss is learnt, as it should be.
See :mod:`overbend.bend.belief` for how, and ``docs/design-notes/calibration.md`` for how well.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from overbend.bend.band import Range
from overbend.bend.belief import Belief, learn
from overbend.bend.capacity import Capacity
from overbend.bend.spread import Spread, set_prior
from overbend.curve import Floats
from overbend.errors import LayupError

__all__ = [
    "CREEP",
    "FACES",
    "OTHER_WOODS",
    "SHARES",
    "STEAMED",
    "TEN_DAYS",
    "TREATMENTS",
    "BreakLesson",
    "BreakTrial",
    "Creep",
    "Face",
    "Lesson",
    "Release",
    "SetLesson",
    "SetLessons",
    "SetTrial",
    "Shares",
    "Thickness",
    "Treatment",
    "break_belief",
    "learn_breaks",
    "learn_set",
    "set_belief",
    "set_guess",
    "thickness_class",
]

Treatment = Literal["cold", "steam", "soak-steam"]
Thickness = Literal["thin", "middle", "thick"]
Face = Literal["convex", "concave"]

TREATMENTS: tuple[Treatment, ...] = ("cold", "steam", "soak-steam")
STEAMED: tuple[Treatment, ...] = ("steam", "soak-steam")
FACES: tuple[Face, ...] = ("convex", "concave")
_CLASSES: tuple[tuple[Thickness, float], ...] = (
    ("thin", 4.0),
    ("middle", 12.0),
    ("thick", math.inf),
)  # mm, upper ends. The first is that of set_prior; the other our choice

OTHER_WOODS = ""
"""Stands for every wood that no trial was made of."""

TEN_DAYS = 240.0
"""Hours after release at which a part counts as at rest."""

_SOONEST = 0.1  # hours; readings at once are taken as made then
_Z90 = 1.6448536269514722


@dataclass(frozen=True)
class Shares:
    """How the variance between woods and shops divides. Assumed.

    Parameters
    ----------
    shop : common to all that a shop does.
    treatment : common to one treatment.
    wood : common to one wood.
    cell : of a wood in one treatment and class of thickness.
    """

    shop: float = 0.35
    treatment: float = 0.15
    wood: float = 0.25
    cell: float = 0.25


SHARES = Shares()


@dataclass(frozen=True)
class Creep:
    """How the set goes on changing after release, per unit of ln(time). Assumed, and wide.

    No run of readings of steamed wood was at hand. Bends of pre-compressed beech lost more
    between the first and the tenth day than this says; see ``docs/design-notes/calibration.md``.

    Parameters
    ----------
    mean : of the shop's own rate, in logit(phi); positive opens the bend.
    sd : of the shop's own rate.
    trial : standard deviation between trials.

    Examples
    --------
    Between one hour and ten days a loss of a few per cent grows by about

    >>> f"{math.exp(Creep().mean * math.log(240.0)):.2f}"
    '1.73'
    """

    mean: float = 0.10
    sd: float = 0.08
    trial: float = 0.05


CREEP = Creep()


# -- evidence ----------------------------------------------------------------------------
@dataclass(frozen=True)
class Release:
    """One reading of what came off the form.

    Parameters
    ----------
    after_hours : time from release to reading [h], >= 0.
    lost : share of the bend that was lost, the springback fraction w.
    sd : its standard error, > 0.
    """

    after_hours: float
    lost: float
    sd: float

    def __post_init__(self) -> None:
        values = (self.after_hours, self.lost, self.sd)
        if not (all(map(math.isfinite, values)) and self.after_hours >= 0.0 and self.sd > 0.0):
            raise LayupError(
                f"a reading of {self.lost:g} with an error of {self.sd:g} after "
                f"{self.after_hours:g} h",
                allowed="numbers, a time of zero or more and an error above zero",
            )

    @property
    def creep_time(self) -> float:
        """ln(ten days / time of the reading)."""
        return math.log(TEN_DAYS / max(self.after_hours, _SOONEST))


@dataclass(frozen=True)
class SetTrial:
    """A trial bend of steamed strips, as far as their set goes.

    Parameters
    ----------
    wood : name of the wood.
    treatment : ``steam`` or ``soak-steam``.
    thickness : of a strip [mm].
    t_over_r : thickness over mid radius on the form.
    lost_cold : share of the bend that the same strips would lose without any set; 1 for one
        strip on its own.
    strips : how many strips; their own differences average out.
    readings : what was read, at least one.
    run : steam run it belongs to; trials of one run agree.
    """

    wood: str
    treatment: Treatment
    thickness: float
    t_over_r: float
    lost_cold: float
    strips: int
    readings: tuple[Release, ...]
    run: str

    @property
    def guess(self) -> tuple[float, float]:
        """Guess for logit(phi) before any trial, and its scale against the usual spread."""
        return set_guess(self.t_over_r, self.thickness)


@dataclass(frozen=True)
class BreakTrial:
    """A trial bend, as far as breaking goes, in the face that was likeliest to give way.

    Parameters
    ----------
    wood, treatment, thickness, t_over_r : as for :class:`SetTrial`; cold bends count too.
    face : ``convex`` would tear, ``concave`` would crumple.
    strain : of that face on the form, > 0.
    capacity : what that face was thought to stand.
    strips : how many strips were bent; broken means that at least one broke.
    broken : whether it broke.
    board : board it was cut from; trials of one board agree.
    """

    wood: str
    treatment: Treatment
    thickness: float
    t_over_r: float
    face: Face
    strain: float
    capacity: Capacity
    strips: int
    broken: bool
    board: str


# -- lessons -----------------------------------------------------------------------------
@dataclass(frozen=True)
class Lesson:
    """What was learnt about one cell.

    Parameters
    ----------
    wood : name, or `OTHER_WOODS`.
    treatment, thickness : of the cell.
    shift : how far its middle lies from the guess, see the two kinds of lesson.
    sd : how well that is known, in the same unit; it is `before` without any trial.
    before : the same before any trial.
    trials : trial bends of this cell; others : those of other cells that bear on it.
    tried : least and greatest thickness over radius among the cell's trials; of all where
        there are none.
    """

    wood: str
    treatment: Treatment
    thickness: Thickness
    shift: float
    sd: float
    before: float
    trials: int
    others: int
    tried: tuple[float, float]


@dataclass(frozen=True)
class SetLesson(Lesson):
    """Set of a cell: the shift is that of logit(phi) at ten days, in units of the scale s."""


@dataclass(frozen=True)
class BreakLesson(Lesson):
    """Strain a cell stands: the shift is that of the median's logarithm, in units of its doubt.

    Parameters
    ----------
    face : which face gives way.
    broken : how many of the cell's trials broke.
    """

    face: Face
    broken: int


@dataclass(frozen=True)
class SetLessons:
    """What all set trials teach together.

    Parameters
    ----------
    cells : one lesson for each wood, treatment and class; `OTHER_WOODS` among them.
    creep : of the shop, with its standard deviation, see :class:`Creep`.
    at_ten_days : share of its bend that each trial has lost at ten days, in order.
    """

    cells: tuple[SetLesson, ...]
    creep: tuple[float, float]
    at_ten_days: tuple[Range, ...]


# -- set ---------------------------------------------------------------------------------
def thickness_class(thickness: float) -> Thickness:
    """Class of thickness: thin up to 4 mm, middle up to 12 mm, thick above. Our choice.

    Examples
    --------
    >>> thickness_class(3.2), thickness_class(12.0), thickness_class(25.0)
    ('thin', 'middle', 'thick')
    """
    if not thickness > 0.0:
        raise LayupError(f"a strip {thickness:g} mm thick", allowed="a thickness above zero")
    return next(name for name, end in _CLASSES if thickness <= end)


def set_guess(t_over_r: float, thickness: float) -> tuple[float, float]:
    """Guess for logit(phi) of steamed strips, and the scale s of its spread.

    Examples
    --------
    >>> middle, scale = set_guess(25 / 400, 25.0)
    >>> round(middle, 3), round(scale, 3)
    (2.442, 1.003)
    """
    median, sd = set_prior("steam", t_over_r, thickness)
    return math.log(median / (1.0 - median)), sd / Spread().set_sd


def learn_set(
    trials: Sequence[SetTrial], spread: Spread | None = None, creep: Creep = CREEP
) -> SetLessons:
    """Learn set from trial bends of one shop.

    Parameters
    ----------
    trials : steamed trial bends with readings.
    spread : standard deviations of set by level; None: the assumed ones.
    creep : how the set changes after release.

    Returns
    -------
    SetLessons
        Empty without trials.

    Examples
    --------
    A 20 mm strip that lost 20 % where about 8 % was expected; ash is learnt from it, and other
    woods less so.

    >>> reading = Release(240.0, 0.20, 0.01)
    >>> trial = SetTrial("white-ash", "steam", 20.0, 0.05, 1.0, 1, (reading,), "May")
    >>> lessons = learn_set([trial]).cells
    >>> ash, other = (
    ...     next(c for c in lessons if (c.wood, c.treatment, c.thickness) == (w, "steam", "thick"))
    ...     for w in ("white-ash", OTHER_WOODS)
    ... )
    >>> round(ash.shift, 2), round(ash.sd, 2), round(other.shift, 2), round(other.sd, 2)
    (-0.52, 0.43, -0.26, 0.56)
    """
    of = Spread() if spread is None else spread
    if not trials:
        return SetLessons((), (creep.mean, creep.sd), ())
    cells = _cells([(t.wood, t.treatment, t.thickness) for t in trials], STEAMED)
    belief = set_belief(trials, cells, spread=of, creep=creep)
    read = sum(len(t.readings) for t in trials)
    mean, sd = belief.mean[read:], belief.sd[read:]
    end = len(cells)
    lessons = tuple(
        SetLesson(*cell, float(m), float(s), of.set_species, *_counts(cell, trials))
        for cell, m, s in zip(cells, mean[:end], sd[:end], strict=True)
    )
    losses = tuple(
        _lost(t.lost_cold, float(m), float(s))
        for t, m, s in zip(trials, mean[end + 1 :], sd[end + 1 :], strict=True)
    )
    return SetLessons(lessons, (float(mean[end]), float(sd[end])), losses)


def set_belief(
    trials: Sequence[SetTrial],
    cells: Sequence[tuple[str, Treatment, Thickness]],
    lost: ArrayLike | None = None,
    spread: Spread | None = None,
    creep: Creep = CREEP,
) -> Belief:
    """Belief about readings, cells, creep and trials, in this order.

    Parameters
    ----------
    trials : trial bends; their readings come first, trial by trial, as logit(phi) when read.
    cells : cells asked about; they come next, as shifts.
    lost : what was read, shape (..., readings), for shops that all made these same trials;
        None: what the trials say.
    spread, creep : as for :func:`learn_set`.

    Returns
    -------
    Belief
        After the cells stands the shop's creep, then logit(phi) at ten days of each trial.
    """
    of = Spread() if spread is None else spread
    points = [
        *(_trial_point(t, i, r.creep_time) for i, t in enumerate(trials) for r in t.readings),
        *(_cell_point(cell) for cell in cells),
        _Point(mean=0.0, time=1.0),
        *(_trial_point(t, i, 0.0) for i, t in enumerate(trials)),
    ]
    readings = [(r, t.lost_cold) for t in trials for r in t.readings]
    read = np.array([r.lost for r, _ in readings]) if lost is None else np.asarray(lost, float)
    error = np.array([r.sd for r, _ in readings])[:, None]
    cold = np.array([c for _, c in readings])[:, None]

    def log_likelihood(u: Floats) -> Floats:
        return np.asarray(-0.5 * ((read[..., None] - cold * _share(-u)) / error) ** 2)

    return learn(_set_prior(points, of, creep), log_likelihood, len(readings))


@dataclass(frozen=True)
class _Point:
    """One quantity: its mean, how much of each term it has, and with whom it shares them."""

    mean: float
    scale: float = 0.0
    run: float = 0.0
    strip: float = 0.0
    time: float = 0.0
    names: tuple[Hashable, ...] = (None,) * 5  # treatment, wood, cell, run, trial


def _trial_point(trial: SetTrial, index: int, time: float) -> _Point:
    mean, scale = trial.guess
    cell = (trial.wood, trial.treatment, thickness_class(trial.thickness))
    names = (trial.treatment, trial.wood, cell, trial.run, index)
    return _Point(mean, scale, scale, scale / math.sqrt(trial.strips), time, names)


def _cell_point(cell: tuple[str, Treatment, Thickness]) -> _Point:
    return _Point(0.0, 1.0, names=(cell[1], cell[0], cell, None, None))


def _set_prior(points: Sequence[_Point], of: Spread, creep: Creep) -> Belief:
    """Belief before any reading."""

    def column(name: str) -> Floats:
        return np.array([getattr(p, name) for p in points])

    treatment, wood, cell, run, trial = (_same(p.names[i] for p in points) for i in range(5))
    scale, time = column("scale"), column("time")
    cov = of.set_species**2 * np.outer(scale, scale) * _level(treatment, wood, cell)
    for name, sd, same in (("run", of.set_run, run), ("strip", of.set_strip, trial)):
        cov += sd**2 * np.outer(column(name), column(name)) * same
    cov += np.outer(time, time) * (creep.sd**2 + creep.trial**2 * trial)
    return Belief(column("mean") + creep.mean * time, np.asarray(cov))


def _level(treatment: NDArray[Any], wood: NDArray[Any], cell: NDArray[Any]) -> Floats:
    """Correlation between cells, from the shares of variance."""
    of = SHARES
    return np.asarray(of.shop + of.treatment * treatment + of.wood * wood + of.cell * cell)


def _same(names: Iterable[Hashable]) -> NDArray[np.bool_]:
    """Whether two quantities bear the same name; None is nobody's name."""
    listed = list(names)
    codes: dict[Hashable, int] = {}
    numbers = np.array([codes.setdefault(n, len(codes)) for n in listed])
    named = np.array([n is not None for n in listed])
    return np.asarray((numbers[:, None] == numbers) & named)


def _lost(cold: float, mean: float, sd: float) -> Range:
    """Share of the bend lost, from logit(phi)."""
    return Range(*(float(cold * _share(-(mean + z * sd))) for z in (_Z90, 0.0, -_Z90)))


def _share(logit: ArrayLike) -> Floats:
    """Share whose logit is given."""
    return np.asarray(0.5 * (1.0 + np.tanh(0.5 * np.asarray(logit, float))))


def _cells(
    tried: Iterable[tuple[str, Treatment, float]], treatments: Sequence[Treatment]
) -> list[tuple[str, Treatment, Thickness]]:
    """Every cell worth asking about: the woods tried and all others, by treatment and class."""
    woods = [*dict.fromkeys(wood for wood, _, _ in tried), OTHER_WOODS]
    return list(product(woods, treatments, (name for name, _ in _CLASSES)))


def _counts(
    cell: tuple[str, Treatment, Thickness], trials: Sequence[SetTrial | BreakTrial]
) -> tuple[int, int, tuple[float, float]]:
    """Trials of the cell, other trials, and the range of thickness over radius tried."""
    own = [
        t.t_over_r for t in trials if (t.wood, t.treatment, thickness_class(t.thickness)) == cell
    ]
    ratios = own or [t.t_over_r for t in trials]
    return len(own), len(trials) - len(own), (min(ratios), max(ratios))


# -- breaking ----------------------------------------------------------------------------
def learn_breaks(trials: Sequence[BreakTrial]) -> tuple[BreakLesson, ...]:
    """Learn from trial bends that broke, or did not, what strain strips stand.

    Cold and hot bends, and the two faces, teach nothing about each other.

    Parameters
    ----------
    trials : trial bends of one shop.

    Examples
    --------
    >>> from overbend.bend.capacity import hot_tension
    >>> stands = hot_tension(kiln_dried=False)
    >>> broke = [
    ...     BreakTrial("white-ash", "steam", 20.0, 0.07, "convex", 0.014, stands, 1, True, board)
    ...     for board in ("a", "b", "c")
    ... ]
    >>> ash = next(c for c in learn_breaks(broke) if c.trials)
    >>> round(ash.shift, 2), round(ash.sd, 2), ash.trials, ash.broken
    (-1.54, 0.72, 3, 3)
    """
    lessons: list[BreakLesson] = []
    for treatments, face in product((TREATMENTS[:1], STEAMED), FACES):
        mine = [t for t in trials if t.treatment in treatments and t.face == face]
        if not mine:
            continue
        cells = _cells([(t.wood, t.treatment, t.thickness) for t in mine], treatments)
        belief = break_belief(mine, cells)
        mean, sd = belief.mean[len(mine) :], belief.sd[len(mine) :]
        for cell, m, s in zip(cells, mean, sd, strict=True):
            broken = sum(
                t.broken
                for t in mine
                if (t.wood, t.treatment, thickness_class(t.thickness)) == cell
            )
            counts = _counts(cell, mine)
            lessons.append(BreakLesson(*cell, float(m), float(s), 1.0, *counts, face, broken))
    return tuple(lessons)


def break_belief(
    trials: Sequence[BreakTrial],
    cells: Sequence[tuple[str, Treatment, Thickness]],
    broken: ArrayLike | None = None,
) -> Belief:
    """Belief about the boards of the trials, as shifts of ln(strain), then about the cells.

    Parameters
    ----------
    trials : trial bends of one face, all cold or all hot.
    cells : cells asked about, as shifts in units of the doubt.
    broken : which broke, shape (..., trials), for shops that all made these same trials; None:
        what the trials say.
    """
    keys = [(t.wood, t.treatment, thickness_class(t.thickness)) for t in trials] + list(cells)
    doubt = np.array([t.capacity.doubt for t in trials] + [1.0] * len(cells))
    board = np.array([t.capacity.board for t in trials] + [0.0] * len(cells))
    boards: list[Hashable] = [*((t.wood, t.board) for t in trials), *[None] * len(cells)]
    level = _level(_same(k[1] for k in keys), _same(k[0] for k in keys), _same(keys))
    cov = np.outer(doubt, doubt) * level + np.outer(board, board) * _same(boards)
    gone = np.array([t.broken for t in trials]) if broken is None else np.asarray(broken, bool)
    whole = _log_whole(trials)

    def log_likelihood(u: Floats) -> Floats:
        log = whole(u)
        lost = np.log(-np.expm1(np.minimum(log, -1e-300)))
        return np.asarray(np.where(gone[..., None], lost, log))

    return learn(Belief(np.zeros(len(keys)), np.asarray(cov)), log_likelihood, len(trials))


def _log_whole(trials: Sequence[BreakTrial]) -> Callable[[Floats], Floats]:
    """Logarithm of the chance that a trial stays whole, by the shift of its ln(strain)."""
    from scipy.special import log_ndtr

    log_ratio = np.array([math.log(t.strain / t.capacity.median) for t in trials])[:, None]
    strip = np.array([t.capacity.strip for t in trials])[:, None]
    mishap = np.log1p([-t.capacity.mishap for t in trials])[:, None]
    strips = np.array([t.strips for t in trials])[:, None]
    return lambda u: np.asarray(strips * (mishap + log_ndtr((u - log_ratio) / strip)))
