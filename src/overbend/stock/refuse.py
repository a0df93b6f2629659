"""Why a part cannot be cut, and what would do."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from overbend.stock.records import Demand, Shop, Stock, Way, whole
from overbend.stock.section import lengths_of, sides_of, spans_of, usable, ways_of

__all__ = ["Refusal", "machine_holds", "refusals"]

Words = Callable[[float], str]
"""Turns mm into text in the reader's unit."""

_MM: Words = "{:g} mm".format


@dataclass(frozen=True)
class Refusal:
    """A part that cannot be cut.

    Parameters
    ----------
    part : name of the demand.
    why : the reason, with the sizes [mm].
    todo : what would do.
    """

    part: str
    why: str
    todo: str


def refusals(
    demands: Sequence[Demand], supply: Sequence[Stock], shop: Shop, show: Words = _MM
) -> tuple[Refusal, ...]:
    """Parts that no board of the supply can give, each with its reason, sizes by `show`."""
    return tuple(r for demand in demands for r in _refused(demand, supply, shop, show))


def _refused(demand: Demand, supply: Sequence[Stock], shop: Shop, show: Words) -> Iterator[Refusal]:
    of_wood = [s for s in supply if s.wood == demand.wood]
    if not any(s.count != 0 for s in of_wood):
        why = "no board is left of it" if of_wood else "no board of it is in the list"
        size = f"{_sections(demand, shop, show)}, {_length(demand, shop, show)}"
        yield Refusal(demand.name, f"{demand.wood}: {why}", f"Add {demand.wood} boards, {size}.")
        return
    there = [s for s in of_wood if s.count != 0]
    wide = [s for s in there if any(ways_of(demand, s, shop))]
    if not wide:
        yield Refusal(demand.name, _no_plank(demand, there, shop, show), _todo(demand, shop, show))
        return
    needed = lengths_of([demand], shop)[0]
    clear = {s.name: max((n for _, n in spans_of(s, shop)), default=0) for s in wide}
    if max(clear.values()) < needed:
        yield _too_long(demand, wide, clear, shop, show)


def _no_plank(demand: Demand, there: Sequence[Stock], shop: Shop, show: Words) -> str:
    """Why a piece comes out of the section of no plank."""
    best = max(there, key=lambda s: (s.thickness, s.width))
    why = (
        f"{show(demand.width)} x {show(shop.sawn(demand))} (sawn) comes out of no plank; the "
        f"thickest, {best.name}, is {show(best.width)} x {show(best.thickness)} "
        f"{'planed' if best.surfaced else 'before surfacing'}"
    )
    if all(_too_deep(usable(s, shop)[1] / 1e6, shop) for s in there):
        return f"{why}, and the saw reaches {show(shop.rip_depth or 0.0)}"
    deeper = replace(shop, resaw_depth=None)
    if any(any(ways_of(demand, s, deeper)) for s in there):
        return f"{why}, and the saw splits pieces up to {show(shop.resaw_depth or 0.0)} wide"
    return why


def _todo(demand: Demand, shop: Shop, show: Words) -> str:
    """Planks that would do, rough or planed; else a saw that would."""
    rough, planed = _sections(demand, shop, show), _planed(demand, shop, show)
    if rough:
        return f"A plank {rough} would do." + (f" So would one {planed}." if planed else "")
    if planed:
        return f"A plank {planed} would do."
    return _deeper(demand, shop, show)


def _deeper(demand: Demand, shop: Shop, show: Words) -> str:
    """What would do where the saw reaches through no plank that holds the piece, or splits none."""
    ways = [lie for lie in _lies(demand, shop) if not _too_deep(lie.up, shop)]
    if ways:
        least = min(lie.across for lie in ways)
        return f"A saw that splits pieces {show(least)} wide would do."
    least = min(lie.up for lie in _lies(demand, shop))
    return f"A saw that reaches through {show(least)} would do."


def _too_long(
    demand: Demand, wide: Sequence[Stock], clear: dict[str, int], shop: Shop, show: Words
) -> Refusal:
    """The part is longer than any clear span, whether the board is short or defects break it."""
    best = max(wide, key=lambda s: (clear[s.name], s.length))
    size = lengths_of([demand], shop)[0] / 1e6
    broken = max(wide, key=lambda s: s.length)
    if broken.length - 2 * shop.end_trim >= size:
        why = (
            f"{show(size)} is longer than any clear span: the defects of {broken.name} "
            f"({show(broken.length)}) leave {show(clear[broken.name] / 1e6)} at most"
        )
    else:
        why = (
            f"{show(size)} is longer than any board gives: {best.name} is {show(best.length)}, "
            f"{show(clear[best.name] / 1e6)} once its ends are squared"
        )
    return Refusal(demand.name, why, f"A board {_length(demand, shop, show)} would do.")


def _length(demand: Demand, shop: Shop, show: Words) -> str:
    size = lengths_of([demand], shop)[0] / 1e6 + 2 * shop.end_trim
    return f"{show(size)} long or longer, clear of defects"


@dataclass(frozen=True)
class _Lie:
    """How a piece lies in a plank: size across and through [mm], finished through, its name."""

    across: float
    up: float
    finished: float
    way: Way


def _lies(demand: Demand, shop: Shop) -> list[_Lie]:
    """The ways that its grain allows."""
    wide, thick = sides_of(demand, shop)
    ways = (
        _Lie(thick[1] / 1e6, wide[1] / 1e6, wide[0] / 1e6, "edge"),
        _Lie(wide[1] / 1e6, thick[1] / 1e6, thick[0] / 1e6, "flat"),
    )
    return [lie for lie in ways if demand.grain in ("any", lie.way)]


def _sections(demand: Demand, shop: Shop, show: Words) -> str:
    """Least rough sections that give the piece, one for each way the saw can cut it."""
    machine, ways = shop.surfacing, []
    for lie in _lies(demand, shop):
        wide = max(lie.across + shop.edge_trim, machine.least_width or 0.0)
        thick = max(lie.up + shop.face_trim, machine.least_thickness or 0.0)
        if not _too_deep(thick - shop.face_trim, shop) and not _too_wide(lie, shop):
            how = {"edge": "ripped", "flat": "resawn"}[lie.way]
            ways.append(f"{show(wide)} wide and {show(thick)} thick ({how})")
    return " or ".join(ways)


def _planed(demand: Demand, shop: Shop, show: Words) -> str:
    """Planed planks that give the piece as thick as they are, where that spares a machine."""
    for lie in reversed(_lies(demand, shop)):
        spared = lie.finished < lie.up or _too_wide(lie, shop)
        if spared and not _too_deep(lie.finished, shop) and _passes(demand, lie, shop):
            size = {"edge": "finished piece is wide", "flat": "finished piece"}[lie.way]
            first = "; plane a thicker one down to that first" if _too_wide(lie, shop) else ""
            return (
                f"planed and straight, {show(lie.across)} wide or wider and exactly as thick as "
                f"the {size} ({show(lie.finished)}{first})"
            )
    return ""


def _passes(demand: Demand, lie: _Lie, shop: Shop) -> bool:
    """Whether the machines take the piece out of a planed plank just as thick."""
    board = Stock(demand.name, demand.wood, 1.0, lie.across + 1.0, lie.finished, surfaced=True)
    return any(ways_of(replace(demand, grain=lie.way), board, shop))


def _too_wide(lie: _Lie, shop: Shop) -> bool:
    """Whether the saw does not split a piece off."""
    return shop.resaw_depth is not None and whole(lie.across) > whole(shop.resaw_depth)


def _too_deep(through: float, shop: Shop) -> bool:
    """Whether the saw does not reach through a surfaced plank."""
    return shop.rip_depth is not None and whole(through) > whole(shop.rip_depth)


def machine_holds(
    demands: Sequence[Demand], shop: Shop, show: Words = _MM, supply: Sequence[Stock] = ()
) -> tuple[str, ...]:
    """Say why no cutting instruction may be printed; empty when it may.

    Pieces shorter than the machines take are cut as several end to end, so that only widths and
    thicknesses are held against them; not where a board planed to the finished size spares a
    machine.

    Parameters
    ----------
    demands : what is wanted.
    shop : the machines, with their least sizes where typed.
    show : turns mm into text in the reader's unit.
    supply : the boards there are.
    """
    machines = dict.fromkeys(shop.machines)
    unknown = [m for m in machines if not m.known]
    holds = [
        f"Type the least length, width and thickness of the {m.name} from its manual: "
        "until then no cutting instruction is printed."
        for m in unknown
    ]
    for d in demands:
        boards = (s for s in supply if s.wood == d.wood and s.count != 0)
        if not any(any(ways_of(d, s, shop)) for s in boards):
            holds += _too_small(d, shop, show)
    return tuple(dict.fromkeys(holds))


def _too_small(d: Demand, shop: Shop, show: Words) -> Iterator[str]:
    """Sizes of a piece below what the machines take."""
    for machine, thickness in ((shop.saw, shop.sawn(d)), (shop.thicknessing, d.thickness)):
        for what, value, least in (
            ("width", d.width, machine.least_width),
            ("thickness", thickness, machine.least_thickness),
        ):
            if least is not None and whole(value) < whole(least):
                yield (
                    f"{d.name}: {show(value)} {what} is below what the {machine.name} takes "
                    f"({show(least)})."
                )
