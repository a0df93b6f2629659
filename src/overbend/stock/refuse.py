"""Why a part cannot be cut, and what would do."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from overbend.stock.records import Demand, Shop, Stock, whole
from overbend.stock.section import lengths_of, spans_of, usable, ways_of

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
    wide = [s for s in there if any(ways_of(demand, *usable(s, shop), shop))]
    if not wide:
        best = max(there, key=lambda s: (s.thickness, s.width))
        size = f"{show(demand.width)} x {show(shop.sawn(demand))} (sawn)"
        why = (
            f"{size} comes out of no plank; the thickest, {best.name}, is "
            f"{show(best.width)} x {show(best.thickness)} before surfacing"
        )
        if all(_too_deep(usable(s, shop)[1] / 1e6, shop) for s in there):
            why += f", and the saw reaches {show(shop.rip_depth or 0.0)}"
        would = _sections(demand, shop, show)
        todo = f"A plank {would} would do." if would else _deeper(demand, shop, show)
        yield Refusal(demand.name, why, todo)
        return
    needed = lengths_of([demand], shop)[0]
    clear = {s.name: max((n for _, n in spans_of(s, shop)), default=0) for s in wide}
    if max(clear.values()) < needed:
        yield _too_long(demand, wide, clear, shop, show)


def _deeper(demand: Demand, shop: Shop, show: Words) -> str:
    """What would do where the saw reaches through no plank that holds the piece."""
    least = min(demand.width, shop.sawn(demand)) if demand.grain == "any" else (
        demand.width if demand.grain == "edge" else shop.sawn(demand)
    )  # fmt: skip
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


def _sections(demand: Demand, shop: Shop, show: Words) -> str:
    """Least rough sections that give the piece, one for each way it may lie."""
    sawn, machine = shop.sawn(demand), shop.surfacing
    sizes = {"edge": (sawn, demand.width, "ripped"), "flat": (demand.width, sawn, "resawn")}
    ways = []
    for way, (across, through, how) in sizes.items():
        wide = max(across + shop.edge_trim, machine.least_width or 0.0)
        thick = max(through + shop.face_trim, machine.least_thickness or 0.0)
        if demand.grain in ("any", way) and not _too_deep(thick - shop.face_trim, shop):
            ways.append(f"{show(wide)} wide and {show(thick)} thick ({how})")
    return " or ".join(ways)


def _too_deep(through: float, shop: Shop) -> bool:
    """Whether the saw does not reach through a surfaced plank."""
    return shop.rip_depth is not None and whole(through) > whole(shop.rip_depth)


def machine_holds(demands: Sequence[Demand], shop: Shop, show: Words = _MM) -> tuple[str, ...]:
    """Say why no cutting instruction may be printed; empty when it may.

    Pieces shorter than the machines take are cut as several end to end, so that only widths and
    thicknesses are held against them.

    Parameters
    ----------
    demands : what is wanted.
    shop : the machines, with their least sizes where typed.
    show : turns mm into text in the reader's unit.
    """
    machines = dict.fromkeys(shop.machines)
    unknown = [m for m in machines if not m.known]
    holds = [
        f"Type the least length, width and thickness of the {m.name} from its manual: "
        "until then no cutting instruction is printed."
        for m in unknown
    ]
    for d in demands:
        sizes = ((shop.saw, shop.sawn(d)), (shop.thicknessing, d.thickness))
        for machine, thickness in sizes:
            pairs = (
                ("width", d.width, machine.least_width),
                ("thickness", thickness, machine.least_thickness),
            )
            holds += [
                f"{d.name}: {show(value)} {what} is below what the {machine.name} takes "
                f"({show(least)})."
                for what, value, least in pairs
                if least is not None and whole(value) < whole(least)
            ]
    return tuple(dict.fromkeys(holds))
