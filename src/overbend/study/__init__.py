"""Searches over many plans: which stacks would do for a part."""

from overbend.study.ask import Ask, Method, ask_for
from overbend.study.frontier import frontier
from overbend.study.records import Candidate, Figures, Fit, Reason, Suggestion
from overbend.study.stacks import Stack, stacks_for
from overbend.study.suggest import suggest
from overbend.study.table import suggestion_data

__all__ = [
    "Ask",
    "Candidate",
    "Figures",
    "Fit",
    "Method",
    "Reason",
    "Stack",
    "Suggestion",
    "ask_for",
    "frontier",
    "stacks_for",
    "suggest",
    "suggestion_data",
]
