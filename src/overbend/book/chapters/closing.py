"""Last pages: cautions, and what every number rests on."""

from __future__ import annotations

from overbend import __version__
from overbend.bend import Spread
from overbend.book.blocks import Block, Facts, Heading, NewPage, Table, Text
from overbend.book.chapters.seasons import seasons_section
from overbend.book.say import Say
from overbend.book.us_units import us_words
from overbend.book.words import CAUTIONS
from overbend.plan import Plan

__all__ = ["cautions_chapter", "sources_chapter"]


def cautions_chapter(plan: Plan) -> list[Block]:
    """The usual cautions, those that belong to this piece's work."""
    methods = {part.part.method for part in plan.bent.values()}
    left_out = set()
    if methods <= {"laminate"}:
        left_out.add("Steam")
    if methods <= {"solid"}:
        left_out.add("Glue")
    blocks: list[Block] = [NewPage(), Heading("Cautions", 1)]
    for topic, texts in CAUTIONS.items():
        if topic not in left_out:
            blocks += [Heading(topic, 3), *(Text(text, "caution") for text in texts)]
    return blocks


def sources_chapter(plan: Plan, say: Say) -> list[Block]:
    """Assumptions, their sources, and what this book was computed from."""
    blocks: list[Block] = [NewPage(), Heading("What the numbers rest on", 1)]
    blocks.append(Facts(_made_from(plan), 1))
    blocks += [Heading("Woods"), *_woods(plan, say)]
    blocks += [Heading("Springback"), *_springback(plan), *seasons_section(plan)]
    return blocks


def _made_from(plan: Plan) -> list[tuple[str, str]]:
    path = plan.loaded.path
    learnt = plan.shop_state.source
    rows = [("Learnt from", learnt)] if learnt else []
    return [
        *rows,
        ("Project file", path.name if path else "a text"),
        ("Its fingerprint", plan.fingerprint),
        ("Computed by", f"Overbend {__version__}, with the data of that version"),
    ]


def _woods(plan: Plan, say: Say) -> list[Block]:
    used = {s.wood for part in plan.bent.values() for s in part.strips_used}
    rows = [(name, line) for name in sorted(used) for line in _trail(plan, name, say)]
    return [
        Table(("Wood", "Stiffness along the grain, and where it comes from"), rows),
        Text(
            "“read” was read in the source named, “memory” was recalled and not read, “assumed” "
            "is a judgement without a source. Only the ratio between the stiffnesses of one "
            "stack changes its springback.",
            "small",
        ),
    ]


def _trail(plan: Plan, name: str, say: Say) -> list[str]:
    """Where a wood's stiffness comes from; in psi alone where the source's table is in psi."""
    lines = [line.strip() for line in plan.woods[name].modulus().trail()]
    if say.unit == "mm":
        return lines
    metric = not any("inch-pound" in line for line in lines)
    return [us_words(line, metric=metric) for line in lines]


def _springback(plan: Plan) -> list[Block]:
    rows = []
    for part in plan.bent.values():
        low, high = part.set.range90
        rows.append(
            (part.name, f"{part.set.median:.2f}", f"{low:.2f} to {high:.2f}", part.set.source)
        )
    deepest = max(
        (part.depth * abs(part.glued.tightest[1]) for part in plan.bent.values()), default=0.0
    )
    return [
        Table(("Part", "Set", "Nine in ten", "Where it comes from"), rows, (1,)),
        Text(
            "The released shape follows from the moment that bending locks into each strip at "
            "its own radius and from the stiffness of the glued stack as a curved beam. It is "
            "elastic. Against finite elements its error is below 1 % of the movement while the "
            "depth is at most a tenth of the radius, and below 3 % to a fifth; the deepest part "
            f"here, on its form, is at {deepest:.3f} of its radius. Glue that creeps and wood "
            "that dries after release widen the band."
        ),
        Text(_spread_words()),
    ]


def _spread_words() -> str:
    """What the band is drawn from."""
    of = Spread()
    return (
        "The band is drawn from 2 000 sampled parts with a fixed seed. Stiffness differs by "
        f"{100 * of.modulus_piece:.0f} % from piece to piece (ASTM D2555, by arithmetic); "
        f"thickness by {of.thickness:g} mm, a form's curvature by {100 * of.form:g} %, the angle "
        f"by {100 * of.drift:g} % as wood dries after release (assumed). Cold strips also creep: "
        f"their loss differs by {100 * of.creep:.0f} %, assumed, because only two readings were "
        "found: it grew 1.18 and 1.55 times in ten days, in compressed beech. All are standard "
        "deviations."
    )
