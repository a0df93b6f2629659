"""Other stacks that would do for a part: the best few, and the trade-off drawn."""

from __future__ import annotations

import math
from collections import Counter

from overbend.bend.breakage import chance_words
from overbend.book.blocks import Block, Heading, Picture, Table, Text
from overbend.book.say import Say
from overbend.draw.chart import nice_ticks
from overbend.draw.drawing import Drawing
from overbend.draw.study_chart import Panel, Point, State, TradeOff, round_steps, tradeoff_drawing
from overbend.draw.svg import to_svg
from overbend.plan import BentPlan
from overbend.study import Candidate, Stack, Suggestion, suggest

__all__ = [
    "stack_words",
    "suggest_drawing",
    "suggest_rows",
    "suggest_section",
    "suggest_words",
]

_KINDS = {
    "bend": "cannot be bent",
    "thin": "have too thin a strip",
    "depth": "are not as deep as asked",
    "breaks": "break too often",
    "spares": "leave no number of spares that is enough",
    "scatter": "scatter too far at the tip",
    "window": "stiffen before they are clamped",
}
_METHODS = {"solid": "one steamed piece", "laminate": "cold", "steam-laminate": "steamed"}
_PICTURE = (
    "Every stack looked at. The bar is the doubt of a chance; what lies beyond a field stands at "
    "its edge"
)
_HEAD = ("", "Stack", "Deep", "Breaks", "Tips within", "Glue lines", "Mill", "Wood")
_RIGHT = (2, 4, 5, 6, 7)


def suggest_section(part: BentPlan, say: Say, found: Suggestion | None = None) -> list[Block]:
    """Blocks with the five best stacks for a part and the trade-off among all looked at.

    Parameters
    ----------
    part : the part.
    say : how numbers are written.
    found : what a search found already; None: search now, with the project's limits.
    """
    result = found or suggest(part)
    picture = to_svg(suggest_drawing(result, say), theme="print", wide=0.4)
    head, rows, right = suggest_rows(result, say)
    shown = _shown(result)
    return [
        Heading(f"{part.name}: other stacks"),
        Text(suggest_words(result, say), "lead"),
        Table(head, rows, right, _caption(result, say)),
        *(Text(text, "small") for text in _why(shown)),
        Picture(picture, _PICTURE),
        *(Text(note, "small") for note in result.notes),
    ]


def _shown(found: Suggestion) -> tuple[Candidate, ...]:
    """The best few, or the nearest when none meets what was asked."""
    return found.best() or found.nearest()


def suggest_words(found: Suggestion, say: Say) -> str:
    """Say in a sentence or two what the search came to.

    Parameters
    ----------
    found : the search.
    say : how numbers are written.
    """
    ask, good = found.ask, found.meeting
    limits = f"{chance_words(ask.risk)} breaking and tips within {say.length(ask.scatter)}"
    total = len(found.candidates)
    if good:
        many = f"{len(good)} of {total} stacks keep" if len(good) > 1 else f"1 of {total} keeps"
        fewest = found.best()[0]
        now = "The one drawn now is among them. " if found.present.meets else ""
        lines = fewest.stack.glue_lines
        return (
            f"{many} to {limits}. {now}The fewest glue lines, {lines}: "
            f"{stack_words(fewest.stack, say)}."
        )
    counts = Counter(r.kind for c in found.candidates for r in c.reasons)
    why = ", ".join(f"{n} {_KINDS[kind]}" for kind, n in counts.most_common())
    return f"None of {total} stacks keeps to {limits}: {why}.{_way_out(found)}"


def _way_out(found: Suggestion) -> str:
    if found.ask.methods == ("solid",):
        return " Laminations may: ask for them with --method laminate."
    return " Ease the tightest place, or ask for less."


def stack_words(stack: Stack, say: Say) -> str:
    """Say a stack, outside in: ``7 x 4.2 mm cherry, cold``.

    Parameters
    ----------
    stack : the stack.
    say : how numbers are written.
    """
    rows = [
        _kept((f"{count} x " if stack.count > 1 else "") + f"{say.sharp(t)} {say.unit} {wood}")
        for wood, t, count in stack.rows
    ]
    return f"{', '.join(rows)}, {_METHODS[stack.method]}"


def _kept(text: str) -> str:
    """Text that no line breaks."""
    return text.replace(" ", "\u00a0")


def suggest_rows(
    found: Suggestion, say: Say
) -> tuple[tuple[str, ...], list[tuple[str, ...]], tuple[int, ...]]:
    """Header, rows and number columns of the table: the drawn stack, then the best few.

    Parameters
    ----------
    found : the search.
    say : how numbers are written.
    """
    shown = _shown(found)
    rows = [] if found.present in shown else [_row("now", found.present, say)]
    for i, c in enumerate(shown):
        rows.append(_row(f"{_letter(i)}, now" if c.present else _letter(i), c, say))
    head = tuple(f"Deep, {say.unit}" if name == "Deep" else name for name in _HEAD)
    return head, rows, _RIGHT


def _letter(index: int) -> str:
    return chr(ord("a") + index)


def _row(name: str, c: Candidate, say: Say) -> tuple[str, ...]:
    stack, figures = c.stack, c.figures
    first = (name, stack_words(stack, say), say.sharp(stack.depth))
    if figures is None:
        return (*first, "cannot be bent", "", str(stack.glue_lines), "", "")
    return (
        *first,
        chance_words(figures.breaks),
        say.fine(figures.scatter) if say.unit == "in" else say.length(figures.scatter),
        str(stack.glue_lines),
        "not known" if figures.mill is None else f"{figures.mill} for {figures.strips}",
        "" if figures.wood is None else say.timber(figures.wood),
    )


def _caption(found: Suggestion, say: Say) -> str:
    ask = found.ask
    low, high = ask.depth - ask.tolerance, ask.depth + ask.tolerance
    return (
        f"Stacks {say.between(low, high)} deep; none of those lettered is beaten by "
        "another in wood, glue lines, breaking and scatter at once. “Tips within” holds nine in "
        "ten parts off one form."
    )


def _why(shown: tuple[Candidate, ...]) -> list[str]:
    """Why the rows miss what was asked; nothing for those that do not."""
    texts: dict[str, list[str]] = {}
    for i, c in enumerate(shown):
        if c.reasons:
            texts.setdefault("; ".join(r.text for r in c.reasons), []).append(_letter(i))
    return [f"{', '.join(letters)}: {text}." for text, letters in texts.items()]


# -- the drawing --------------------------------------------------------------------------


def suggest_drawing(found: Suggestion, say: Say) -> Drawing:
    """Draw chance of breaking, scatter and wood of every stack over its number of strips.

    Parameters
    ----------
    found : the search.
    say : how numbers are written.
    """
    factor = 25.4 if say.unit == "in" else 1.0
    thickness = all(c.stack.count == 1 for c in found.candidates)
    letters = {id(c): _letter(i) for i, c in enumerate(_shown(found))}
    points = [_point(found, c, thickness, factor, letters.get(id(c), "")) for c in found.candidates]
    at = [p.x for p in points]
    if thickness:
        low, high = min(at), max(at)
        room = 0.05 * (high - low) or 0.5
        ticks = [(float(t), f"{t:g}") for t in nice_ticks(low - room, high + room, 8)]
        title = f"thickness, {say.unit}"
    else:
        counts = [c.stack.count for c in found.candidates]
        low, high, room = min(counts), max(counts), 0.7
        step = max(1, math.ceil((high - low) / 24))
        ticks = [(float(n), str(n)) for n in range(low, high + 1, step)]
        title = "strips in the stack; at each, the shallowest left, the deepest right"
    return tradeoff_drawing(
        TradeOff(
            f"{found.part}: stacks compared",
            title,
            ticks,
            low - room,
            high + room,
            points,
            _panels(found, points, say),
            _key(found),
        )
    )


def _point(found: Suggestion, c: Candidate, thickness: bool, factor: float, letter: str) -> Point:
    figures, ask = c.figures, found.ask
    off = (c.stack.depth - ask.depth) / ask.tolerance if ask.tolerance else 0.0
    x = c.stack.depth / factor if thickness else c.stack.count + 0.35 * min(max(off, -1.0), 1.0)
    state: State = "misses" if not c.meets else "unbeaten" if c.unbeaten else "beaten"
    if figures is None:
        return Point(x, (None, None, None), "misses")
    return Point(
        x,
        (figures.breaks, figures.scatter, figures.wood),
        state,
        c.stack.method == "steam-laminate" and "laminate" in ask.methods,
        c.present,
        letter,
        (figures.breaks_low, figures.breaks_high),
    )


def _panels(found: Suggestion, points: list[Point], say: Say) -> list[Panel]:
    chances, tips, wood = (
        [p.values[i] or 0.0 for p in points if p.values[i] is not None] for i in range(3)
    )
    lows = [p.span[0] for p in points if p.letter and p.span]
    least = max(min([*lows, *chances, found.ask.risk], default=0.01), 1e-4)
    return [
        Panel(
            "A strip breaks",
            0.8 * least,
            1.0,
            [
                (v, "all" if v == 1.0 else f"1 in {1.0 / v:.0f}")
                for v in round_steps(0.8 * least, 1.0)
            ],
            38.0,
            True,
            found.ask.risk,
        ),
        _tips(tips, found.ask.scatter, say),
        _wood(wood, [p.values[2] or 0.0 for p in points if p.state != "misses"], say),
    ]


def _tips(tips: list[float], asked: float, say: Say) -> Panel:
    """Panel of the scatter, no lower than a tenth of a millimetre."""
    unit = 25.4 if say.unit == "in" else 1.0
    low = 0.8 * max(min([*tips, asked]), 0.1)
    high = 1.3 * max([*tips, asked])
    ticks = [(v * unit, f"{v:g}") for v in round_steps(low / unit, high / unit)]
    return Panel(f"Nine in ten tips within, {say.unit}", low, high, ticks, 30.0, True, asked)


def _wood(wood: list[float], good: list[float], say: Say) -> Panel:
    """Panel of the wood, up to a little over what those take that keep to the limits."""
    unit, name = (25.4**3 * 144, "board feet") if say.unit == "in" else (1e6, "litres")
    high = 1.08 * max(wood, default=unit)
    high = min(high, 1.6 * max(good, default=high))
    low = 0.0 if not wood or min(wood) < 0.4 * max(wood) else 0.92 * min(wood)
    ticks = [(float(v) * unit, f"{v:g}") for v in nice_ticks(low / unit, high / unit, 4)]
    return Panel(f"Wood, {name}", low, high, ticks, 26.0)


def _key(found: Suggestion) -> str:
    both = {"laminate", "steam-laminate"} <= set(found.ask.methods)
    ways = "circles and × cold, triangles and + steamed;\n" if both else ""
    return (
        f"{ways}filled: kept to the limits and beaten by none, hollow: kept to them,\n"
        "cross: misses one; ringed: as drawn now"
    )
