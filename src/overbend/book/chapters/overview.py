"""First pages: the parts at a glance and what waits for the maker."""

from __future__ import annotations

from overbend.book.blocks import Block, Heading, Picture, Table, Text
from overbend.book.chapters.pictures import drawn_to_fit
from overbend.book.say import Say
from overbend.book.words import METHOD_WORDS
from overbend.draw.overview import overview_drawing
from overbend.plan import BentPlan, Plan

__all__ = ["overview"]


def overview(plan: Plan, say: Say) -> list[Block]:
    """The opening: name, what is bent, drawings at one scale, tables, hold points."""
    blocks: list[Block] = [Heading(plan.project.name, 1), Text(_lead(plan), "lead")]
    blocks += _failing(plan, say)
    if plan.project.note:
        blocks.append(Text(plan.project.note))
    if plan.bent:
        blocks += [_drawings(plan), _bent_table(plan, say)]
    if plan.project.straight:
        blocks.append(_straight_table(plan, say))
    blocks += _holds(plan)
    return blocks


def _lead(plan: Plan) -> str:
    kinds, count = len(plan.bent), sum(part.count for part in plan.bent.values())
    if not kinds:
        return "Nothing is bent in this piece yet."
    bent = "1 bent part" if count == 1 else f"{count} bent parts of {kinds} kinds"
    if kinds == 1 and count > 1:
        bent = f"{count} bent parts, all alike"
    forms = sum(len(part.form.parts) for part in plan.bent.values())
    strips = sum(strip.count for strip in plan.strips_to_mill)
    return f"{bent}, {strips} strips to mill, {forms} form {'body' if forms == 1 else 'bodies'}."


def _failing(plan: Plan, say: Say) -> list[Block]:
    """One line for each part whose strips do not take the bend of its form."""
    verdicts = ((part.name, part.risk.strain.verdict) for part in plan.bent.values())
    return [
        Text(f"{name}: {_lower(verdict.words(say.length))}", "hold")
        for name, verdict in verdicts
        if verdict.word == "fails"
    ]


def _lower(text: str) -> str:
    """A sentence as it goes on after a colon."""
    return text[:1].lower() + text[1:]


def _drawings(plan: Plan) -> Picture:
    return drawn_to_fit(
        lambda scale: overview_drawing(plan, scale), 165.0, 72.0, "Bent parts at rest"
    )


def _bent_table(plan: Plan, say: Say) -> Table:
    header = (
        "Bent part", "How many", "Made", f"Width x depth, {say.unit_word}", "Tightest radius",
        "Springback", "Bend",
    )  # fmt: skip
    caption = "Bend: whether the strips take the bend of their form"
    rows = [_bent_row(part, say) for part in plan.bent.values()]
    return Table(header, rows, (1, 3, 4, 5), caption, 9.5)


def _bent_row(part: BentPlan, say: Say) -> tuple[str, ...]:
    return (
        part.name,
        str(part.count),
        METHOD_WORDS[part.part.method],
        f"{say.bare(part.part.width)} x {say.bare(part.depth)}",
        say.length(part.shapes["target"].radius),
        say.share(part.springback),
        part.risk.strain.verdict.word,
    )


def _straight_table(plan: Plan, say: Say) -> Table:
    rows = [
        (
            name,
            str(part.count),
            plan.woods[part.wood].species.name,
            f"{say.bare(part.section[0])} x {say.bare(part.section[1])}",
            _cut_lengths(plan, name, say),
        )
        for name, part in plan.project.straight.items()
    ]
    header = ("Straight part", "How many", "Wood", f"Section, {say.unit_word}", "Length")
    return Table(header, rows, (1, 3, 4), size=9.5)


def _cut_lengths(plan: Plan, name: str, say: Say) -> str:
    """Lengths to cut the pieces of a straight part to."""
    return ", ".join(dict.fromkeys(say.length(c.cut_length) for c in plan.piece.straight[name]))


def _holds(plan: Plan) -> list[Block]:
    if not plan.holds:
        return []
    return [Heading("What waits for you"), *(Text(hold.text, "hold") for hold in plan.holds)]
