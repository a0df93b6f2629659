"""A suggestion as plain data for ``overbend suggest --json``.

Lengths end in ``_mm``, volumes in ``_mm3``, times in ``_s``; shares and chances have no suffix.
"""

from __future__ import annotations

from typing import Any

from overbend.study.records import Candidate, Figures, Fit, Suggestion

__all__ = ["suggestion_data"]

Data = dict[str, Any]


def suggestion_data(found: Suggestion) -> Data:
    """Plain data of every stack looked at, finite numbers only.

    Parameters
    ----------
    found : the suggestion. ``best`` holds places in ``stacks``, counted from 0.
    """
    place = {id(c): i for i, c in enumerate(found.candidates)}
    ask = found.ask
    return {
        "part": found.part,
        "asked": {
            "depth_mm": ask.depth,
            "tolerance_mm": ask.tolerance,
            "step_mm": ask.step,
            "least_thickness_mm": ask.least,
            "methods": list(ask.methods),
            "woods": list(ask.woods),
            "chance_to_break": ask.risk,
            "tip_scatter_mm": ask.scatter,
        },
        "best": [place[id(c)] for c in found.best()],
        "stacks": [_candidate(c) for c in found.candidates],
        "notes": list(found.notes),
    }


def _candidate(c: Candidate) -> Data:
    return {
        "method": c.stack.method,
        "woods": list(c.stack.woods),
        "thickness_mm": list(c.stack.thickness),
        "depth_mm": c.stack.depth,
        "glue_lines": c.stack.glue_lines,
        "drawn_now": c.present,
        "meets": c.meets,
        "unbeaten": c.unbeaten,
        "reasons": [{"kind": r.kind, "text": r.text} for r in c.reasons],
        "figures": None if c.figures is None else _figures(c.figures),
    }


def _figures(f: Figures) -> Data:
    return {
        "springback": f.springback,
        "strain_verdict": f.verdict,
        "chance_to_break": {"expected": f.breaks, "low": f.breaks_low, "high": f.breaks_high},
        "tip_scatter_mm": f.scatter,
        "strips": f.strips,
        "mill": f.mill,
        "wood_mm3": f.wood,
        "loading": None if f.fit is None else _fit(f.fit),
    }


def _fit(fit: Fit) -> Data:
    return {
        "seconds_s": fit.seconds,
        "window_s": [_finite(fit.low), _finite(fit.high)],
        "verdict": fit.verdict,
    }


def _finite(value: float) -> float | None:
    """None where wood never gets too stiff."""
    return value if value < float("inf") else None
