"""The overbent form."""

from overbend.form.check import (
    FaceCheck,
    Ordinate,
    StationRadius,
    check_face,
    chord_and_rise,
    on_chord,
)
from overbend.form.clamps import Clamp, Hole
from overbend.form.face import Face, faces_of
from overbend.form.layers import Layers, rectangles_per_sheet
from overbend.form.made import MadeForm, made_from_chord, made_from_points
from overbend.form.marks import Mark, Stop
from overbend.form.pins import Pin
from overbend.form.plan import FormPart, FormPlan, plan_form
from overbend.form.pressure import Pressed
from overbend.form.spec import MDF, PLYWOOD, FormMaterial, FormSpec, Loads

__all__ = [
    "MDF",
    "PLYWOOD",
    "Clamp",
    "Face",
    "FaceCheck",
    "FormMaterial",
    "FormPart",
    "FormPlan",
    "FormSpec",
    "Hole",
    "Layers",
    "Loads",
    "MadeForm",
    "Mark",
    "Ordinate",
    "Pin",
    "Pressed",
    "StationRadius",
    "Stop",
    "check_face",
    "chord_and_rise",
    "faces_of",
    "made_from_chord",
    "made_from_points",
    "on_chord",
    "plan_form",
    "rectangles_per_sheet",
]
