"""Why a part cannot be cut, and what would do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from overbend.stock.records import Demand, Shop, Stock
from overbend.stock.section import lengths_of, spans_of, usable, ways_of

__all__ = ["Refusal", "machine_holds", "refusals"]


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


def refusals(demands: Sequence[Demand], supply: Sequence[Stock], shop: Shop) -> tuple[Refusal, ...]:
    """Parts that no board of the supply can give, each with its reason."""
    return tuple(r for demand in demands for r in _refused(demand, supply, shop))


def _refused(demand: Demand, supply: Sequence[Stock], shop: Shop) -> Iterator[Refusal]:
    of_wood = [s for s in supply if s.wood == demand.wood]
    if not any(s.count != 0 for s in of_wood):
        why = "no board is left of it" if of_wood else "no board of it is in the list"
        todo = f"Add {demand.wood} boards, {_sections(demand, shop)}, {_length(demand, shop)}."
        yield Refusal(demand.name, f"{demand.wood}: {why}", todo)
        return
    there = [s for s in of_wood if s.count != 0]
    wide = [s for s in there if any(ways_of(demand, *usable(s, shop), shop))]
    if not wide:
        best = max(there, key=lambda s: (s.thickness, s.width))
        why = (
            f"{demand.width:g} x {shop.sawn(demand):g} mm (sawn) comes out of no plank; the "
            f"thickest, {best.name}, is {best.width:g} x {best.thickness:g} mm before surfacing"
        )
        yield Refusal(demand.name, why, f"A plank {_sections(demand, shop)} would do.")
        return
    needed = lengths_of([demand], shop)[0]
    clear = {s.name: max((n for _, n in spans_of(s, shop)), default=0) for s in wide}
    if max(clear.values()) < needed:
        yield _too_long(demand, wide, clear, shop)


def _too_long(demand: Demand, wide: Sequence[Stock], clear: dict[str, int], shop: Shop) -> Refusal:
    """The part is longer than any clear span, whether the board is short or defects break it."""
    best = max(wide, key=lambda s: (clear[s.name], s.length))
    size = lengths_of([demand], shop)[0] / 1e6
    broken = max(wide, key=lambda s: s.length)
    if broken.length - 2 * shop.end_trim >= size:
        why = (
            f"{size:g} mm is longer than any clear span: the defects of {broken.name} "
            f"({broken.length:g} mm) leave {clear[broken.name] / 1e6:g} mm at most"
        )
    else:
        why = (
            f"{size:g} mm is longer than any board gives: {best.name} is {best.length:g} mm, "
            f"{clear[best.name] / 1e6:g} mm once its ends are squared"
        )
    return Refusal(demand.name, why, f"A board {_length(demand, shop)} would do.")


def _length(demand: Demand, shop: Shop) -> str:
    size = lengths_of([demand], shop)[0] / 1e6 + 2 * shop.end_trim
    return f"{size:g} mm long or longer, clear of defects"


def _sections(demand: Demand, shop: Shop) -> str:
    """Least rough sections that give the piece, one for each way it may lie."""
    sawn, e, f = shop.sawn(demand), shop.edge_trim, shop.face_trim
    ways = []
    if demand.grain in ("any", "edge"):
        ways.append(f"{sawn + e:g} mm wide and {demand.width + f:g} mm thick (ripped)")
    if demand.grain in ("any", "flat"):
        ways.append(f"{demand.width + e:g} mm wide and {sawn + f:g} mm thick (resawn)")
    return " or ".join(ways)


def machine_holds(demands: Sequence[Demand], shop: Shop) -> tuple[str, ...]:
    """Say why no cutting instruction may be printed; empty when it may.

    Pieces shorter than the machines take are cut as several end to end, so that only widths and
    thicknesses are held against them.

    Parameters
    ----------
    demands : what is wanted.
    shop : the machines, with their least sizes where typed.
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
                f"{d.name}: {value:g} mm {what} is below what the {machine.name} takes "
                f"({least:g} mm)."
                for what, value, least in pairs
                if least is not None and value < least
            ]
    return tuple(dict.fromkeys(holds))
