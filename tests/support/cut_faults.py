"""Faults to put into cutting plans, each with the places where it can be put."""

from dataclasses import replace
from itertools import pairwise

from overbend.stock import MachineLimits
from support.cut_cases import PLANER, SAW, SURFACER

# --- places in a plan, and plans with one place changed


def lengths(case):
    """Board and length of every crosscut length."""
    return [(b, n) for b, board in enumerate(case.plan.boards) for n in range(len(board.lengths))]


def pieces(case):
    return [
        (b, n, k)
        for b, n in lengths(case)
        for k in range(len(case.plan.boards[b].lengths[n].pieces))
    ]


def offcuts(case, *, narrow):
    """Board and off-cut of those as wide as the board, or of those narrower."""
    width = {s.name: s.width for s in case.supply}
    return [
        (b, n)
        for b, board in enumerate(case.plan.boards)
        for n, offcut in enumerate(board.offcuts)
        if (offcut.width < width[board.stock]) == narrow
    ]


def piece_at(case, place):
    b, n, k = place
    return case.plan.boards[b].lengths[n].pieces[k]


def stock_of(case, b):
    return next(s for s in case.supply if s.name == case.plan.boards[b].stock)


def put(items, n, *new):
    return (*items[:n], *new, *items[n + 1 :])


def with_board(case, b, *new):
    return replace(case, plan=replace(case.plan, boards=put(case.plan.boards, b, *new)))


def with_length(case, b, n, *new):
    board = case.plan.boards[b]
    return with_board(case, b, replace(board, lengths=put(board.lengths, n, *new)))


def with_pieces(case, b, n, change):
    """The pieces of a length, each as `change` gives it; None leaves it out."""
    length = case.plan.boards[b].lengths[n]
    new = tuple(p for p in map(change, length.pieces) if p is not None)
    return with_length(case, b, n, replace(length, pieces=new))


def with_piece(case, place, **changes):
    b, n, _ = place
    old = piece_at(case, place)
    return with_pieces(case, b, n, lambda p: replace(p, **changes) if p is old else p)


def with_offcut(case, b, n, **changes):
    """An off-cut changed, and the wood taken with it, so that the sums still agree."""
    board = case.plan.boards[b]
    old = board.offcuts[n]
    new = replace(old, **changes)
    made = with_board(case, b, replace(board, offcuts=put(board.offcuts, n, new)))
    taken = case.plan.taken + old.volume - new.volume
    return replace(made, plan=replace(made.plan, taken=taken))


def length_moved(case, b, n, by):
    """A length moved along the board with its pieces."""
    length = case.plan.boards[b].lengths[n]
    moved = tuple(replace(p, x=p.x + by) for p in length.pieces)
    return with_length(case, b, n, replace(length, x=length.x + by, pieces=moved))


def neighbours(spans):
    """Spans (start, size) and the one that follows each, with the gap between them."""
    ordered = sorted(set(spans))
    return [(one, two, two[0] - sum(one)) for one, two in pairwise(ordered)]


def closed(gap, kerf, amount):
    """How far to move a neighbour so that the saw has `amount` of its kerf too little."""
    return -(gap - kerf * (1 - amount))


# --- faults: the places where they can be put, how they are put, what must be said


def crosscut_places(case):
    return [(b, n) for b, n in lengths(case) if n > 0]


def crosscut_kerf(case, place, amount):
    b, n = place
    before, here = case.plan.boards[b].lengths[n - 1 : n + 1]
    by = closed(here.x - before.x - before.length, case.shop.kerf, amount)
    return length_moved(case, b, n, by)


def rip_places(case):
    return [
        (b, n, one, two, gap)
        for b, n in lengths(case)
        for one, two, gap in neighbours(
            (p.y, p.across) for p in case.plan.boards[b].lengths[n].pieces
        )
    ]


def rip_kerf(case, place, amount):
    b, n, _, two, gap = place
    by = closed(gap, case.shop.kerf, amount)
    return with_pieces(case, b, n, lambda p: replace(p, y=p.y + by) if p.y == two[0] else p)


def layer_places(case):
    return [
        (b, n, y, two, gap)
        for b, n in lengths(case)
        for y in {p.y for p in case.plan.boards[b].lengths[n].pieces}
        for _, two, gap in neighbours(
            (p.z, p.through) for p in case.plan.boards[b].lengths[n].pieces if p.y == y
        )
    ]


def layer_kerf(case, place, amount):
    b, n, y, two, gap = place
    by = closed(gap, case.shop.through_kerf, amount)
    return with_pieces(
        case, b, n, lambda p: replace(p, z=p.z + by) if (p.y, p.z) == (y, two[0]) else p
    )


def row_places(case):
    """Pieces that another piece of the same bar and layer lies before."""
    found = []
    for b, n, k in pieces(case):
        p = piece_at(case, (b, n, k))
        row = [q for q in case.plan.boards[b].lengths[n].pieces if (q.y, q.z) == (p.y, p.z)]
        found += [(b, n, k, q) for q in row if q.x < p.x]
    return found


def row_kerf(case, place, amount):
    *where, before = place
    here = piece_at(case, where)
    by = closed(here.x - before.x - before.length, case.shop.kerf, amount)
    return with_piece(case, where, x=here.x + by)


def defect_places(case):
    return [(b, n, d) for b, n in lengths(case) for d in stock_of(case, b).defects]


def over_defect(case, place, amount):
    b, n, (start, _) = place
    length = case.plan.boards[b].lengths[n]
    return length_moved(case, b, n, start - amount * length.length - length.x)


def into_marked_end(case, place, amount):
    b, n = place
    x = case.plan.boards[b].lengths[n].x
    return length_moved(case, b, n, case.shop.end_trim * (1 - amount) - x)


def into_far_end(case, place, amount):
    b, n = place
    length = case.plan.boards[b].lengths[n]
    end = stock_of(case, b).length - case.shop.end_trim * (1 - amount)
    return length_moved(case, b, n, end - length.x - length.length)


def out_of_width(case, place, amount):
    p = piece_at(case, place)
    return with_piece(case, place, y=stock_of(case, place[0]).width - p.across * (1 - amount))


def out_of_edge(case, place, amount):
    return with_piece(case, place, y=-amount * piece_at(case, place).across)


def out_of_thickness(case, place, amount):
    p = piece_at(case, place)
    return with_piece(case, place, z=stock_of(case, place[0]).thickness - p.through * (1 - amount))


def out_of_face(case, place, amount):
    return with_piece(case, place, z=-amount * piece_at(case, place).through)


def out_of_length(case, place, amount):
    b, n, _ = place
    begin = case.plan.boards[b].lengths[n].x
    return with_piece(case, place, x=begin - amount * piece_at(case, place).length)


def out_of_length_end(case, place, amount):
    b, n, _ = place
    length, p = case.plan.boards[b].lengths[n], piece_at(case, place)
    return with_piece(case, place, x=length.x + length.length - p.length * (1 - amount))


def wanted_pieces(case):
    return [place for place in pieces(case) if not piece_at(case, place).extra]


def missing(case, place, _):
    old = piece_at(case, place)
    return with_pieces(case, *place[:2], lambda p: None if p is old else p)


def counted_as_extra(case, place, _):
    return with_piece(case, place, extra=True)


def one_too_many(case, place, _):
    b, n, _ = place
    length = case.plan.boards[b].lengths[n]
    new = replace(piece_at(case, place), extra=False)
    return with_length(case, b, n, replace(length, pieces=(*length.pieces, new)))


def unknown_piece(case, place, _):
    return with_piece(case, place, demand="spindle")


def boards(case):
    return list(range(len(case.plan.boards)))


def unknown_board(case, b, _):
    return with_board(case, b, replace(case.plan.boards[b], stock="oak from next door"))


def with_stock(case, b, **changes):
    stock = stock_of(case, b)
    place = case.supply.index(stock)
    return replace(case, supply=put(case.supply, place, replace(stock, **changes)))


def beyond_count(case, b, _):
    return with_stock(case, b, count=case.plan.bought()[case.plan.boards[b].stock] - 1)


def twice_one_number(case, b, _):
    board = case.plan.boards[b]
    return with_board(case, b, board, board)


def wrong_across(case, place, amount):
    p = piece_at(case, place)
    return with_piece(case, place, across=p.across * (1 - amount / 2))


def wrong_through(case, place, amount):
    p = piece_at(case, place)
    return with_piece(case, place, through=p.through * (1 - amount / 2))


def wrong_length(case, place, amount):
    p = piece_at(case, place)
    return with_piece(case, place, length=p.length * (1 - amount / 2))


def more_planing(case, _, amount):
    return replace(case, shop=replace(case.shop, planing=case.shop.planing + amount))


def longer_machines(case, place, amount):
    b, n = place
    least = case.plan.boards[b].lengths[n].length + amount
    return replace(case, shop=replace(case.shop, saw=replace(SAW, least_length=least)))


def demand_of(case, place):
    return next(d for d in case.demands if d.name == piece_at(case, place).demand)


def wider_machines(case, place, amount):
    least = demand_of(case, place).width + amount
    return replace(case, shop=replace(case.shop, saw=replace(SAW, least_width=least)))


def thicker_machines(case, place, amount):
    least = demand_of(case, place).thickness + amount
    machine = replace(PLANER, least_thickness=least)
    return replace(case, shop=replace(case.shop, thicknessing=machine))


def thicker_saw(case, place, amount):
    least = case.shop.sawn(demand_of(case, place)) + amount
    return replace(case, shop=replace(case.shop, saw=replace(SAW, least_thickness=least)))


def saw_not_typed(case, _, __):
    return replace(case, shop=replace(case.shop, saw=MachineLimits("saw", 260.0)))


def surfacer_not_typed(case, _, __):
    unknown = MachineLimits("surfacing machine", 220.0)
    return replace(case, shop=replace(case.shop, surfacing=unknown))


def rough_boards(case):
    return [b for b in boards(case) if not stock_of(case, b).surfaced]


def board_too_narrow_to_surface(case, b, amount):
    least = stock_of(case, b).width + amount
    return replace(case, shop=replace(case.shop, surfacing=replace(SURFACER, least_width=least)))


def shallow_rip(case, b, amount):
    stock = stock_of(case, b)
    through = stock.thickness - (0.0 if stock.surfaced else case.shop.face_trim)
    return replace(case, shop=replace(case.shop, rip_depth=through * (1 - amount / 2)))


def shallow_resaw(case, place, amount):
    b, n, y, _, _ = place
    row = next(p for p in case.plan.boards[b].lengths[n].pieces if p.y == y)
    return replace(case, shop=replace(case.shop, resaw_depth=row.across * (1 - amount / 2)))


def other_wood(case, b, _):
    return with_stock(case, b, wood="elm")


def with_demand(case, demand, **changes):
    place = case.demands.index(demand)
    return replace(case, demands=put(case.demands, place, replace(demand, **changes)))


def other_grain(case, place, _):
    way = {"flat": "edge", "edge": "flat"}[piece_at(case, place).way]
    return with_demand(case, demand_of(case, place), grain=way)


def way_misnamed(case, place, _):
    return with_piece(case, place, way={"flat": "edge", "edge": "flat"}[piece_at(case, place).way])


def here(_):
    return [None]


def wrong_cost(case, _, amount):
    return replace(case, plan=replace(case.plan, cost=case.plan.cost - amount))


def wrong_taken(case, _, amount):
    return replace(case, plan=replace(case.plan, taken=case.plan.taken * (1 - amount)))


def wrong_wanted(case, _, amount):
    return replace(case, plan=replace(case.plan, wanted=case.plan.wanted * (1 + amount)))


def wide_offcuts(case):
    return offcuts(case, narrow=False)


def narrow_offcuts(case):
    return offcuts(case, narrow=True)


def offcut_over_pieces(case, place, amount):
    """An off-cut of the full width, moved over the last length."""
    b, n = place
    board = case.plan.boards[b]
    length = board.lengths[-1]
    x = length.x + (length.length + case.shop.kerf) * (1 - amount / 2)
    return with_offcut(case, b, n, x=x)


def offcut_into_end(case, place, amount):
    b, n = place
    offcut = case.plan.boards[b].offcuts[n]
    by = stock_of(case, b).length - case.shop.end_trim - offcut.x - offcut.length + amount
    return with_offcut(case, b, n, length=offcut.length + by)


def edge_offcut_over_bars(case, place, amount):
    b, n = place
    offcut = case.plan.boards[b].offcuts[n]
    length = next(one for one in case.plan.boards[b].lengths if one.x == offcut.x)
    last = max(p.y + p.across for p in length.pieces)
    return with_offcut(case, b, n, y=last + case.shop.kerf * (1 - amount))


def edge_offcut_out_of_board(case, place, amount):
    b, n = place
    offcut = case.plan.boards[b].offcuts[n]
    return with_offcut(case, b, n, y=stock_of(case, b).width - offcut.width * (1 - amount))


def edge_offcut_along(case, place, amount):
    """Moved along the board it lies in no length any more, but across a crosscut."""
    b, n = place
    offcut = case.plan.boards[b].offcuts[n]
    return with_offcut(case, b, n, x=offcut.x + amount * offcut.length)


def edge_offcut_longer(case, place, amount):
    """Longer than the length it lies in: it reaches over the crosscut."""
    b, n = place
    offcut = case.plan.boards[b].offcuts[n]
    return with_offcut(case, b, n, length=offcut.length + 1.0 + amount * 300.0)


def offcut_thicker(case, place, amount):
    """More wood than the board has."""
    b, n = place
    offcut = case.plan.boards[b].offcuts[n]
    thickness = stock_of(case, b).thickness + amount
    return with_offcut(case, b, n, thickness=max(thickness, offcut.thickness + amount))


def offcut_too_short(case, place, amount):
    b, n = place
    keep = case.plan.boards[b].offcuts[n].length + amount
    return replace(case, shop=replace(case.shop, keep_length=keep))


def offcut_too_narrow(case, place, amount):
    b, n = place
    keep = case.plan.boards[b].offcuts[n].width + amount
    return replace(case, shop=replace(case.shop, keep_width=keep))


def stacked_pieces(case):
    return [place for place in pieces(case) if piece_at(case, place).stack]


def stack_swapped(case, place, _):
    return with_piece(case, place, stack=piece_at(case, place).stack + 1)


def stack_short(case, place, _):
    return with_piece(case, place, stack=0)


def stack_without_a_kind(case, place, _):
    """All strips of one kind taken out of a stack: it has the others only, or is gone."""
    old = piece_at(case, place)
    made = case
    for b, n, k in pieces(case):
        p = piece_at(made, (b, n, k))
        if (p.demand, p.stack) == (old.demand, old.stack):
            made = with_piece(made, (b, n, k), stack=0)
    return made


def planed_pieces(case):
    return [p for p in pieces(case) if piece_at(case, p).thick > demand_of(case, p).thickness]


FAULTS = {
    crosscut_kerf: (crosscut_places, "for the saw"),
    rip_kerf: (rip_places, "for the saw"),
    layer_kerf: (layer_places, "for the saw"),
    row_kerf: (row_places, "for the saw"),
    over_defect: (defect_places, "holds the defect"),
    into_marked_end: (lengths, "trimmed ends"),
    into_far_end: (lengths, "trimmed ends"),
    out_of_width: (pieces, "pass the"),
    out_of_edge: (pieces, "pass the"),
    out_of_thickness: (pieces, "pass the"),
    out_of_face: (pieces, "pass the"),
    out_of_length: (pieces, "out of its length"),
    out_of_length_end: (pieces, "out of its length"),
    missing: (wanted_pieces, "asked for"),
    counted_as_extra: (wanted_pieces, "asked for"),
    one_too_many: (pieces, "asked for"),
    unknown_piece: (pieces, "spindle is not asked for"),
    unknown_board: (boards, "not in the supply"),
    beyond_count: (boards, "there are"),
    twice_one_number: (boards, "two boards"),
    wrong_across: (pieces, "in the section"),
    wrong_through: (pieces, "in the section"),
    wrong_length: (pieces, "mm long, not"),
    more_planing: (here, "in the section"),
    longer_machines: (lengths, "shorter than the machines take"),
    wider_machines: (pieces, "less than the saw takes"),
    thicker_machines: (planed_pieces, "less than the thicknessing machine takes"),
    thicker_saw: (pieces, "less than the saw takes"),
    saw_not_typed: (here, "not known"),
    surfacer_not_typed: (here, ""),
    board_too_narrow_to_surface: (rough_boards, ""),
    shallow_rip: (boards, "deeper than the saw cuts"),
    shallow_resaw: (layer_places, "deeper than the saw cuts"),
    other_wood: (boards, "the board is elm"),
    other_grain: (pieces, "asked for"),
    way_misnamed: (pieces, "in the section"),
    wrong_cost: (here, "cost is"),
    wrong_taken: (here, "wood taken is"),
    wrong_wanted: (here, "wood wanted is"),
    offcut_over_pieces: (wide_offcuts, "for the saw"),
    offcut_into_end: (wide_offcuts, "trimmed ends"),
    edge_offcut_over_bars: (narrow_offcuts, "for the saw"),
    edge_offcut_out_of_board: (narrow_offcuts, "out of the board"),
    edge_offcut_along: (narrow_offcuts, ""),
    edge_offcut_longer: (narrow_offcuts, ""),
    offcut_thicker: (lambda case: wide_offcuts(case) + narrow_offcuts(case), ""),
    offcut_too_short: (wide_offcuts, "not worth keeping"),
    offcut_too_narrow: (narrow_offcuts, "not worth keeping"),
    stack_swapped: (stacked_pieces, "in stack"),
    stack_short: (stacked_pieces, "in stack"),
    stack_without_a_kind: (stacked_pieces, ""),
}
"""Where each fault can be, and words of its report; "" where any report will do."""
