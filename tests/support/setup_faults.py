"""Faults in settings and in what boards bought planed spare, each with its places."""

from dataclasses import replace

from support.cut_faults import (
    demand_of,
    piece_at,
    pieces,
    planed_pieces,
    put,
    rough_boards,
    stock_of,
    with_piece,
    with_stock,
)


def as_bought(case):
    """Pieces that are as thick as their board when finished."""
    return [p for p in pieces(case) if p not in planed_pieces(case)]


def as_wide_as_bought(case):
    """Pieces that have a finished width across or through their board."""
    return [p for p in pieces(case) if piece_at(case, p).wide < demand_of(case, p).width]


def across_as_bought(case):
    return [p for p in as_wide_as_bought(case) if piece_at(case, p).way == "flat"]


def on_planed_boards(case):
    return as_bought(case) + as_wide_as_bought(case)


def not_planed(case, place, _):
    """Cut to the finished thickness out of a board that is not just that."""
    side = {"flat": "through", "edge": "across"}[piece_at(case, place).way]
    return with_piece(case, place, **{side: demand_of(case, place).thickness})


def board_thicker(case, place, amount):
    b = place[0]
    return with_stock(case, b, thickness=stock_of(case, b).thickness + amount)


def board_wider(case, place, amount):
    b = place[0]
    return with_stock(case, b, width=stock_of(case, b).width + amount)


def board_not_planed(case, place, _):
    return with_stock(case, place[0], surfaced=False)


def board_with_a_sawn_edge(case, place, _):
    return with_stock(case, place[0], sawn_edge=True)


def board_planed(case, b, _):
    """Nothing of it goes over the surfacing machine."""
    return with_stock(case, b, surfaced=True)


def setups(case):
    return list(range(len(case.plan.setups)))


def with_setups(case, n, *new):
    return replace(case, plan=replace(case.plan, setups=put(case.plan.setups, n, *new)))


def setup_missing(case, n, _):
    return with_setups(case, n)


def setup_not_needed(case, n, amount):
    old = case.plan.setups[n]
    return with_setups(case, n, old, replace(old, size=old.size + amount / 7))


def setup_of_another_size(case, n, amount):
    old = case.plan.setups[n]
    return with_setups(case, n, replace(old, size=old.size + amount / 7))


def setup_of_another_step(case, n, _):
    old = case.plan.setups[n]
    return with_setups(case, n, replace(old, step="plane" if old.step == "rip" else "rip"))


def setup_miscounted(case, n, amount):
    old = case.plan.setups[n]
    return with_setups(case, n, replace(old, count=old.count + (1 if amount > 0.5 else -1)))


def setup_twice(case, n, _):
    old = case.plan.setups[n]
    return with_setups(case, n, old, old)


def setups_out_of_order(case, n, _):
    first, second = case.plan.setups[n - 1 : n + 1]
    return with_setups(with_setups(case, n, first), n - 1, second)


MORE_FAULTS = {
    not_planed: (planed_pieces, "in the section"),
    board_thicker: (as_bought, "in the section"),
    board_wider: (across_as_bought, "in the section"),
    board_not_planed: (on_planed_boards, "in the section"),
    board_with_a_sawn_edge: (across_as_bought, "in the section"),
    board_planed: (rough_boards, "setting to surface"),
    setup_missing: (setups, "is missing"),
    setup_not_needed: (setups, "is not needed"),
    setup_of_another_size: (setups, "is missing"),
    setup_of_another_step: (setups, "is missing"),
    setup_miscounted: (setups, "the plan says"),
    setup_twice: (setups, "there twice"),
    setups_out_of_order: (lambda case: setups(case)[1:], "in the order the wood goes"),
}
"""Where each fault can be, and words of its report."""
