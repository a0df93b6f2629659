"""One-dimensional cutting: fewest sticks of one length that give all lengths wanted."""

from overbend.stock.sticks.record import Sticks, read_sticks
from overbend.stock.sticks.simple import direct_program, first_fit
from overbend.stock.sticks.solve import StickPlan, solve_sticks

__all__ = [
    "StickPlan",
    "Sticks",
    "direct_program",
    "first_fit",
    "read_sticks",
    "solve_sticks",
]
