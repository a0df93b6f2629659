"""Forms: how large, of how many layers, clamped how; how to check it with a rule."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from overbend.draw.form_sheet import mark_words
from overbend.plan import BentPlan
from overbend.web.sections.at import At, register
from overbend.web.sentence import Pieces, block, sentence, table
from overbend.web.words import words

__all__ = ["section"]


@register("forms", quick=False)
def section(at: At, part: BentPlan) -> dict[str, Any]:
    """Sentence about the form; what shapes it, reasons and marks below."""
    form, say = part.form, at.say
    first = form.parts[0]
    check = first.check
    lead = [block("lead", _lead(at, part))]
    if not part.set.proven:
        go = {"href": "/shop/trials", "text": words("wait.trial.go")}
        why = f" {words('forms.trial.why')} "
        lead.append(block("hold", [{"stamp": words("forms.trial")}, why, go]))
    lead += [block("hold", warning) for warning in form.warnings]
    more = [
        block("text", _side(at, part)),
        block("text", _sizes(at, part)),
        block("text", sentence("forms.check", chord=say.length(check.chord),
              rise=say.length(abs(check.rise)), along=say.length(check.length))),
        *(block("text", reason) for reason in form.reasons),
        block("heading", words("forms.marks")),
        _marks(at, part),
    ]  # fmt: skip
    return {"lead": lead, "more": more}


def _lead(at: At, part: BentPlan) -> Pieces:
    form, say = part.form, at.say
    layers = form.parts[0].layers
    points = [clamp.point for clamp in form.clamps]
    gaps = [math.dist(a, b) for a, b in pairwise(points)]
    key = f"part.{part.name}.form.sheet"
    sheet = at.fields.number(key, words("forms.sheet.label"))
    sheet["text"] = say.length(layers.sheet_thickness)
    return sentence(
        "forms.lead",
        bodies=words("forms.body" if len(form.parts) == 1 else "forms.bodies"),
        length=say.bare(layers.box[0]),
        height=say.length(layers.box[1]),
        layers=str(layers.count),
        sheet=sheet,
        clamps=str(len(form.clamps)),
        gap=say.length(max(gaps, default=0.0)),
    )


def _side(at: At, part: BentPlan) -> Pieces:
    key, fields = f"part.{part.name}.form", at.fields
    sides = [(s, words(f"forms.side.{s}")) for s in ("concave", "convex")]
    bodies = [(n, words(f"forms.parts.{n}")) for n in ("1", "2")]
    return sentence(
        "forms.side",
        side=fields.choice(f"{key}.side", words("forms.side.label"), sides),
        bodies=fields.choice(f"{key}.parts", words("forms.parts.label"), bodies),
    )


def _sizes(at: At, part: BentPlan) -> Pieces:
    key, fields = f"part.{part.name}.form", at.fields
    return sentence(
        "forms.sizes",
        run=fields.number(f"{key}.run_out", words("forms.run.label")),
        liner=fields.number(f"{key}.liner", words("forms.liner.label")),
        strap=fields.number(f"{key}.strap", words("forms.strap.label")),
    )


def _marks(at: At, part: BentPlan) -> dict[str, Any]:
    rows = [(mark_words(m.key), at.say.bare(m.along)) for m in part.form.parts[0].marks]
    along = f"{words('forms.along')}, {at.say.unit}"
    return table((words("forms.mark"), along), rows, (1,))
