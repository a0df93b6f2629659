"""An independent check of cutting plans: it knows the boards, the strips and the saw, no solver.

Everything is recomputed from the places of the pieces in whole nanometres. A plan that passes can
be cut: crosscuts first, then rips, then cuts through the thickness, then crosscuts to length, each
with its kerf, within wood that is there. The settings of the machines are compared with those that
the pieces ask for.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby, pairwise

from overbend.stock.records import Demand, Shop, Stock, whole
from overbend.stock.sawplan import BoardPlan, OffCut, Piece, SawnLength, SawPlan
from overbend.stock.setup_check import setup_faults

__all__ = ["verify"]

Span = tuple[int, int]


def verify(
    plan: SawPlan, demands: Sequence[Demand], supply: Sequence[Stock], shop: Shop
) -> tuple[str, ...]:
    """Say what is wrong with a plan; empty when nothing is.

    Parameters
    ----------
    plan : boards and cuts.
    demands : what was asked for.
    supply : the boards there are.
    shop : saw, allowances, least sizes.
    """
    kinds = {d.name: d for d in demands}
    stocks = {s.name: s for s in supply}
    faults = list(_counts(plan, kinds, stocks))
    for board in plan.boards:
        stock = stocks.get(board.stock)
        if stock is not None:
            where = f"{board.stock} no. {board.number}"
            faults += (f"{where}: {fault}" for fault in _board(board, stock, kinds, shop))
    faults += setup_faults(plan, kinds, stocks, shop)
    faults += _sums(plan, demands, stocks)
    return tuple(faults)


def _counts(plan: SawPlan, kinds: dict[str, Demand], stocks: dict[str, Stock]) -> Iterator[str]:
    used = Counter(b.stock for b in plan.boards)
    for name, n in used.items():
        if name not in stocks:
            yield f"board {name} is not in the supply"
        elif (limit := stocks[name].count) is not None and n > limit:
            yield f"{n} boards of {name}, there are {limit}"
    numbers = Counter((b.stock, b.number) for b in plan.boards)
    yield from (f"two boards {name} no. {k}" for (name, k), n in numbers.items() if n > 1)
    pieces = [p for b in plan.boards for p in b.pieces]
    cut = Counter(p.demand for p in pieces if not p.extra)
    yield from (f"{p} is not asked for" for p in {p.demand for p in pieces} - set(kinds))
    for name, demand in kinds.items():
        if cut[name] != demand.count:
            yield f"{cut[name]} of {name}, {demand.count} are asked for"
    yield from _stacks(pieces, kinds)


def _stacks(pieces: Sequence[Piece], kinds: dict[str, Demand]) -> Iterator[str]:
    """Every stack that the counts allow has to be whole, and there are no others."""
    found = Counter((p.demand, p.stack) for p in pieces if p.stack)
    wanted: dict[tuple[str, int], int] = {}
    for part in {d.part for d in kinds.values() if d.part and d.per_part}:
        own = [d for d in kinds.values() if d.part == part and d.per_part]
        for number in range(1, min(d.count // d.per_part for d in own) + 1):
            wanted |= {(d.name, number): d.per_part for d in own}
    for name, stack in sorted(found.keys() | wanted.keys()):
        n, per_part = found[name, stack], wanted.get((name, stack), 0)
        if n != per_part:
            yield f"{n} of {name} in stack {stack}, not {per_part}"


def _board(board: BoardPlan, stock: Stock, kinds: dict[str, Demand], shop: Shop) -> Iterator[str]:
    kerf = whole(shop.kerf)
    spans = [(length.x, length.length) for length in board.lengths]
    ends = [(o.x, o.length) for o in board.offcuts if whole(o.width) == whole(stock.width)]
    yield from _apart(spans + ends, kerf, "lengths")
    for x, size in spans + ends:
        yield from _clear(whole(x), whole(x) + whole(size), stock, shop)
    if board.lengths and not stock.surfaced:
        yield from _surfaced(stock, shop)
    for length in board.lengths:
        if whole(length.length) < whole(shop.least_length):
            yield f"a length of {length.length:g} mm is shorter than the machines take"
        yield from _length(length, board.offcuts, stock, kinds, shop)
    for offcut in board.offcuts:
        yield from _offcut(offcut, stock, shop)
        if whole(offcut.width) < whole(stock.width) and not any(
            (whole(offcut.x), whole(offcut.length)) == (whole(one.x), whole(one.length))
            for one in board.lengths
        ):
            yield f"an off-cut at {offcut.x:g} mm does not lie along one length"


def _surfaced(stock: Stock, shop: Shop) -> Iterator[str]:
    """A rough board goes over the surfacing machine first."""
    machine = shop.surfacing
    if not machine.known:
        yield f"the {machine.name}'s least sizes are not known"
    elif any(
        whole(size) < whole(least or 0)
        for size, least in (
            (stock.width, machine.least_width), (stock.thickness, machine.least_thickness)
        )
    ):  # fmt: skip
        yield f"the board is less than the {machine.name} takes"


def _clear(start: int, stop: int, stock: Stock, shop: Shop) -> Iterator[str]:
    """A length has to lie between the trimmed ends and off every defect."""
    trim = whole(shop.end_trim)
    if start < trim or stop > whole(stock.length) - trim:
        yield f"{start / 1e6:g} to {stop / 1e6:g} mm reaches into the trimmed ends"
    for a, b in stock.defects:
        if start < whole(b) and stop > whole(a):
            yield f"{start / 1e6:g} to {stop / 1e6:g} mm holds the defect at {a:g} to {b:g}"


def _length(
    length: SawnLength,
    offcuts: Iterable[OffCut],
    stock: Stock,
    kinds: dict[str, Demand],
    shop: Shop,
) -> Iterator[str]:
    width, thickness = whole(stock.width), whole(stock.thickness)
    edge, face = (0, 0) if stock.surfaced else (whole(shop.edge_trim), whole(shop.face_trim))
    kerf, deep = whole(shop.kerf), whole(shop.through_kerf)
    begin, end = whole(length.x), whole(length.x) + whole(length.length)
    rips = {(p.y, p.across) for p in length.pieces}
    beside = {(o.y, o.width) for o in offcuts
              if whole(o.x) == begin and whole(o.width) < width}  # fmt: skip
    yield from _apart(sorted(rips | beside), kerf, "rips")
    yield from _inside(rips, (width - edge, width), "rips")
    for (y, across), pieces in _grouped(length.pieces, lambda p: (p.y, p.across)):
        layers = sorted({(p.z, p.through) for p in pieces})
        yield from _apart(layers, deep, f"layers at {y:g} mm")
        yield from _inside(layers, (thickness - face, thickness), "layers")
        yield from _depth(across, layers, thickness - face, shop)
        for _, row in _grouped(pieces, lambda p: (p.z, p.through)):
            along = [(p.x, p.length) for p in row]
            yield from _apart(along, kerf, "pieces end to end")
            if any(whole(x) < begin or whole(x) + whole(n) > end for x, n in along):
                yield "a piece reaches out of its length"
    for piece in length.pieces:
        yield from _piece(piece, stock, kinds, shop)


def _grouped(
    pieces: Iterable[Piece], key: Callable[[Piece], tuple[float, float]]
) -> Iterator[tuple[tuple[float, float], list[Piece]]]:
    for place, group in groupby(sorted(pieces, key=key), key=key):
        yield place, list(group)


def _apart(spans: Iterable[tuple[float, float]], kerf: int, what: str) -> Iterator[str]:
    """Neighbours have to leave the saw its kerf."""
    ordered = sorted((whole(a), whole(a) + whole(n)) for a, n in spans)
    for (_, stop), (start, _) in pairwise(ordered):
        if start - stop < kerf:
            yield f"{what} at {start / 1e6:g} mm leave {(start - stop) / 1e6:g} mm for the saw"


def _inside(
    spans: Iterable[tuple[float, float]], room: tuple[int, int], what: str
) -> Iterator[str]:
    """All spans together fit what is left after planing, and lie in the wood."""
    ends = [(whole(a), whole(a) + whole(n)) for a, n in spans]
    if not ends:
        return
    low, high = min(a for a, _ in ends), max(b for _, b in ends)
    if high - low > room[0] or low < 0 or high > room[1]:
        yield f"{what} from {low / 1e6:g} to {high / 1e6:g} mm pass the {room[0] / 1e6:g} mm there"


def _depth(
    across: float, layers: Sequence[tuple[float, float]], through: int, shop: Shop
) -> Iterator[str]:
    if shop.rip_depth is not None and through > whole(shop.rip_depth):
        yield f"ripping {through / 1e6:g} mm is deeper than the saw cuts"
    resawn = len(layers) > 1 or any(whole(size) < through for _, size in layers)
    if resawn and shop.resaw_depth is not None and whole(across) > whole(shop.resaw_depth):
        yield f"resawing {across:g} mm is deeper than the saw cuts"


def _piece(piece: Piece, stock: Stock, kinds: dict[str, Demand], shop: Shop) -> Iterator[str]:
    demand = kinds.get(piece.demand)
    if demand is None:
        return
    if not _cut_right(piece, stock, demand, shop):
        yield f"{demand.name} is {piece.across:g} x {piece.through:g} mm in the section"
    if whole(piece.length) != whole(demand.length):
        yield f"{demand.name} is {piece.length:g} mm long, not {demand.length:g}"
    if demand.grain not in ("any", piece.way):
        yield f"{demand.name} lies {piece.way}, asked for {demand.grain}"
    if demand.wood != stock.wood:
        yield f"{demand.name} is to be {demand.wood}, the board is {stock.wood}"
    for machine in (shop.saw, shop.thicknessing):
        if not machine.known:
            yield f"the {machine.name}'s least sizes are not known"
    yield from _fed(piece, demand, shop)


def _fed(piece: Piece, demand: Demand, shop: Shop) -> Iterator[str]:
    """Saw and thicknessing machine have to take a piece; the latter where it is planed."""
    size = (whole(piece.across), whole(piece.through))
    wide, thick = {"flat": size, "edge": size[::-1]}[piece.way]
    passes, finished = [(shop.saw, thick)], whole(demand.thickness)
    if thick != finished:
        passes.append((shop.thicknessing, finished))
    for machine, fed in passes:
        if wide < whole(machine.least_width or 0) or fed < whole(machine.least_thickness or 0):
            yield f"{demand.name} is less than the {machine.name} takes"


def _cut_right(piece: Piece, stock: Stock, demand: Demand, shop: Shop) -> bool:
    """Whether a piece has what is planed off it on top of its finished sizes.

    It may do without where the board was bought surfaced in exactly the finished size.
    """
    planed = whole(demand.width), whole(demand.thickness) + whole(shop.planing)
    finished = whole(demand.finished), whole(demand.thickness)
    edges = whole(stock.width) if stock.surfaced and not stock.sawn_edge else None
    faces = whole(stock.thickness) if stock.surfaced else None
    size, there = (whole(piece.across), whole(piece.through)), (edges, faces)
    if piece.way == "edge":
        size, there = size[::-1], there[::-1]
    return all(
        given == more or given == less == bought
        for given, more, less, bought in zip(size, planed, finished, there, strict=True)
    )


def _offcut(offcut: OffCut, stock: Stock, shop: Shop) -> Iterator[str]:
    if shop.keep_length is None or whole(offcut.length) < whole(shop.keep_length):
        yield f"an off-cut of {offcut.length:g} mm is not worth keeping"
    narrow = whole(offcut.width) < whole(stock.width)
    if narrow and (shop.keep_width is None or whole(offcut.width) < whole(shop.keep_width)):
        yield f"an off-cut of {offcut.width:g} mm width is not worth keeping"
    planed = narrow and not stock.surfaced  # it was surfaced with the length it lies in
    thickness = whole(stock.thickness) - (whole(shop.face_trim) if planed else 0)
    if whole(offcut.thickness) != thickness:
        yield f"an off-cut is {offcut.thickness:g} mm thick, not {thickness / 1e6:g}"
    if offcut.y < 0 or whole(offcut.y) + whole(offcut.width) > whole(stock.width):
        yield f"an off-cut at {offcut.y:g} mm reaches out of the board"


def _sums(plan: SawPlan, demands: Sequence[Demand], stocks: dict[str, Stock]) -> Iterator[str]:
    boards = [stocks[b.stock] for b in plan.boards if b.stock in stocks]
    cost = sum(b.cost for b in boards)
    kept = sum(o.length * o.width * o.thickness for b in plan.boards for o in b.offcuts)
    taken = sum(b.length * b.width * b.thickness for b in boards) - kept
    wanted = sum(d.count * d.length * (d.finished_width or d.width) * d.thickness for d in demands)
    for what, given, found in (
        ("cost", plan.cost, cost), ("wood taken", plan.taken, taken),
        ("wood wanted", plan.wanted, wanted),
    ):  # fmt: skip
        if abs(given - found) > 1e-6 * max(1.0, abs(found)):
            yield f"{what} is {found:g}, the plan says {given:g}"
