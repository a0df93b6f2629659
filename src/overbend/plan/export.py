"""Everything computed, as plain data for `overbend plan --json`.

Lengths end in ``_mm``, angles in ``_deg``, shares have no suffix. Every key is explained in
docs/plan-json.md, and a test compares the two.
"""

from __future__ import annotations

import math
from typing import Any

from overbend import __version__
from overbend.form import FormPart
from overbend.plan.bent import BentPlan
from overbend.plan.export_cutting import cutting_data
from overbend.plan.export_piece import piece_data
from overbend.plan.facade import Plan
from overbend.plan.shape import Shape
from overbend.plan.steam import PartSteam
from overbend.steam.drying import SpanOfDays
from overbend.steam.run import SteamRun

__all__ = ["plan_data"]

Data = dict[str, Any]

_CURVE_POINTS = 101


def plan_data(plan: Plan) -> Data:
    """Plain data of the whole plan, finite numbers only (None for a straight line's radius)."""
    return {
        "overbend": __version__,
        "project": plan.project.name,
        "fingerprint": plan.fingerprint,
        "units_of_file": plan.project.units,
        "bent": {name: _bent(part) for name, part in plan.bent.items()},
        "straight": {
            name: {
                "count": part.count,
                "wood": plan.woods[part.wood].species.id,
                "section_mm": list(part.section),
                "pieces": [
                    {"ids": list(c.ids), "length_mm": c.length, "cut_length_mm": c.cut_length}
                    for c in plan.piece.straight[name]
                ],
            }
            for name, part in plan.project.straight.items()
        },
        "verdicts": [
            {"verdict": j.word, "what": j.what, "part": j.part, "text": j.text}
            for j in plan.verdicts
        ],
        "steam": {name: _steam(steam) for name, steam in plan.steamed.items()},
        "steam_run": None if plan.steam_run is None else _run(plan.steam_run),
        "seasons": {
            name: [
                {
                    "air": s.name,
                    "moisture_pct": s.moisture,
                    "change_deg": math.degrees(s.change.value),
                }
                for s in found
            ]
            for name, found in plan.seasons.items()
        },
        "piece": piece_data(plan.piece),
        "cutting": cutting_data(plan),
        "holds": [{"kind": h.kind, "part": h.part, "text": h.text} for h in plan.holds],
    }


def _bent(part: BentPlan) -> Data:
    return {
        "ids": list(part.ids),
        "method": part.part.method,
        "width_mm": part.part.width,
        "depth_mm": part.depth,
        "springback": part.springback,
        "trial_form": not part.set.proven,
        "set": _set(part),
        "stack": [
            {
                "wood": s.wood,
                "species": s.species,
                "thickness_mm": s.thickness,
                "measured": s.measured,
                "modulus_MPa": s.modulus.value,
                "modulus_source": s.modulus.source,
            }
            for s in part.strips_used
        ],
        "shapes": {name: _shape(shape) for name, shape in part.shapes.items()},
        "misfit_mm": part.misfit,
        "band": _band(part),
        "curves": _curves(part),
        "form": _form(part),
        "strips": _strips(part),
        "risk": _risk(part),
        "strap": _strap(part),
    }


def _steam(steam: PartSteam) -> Data:
    band, loading, steamed = steam.heating, steam.loading, steam.steamed
    return {
        "moisture_pct": steam.moisture,
        "heated_section_mm": [steam.section.width, steam.section.thickness],
        "core_target_C": band.target,
        "core_hot_after_s": [band.low, band.mid, band.high],
        "practice_min": list(steam.practice),
        "minutes_in_box": steam.minutes,
        "window_s": [loading.low, loading.high],
        "loading_s": loading.seconds,
        "loading_verdict": loading.verdict,
        "remedies": [
            {"text": r.text, "loading_s": r.seconds, "window_s": [r.low, r.high]}
            for r in loading.remedies
        ],
        "moisture_after_pct": [steamed.low, steamed.mid, steamed.high],
        "glue_at_pct": steam.glue_at,
        "days_to_gluing": _days(steam.gluing),
        "days_on_form": _days(steam.setting),
        "days_to_soak": _days(steam.soaking),
    }


def _days(span: SpanOfDays | None) -> list[float | None] | None:
    if span is None:
        return None
    return [d if math.isfinite(d) else None for d in (span.low, span.mid, span.high)]


def _run(run: SteamRun) -> Data:
    return {
        "minutes": run.minutes,
        "water_litres": run.need.water,
        "power_kW": run.need.power,
        "turns": [
            {
                "part": t.part,
                "number": t.number,
                "load": t.load,
                "in_min": t.into,
                "hot_by_min": t.core,
                "out_min": t.out,
                "clamped_by_min": t.clamped_by,
            }
            for t in run.turns
        ],
    }


def _set(part: BentPlan) -> Data:
    low, high = part.set.range90
    return {"median": part.set.median, "low": low, "high": high, "source": part.set.source}


def _shape(shape: Shape) -> Data:
    return {
        "length_mm": shape.length,
        "chord_mm": shape.chord,
        "rise_mm": shape.rise,
        "turn_deg": math.degrees(shape.turn),
        "radius_mm": None if math.isinf(shape.radius) else shape.radius,
        "tightest_at_mm": shape.tightest_at,
    }


def _band(part: BentPlan) -> Data:
    band = part.band
    return {
        "s_mm": band.s.round(4).tolist(),
        "low_mm": band.low.round(4).tolist(),
        "median_mm": band.median.round(4).tolist(),
        "high_mm": band.high.round(4).tolist(),
        "chord_mm": list(band.chord),
        "rise_mm": list(band.rise),
        "tip_one_form_mm": band.tip.one_form,
        "tip_forms_mm": band.tip.forms,
        "tip_shop_mm": band.tip.shop,
    }


def _curves(part: BentPlan) -> Data:
    lines = {"target": part.target.curve, "form": part.glued, "released": part.released}
    data: Data = {
        name: curve.point(curve.even_grid(_CURVE_POINTS)).round(4).tolist()
        for name, curve in lines.items()
    }
    data["stations_mm"] = dict(part.target.curve.stations)
    data["mirrored"], data["reversed"] = part.target.mirrored, part.target.reversed
    return data


def _form(part: BentPlan) -> Data:
    form = part.form
    return {
        "side": form.spec.side,
        "bodies": [_body(body) for body in form.parts],
        "clamps": [
            {
                "number": c.number,
                "s_mm": c.s,
                "point_mm": list(c.point),
                "opening_mm": c.opening,
                "force_N": c.force,
            }
            for c in form.clamps
        ],
        "stop_from_trim_mm": form.stop.from_trim,
        "reasons": list(form.reasons),
        "warnings": list(form.warnings),
    }


def _body(body: FormPart) -> Data:
    check = body.check
    return {
        "outline": [list(map(float, row)) for row in body.outline.vertices],
        "depth_mm": body.body.depth,
        "back": body.body.back,
        "holes": [{"centre_mm": list(h.centre), "diameter_mm": h.diameter} for h in body.holes],
        "marks": [{"key": m.key, "s_mm": m.s, "along_mm": m.along} for m in body.marks],
        "face_chord_mm": check.chord,
        "face_rise_mm": check.rise,
        "face_length_mm": check.length,
        "ordinates_mm": [[o.x, o.y, o.along] for o in check.ordinates],
        "layers": {
            "count": body.layers.count,
            "sheet_thickness_mm": body.layers.sheet_thickness,
            "box_mm": list(body.layers.box),
            "sheets": body.layers.sheets,
        },
    }


def _risk(part: BentPlan) -> Data:
    risk, verdict = part.risk, part.risk.strain.verdict
    return {
        "verdict": verdict.word,
        "face": verdict.face,
        "strain": verdict.strain,
        "holds_to": verdict.holds,
        "half_break_at": verdict.fails,
        "governing_strip": verdict.ply + 1,
        "governing_from_mm": verdict.start,
        "governing_to_mm": verdict.end,
        "tightest_radius_mm": verdict.tightest,
        "thickest_strip_mm": None if math.isinf(verdict.thickest) else verdict.thickest,
        "chance_to_break": {
            "expected": risk.worst.expected,
            "low": risk.worst.low,
            "high": risk.worst.high,
        },
    }


def _strap(part: BentPlan) -> Data | None:
    sheet = part.strap
    if sheet is None:
        return None
    return {
        "verdict": sheet.verdict,
        "stop_spacing_mm": sheet.stop_spacing,
        "tension_N": sheet.tension,
        "stop_load_N": sheet.stop_load,
        "needed_rating_N": sheet.needed_rating,
        "rating_N": sheet.rating,
        "pull_N": sheet.pull,
        "least_lever_mm": sheet.least_lever,
    }


def _strips(part: BentPlan) -> list[Data]:
    return [
        {
            "wood": s.wood,
            "places": list(s.plies),
            "count": s.count,
            "mill": spares.mill,
            "mill_if_doubted": doubted.mill,
            "losses": spares.losses,
            "per_part": s.per_part,
            "length_mm": s.length,
            "width_mm": s.width,
            "thickness_mm": s.thickness,
            "sawn_thickness_mm": s.sawn_thickness,
            "length_on_form_mm": s.net_length,
        }
        for s, spares, doubted in zip(part.strips, part.risk.spares, part.risk.doubted, strict=True)
    ]
