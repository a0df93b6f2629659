"""Strips and blanks."""

from overbend.stock.strips import (
    Allowances,
    MachineLimits,
    Strip,
    cutting_holds,
    neutral_lines,
    strips_for,
    total_wood,
)

__all__ = [
    "Allowances",
    "MachineLimits",
    "Strip",
    "cutting_holds",
    "neutral_lines",
    "strips_for",
    "total_wood",
]
